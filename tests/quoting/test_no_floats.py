"""No binary fraction anywhere that money is worked out."""

import ast
from pathlib import Path

import pytest

QUOTING = Path(__file__).parents[2] / "quoting"

#: The modules that work money out. They import no Django and divide by ``EXACT.divide`` only.
CORE = [
    *(
        QUOTING / f"{name}.py"
        for name in (
            "differences",
            "frozen",
            "grouping",
            "money",
            "offer",
            "offer_check",
            "options",
            "pricing",
            "selling",
        )
    ),
    *sorted((QUOTING / "exports").glob("*.py")),
]
#: Money passes through all the rest of quoting too; the electrician's pack has watts and no money.
EVERYWHERE = sorted(
    path
    for path in QUOTING.rglob("*.py")
    if "migrations" not in path.parts and path != QUOTING / "pack.py"
)


def floats_in(source: str) -> list[int]:
    """Return the lines that hold a float literal, or name float as a function."""
    return sorted(
        node.lineno
        for node in ast.walk(ast.parse(source))
        if (isinstance(node, ast.Constant) and isinstance(node.value, float | complex))
        or (isinstance(node, ast.Name) and node.id == "float")
    )


def divisions_in(source: str) -> list[int]:
    """Return the lines that divide with a slash.

    Of ints that makes a float; of Decimals it takes the precision of the caller's context.
    """
    return sorted(
        node.lineno
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.BinOp | ast.AugAssign) and isinstance(node.op, ast.Div)
    )


def name_of(path: Path) -> str:
    return str(path.relative_to(QUOTING))


def test_the_money_core_is_where_it_is_looked_for() -> None:
    assert set(CORE) <= set(EVERYWHERE)


@pytest.mark.parametrize("path", EVERYWHERE, ids=name_of)
def test_no_float_in_quoting(path: Path) -> None:
    assert floats_in(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("path", CORE, ids=name_of)
def test_no_division_by_slash_in_the_money_core(path: Path) -> None:
    assert divisions_in(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("source", ["rate = 0.2", "x = float(y)", "x = map(float, y)", "1e3", "2j"])
def test_the_search_finds_floats(source: str) -> None:
    assert floats_in(source) == [1]


@pytest.mark.parametrize("source", ["x = a / b", "x /= 3"])
def test_the_search_finds_divisions(source: str) -> None:
    assert divisions_in(source) == [1]


@pytest.mark.parametrize("source", ["Decimal('0.2')", "x = a // b", "x = 7", "'0.2 / 3'"])
def test_the_searches_find_nothing_else(source: str) -> None:
    assert floats_in(source) == divisions_in(source) == []


@pytest.mark.parametrize("path", CORE, ids=name_of)
def test_the_money_core_imports_no_django(path: Path) -> None:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        names = [each.name for each in node.names] if isinstance(node, ast.Import) else []
        names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
        assert not any(name.split(".")[0] == "django" for name in names)
