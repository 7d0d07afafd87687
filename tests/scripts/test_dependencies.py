"""Every dependency is justified and locked, and the locks agree."""

import re
import tomllib

import pytest

from tests.scripts.conftest import ROOT

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
RUNTIME, DEVELOPMENT = (
    (ROOT / name).read_text() for name in ("constraints.txt", "constraints-dev.txt")
)


def name_of(requirement: str) -> str:
    found = re.match(r"[\w.-]+", requirement)
    assert found
    return found[0].lower()


def pins(lock: str) -> dict[str, str]:
    return dict(re.findall(r"^([\w.-]+)(?:\[[\w,-]+\])?==([^\s;\\]+)", lock, re.MULTILINE))


OPTIONAL = PROJECT["optional-dependencies"]
DIRECT = [
    *map(name_of, PROJECT["dependencies"]),
    *(name_of(one) for group in OPTIONAL.values() for one in group),
]


@pytest.mark.parametrize("name", DIRECT)
def test_a_dependency_is_justified_in_a_line_of_its_own(name: str) -> None:
    text = (ROOT / "docs/dependencies.md").read_text()
    lines = re.findall(rf"^\| {re.escape(name)} \| (.+) \|$", text, re.MULTILINE)
    assert len(lines) == 1
    assert len(lines[0]) > 20


def test_no_line_justifies_what_is_no_dependency() -> None:
    text = (ROOT / "docs/dependencies.md").read_text()
    assert set(re.findall(r"^\| ([a-z0-9.-]+) \|", text, re.MULTILINE)) - {"package"} == set(DIRECT)


@pytest.mark.parametrize("name", DIRECT)
def test_a_dependency_is_in_the_development_lock(name: str) -> None:
    assert name in pins(DEVELOPMENT)


def test_what_runs_is_locked() -> None:
    assert set(map(name_of, PROJECT["dependencies"])) <= set(pins(RUNTIME))


def test_what_runs_has_the_versions_that_were_tested() -> None:
    tested = pins(DEVELOPMENT)
    assert len(pins(RUNTIME)) > 20
    assert {name: tested.get(name) for name in pins(RUNTIME)} == pins(RUNTIME)


@pytest.mark.parametrize("lock", [RUNTIME, DEVELOPMENT], ids=["runtime", "development"])
def test_a_lock_has_hashes_and_no_index_address(lock: str) -> None:
    assert "://" not in lock
    assert "index-url" not in lock
    for entry in re.split(r"\n(?=[\w.-]+(?:\[|==))", lock.strip()):
        assert "--hash=sha256:" in entry, entry.splitlines()[0]
