"""No binary fraction anywhere that money is worked out, passed on or compared."""

import ast
import re
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
    if "migrations" not in path.parts and path != QUOTING / "packing.py"
)

#: Elsewhere there are watts and metres, which are floats; what is named as money must not meet one.
ROOT = QUOTING.parent
#: A linear program is solved in floats; the plan it leads to is added up in whole minor units.
SOLVERS = {"unit_cover.py", "unit_fitting.py"}
ELSEWHERE = sorted(
    path
    for folder in ("base", "catalogue", "consult", "engineering", "showroom")
    for path in (ROOT / folder).rglob("*.py")
    if "migrations" not in path.parts and path.name not in SOLVERS
)
MONEY = re.compile(
    r"(^|_)(cost|costs|sell|price|prices|net|gross|tax|budget|allowance|fee|deposit|minor)(_|$)"
)
#: Shares of time and of tax are no money; nor is what a search is scored by.
NOT_MONEY = re.compile(r"_(score|days|count|at|id|key|url|m|mm|w|lm)$")


def money_meets_float_in(source: str) -> list[int]:
    """Return the lines where something named as money is made a float or reckoned with one."""
    return sorted({node.lineno for node in ast.walk(ast.parse(source)) if _meets(node)})


def _meets(node: ast.AST) -> bool:
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "float":
        return any(_is_money(each) for each in node.args)
    if isinstance(node, ast.BinOp):
        sides = (node.left, node.right)
        return any(_is_float(each) for each in sides) and any(_is_money(each) for each in sides)
    if isinstance(node, ast.AnnAssign | ast.arg) and node.annotation is not None:
        named = node.arg if isinstance(node, ast.arg) else _name(node.target)
        told = {each.id for each in ast.walk(node.annotation) if isinstance(each, ast.Name)}
        return "float" in told and _named_as_money(named)
    return False


def _is_float(node: ast.AST) -> bool:
    return (isinstance(node, ast.Constant) and isinstance(node.value, float)) or (
        isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "float"
    )


def _is_money(node: ast.AST) -> bool:
    return any(_named_as_money(_name(each)) for each in ast.walk(node))


def _name(node: ast.AST) -> str:
    if isinstance(node, ast.Attribute):
        return node.attr
    return node.id if isinstance(node, ast.Name) else ""


def _named_as_money(name: str) -> bool:
    return bool(MONEY.search(name)) and not NOT_MONEY.search(name)


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


@pytest.mark.parametrize("path", ELSEWHERE, ids=lambda path: str(path.relative_to(ROOT)))
def test_money_meets_no_float_elsewhere(path: Path) -> None:
    assert money_meets_float_in(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    "source",
    ["float(row.cost)", "unit_price * 1.2", "x = 0.5 * each.sell", "cost_minor: float",
     "def f(net_total: float | None): pass", "budget / float(share)"],
)  # fmt: skip
def test_the_search_finds_money_that_meets_a_float(source: str) -> None:
    assert money_meets_float_in(source) == [1]


@pytest.mark.parametrize(
    "source", ["float(row.watts)", "length_m * 1.2", "cost * 2", "cost_minor: int", "x: float"]
)
def test_watts_may_be_floats(source: str) -> None:
    assert money_meets_float_in(source) == []


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
