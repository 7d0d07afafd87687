"""script/find-python passes over what only looks like a Python that suits."""

import subprocess
import sys
from pathlib import Path

import pytest

from tests.scripts.conftest import ROOT, program

REAL = Path(sys._base_executable)  # type: ignore[attr-defined]


def find(
    tools: Path, home: Path, *folders: Path, **environment: str
) -> subprocess.CompletedProcess[str]:
    """Runs find-python where only `folders`, `tools` and `home` can hold a Python."""
    path = ":".join(map(str, [*folders, tools]))
    given = {"PATH": path, "HOME": str(home), "FIND_PYTHON_ROOT": str(home)} | environment
    return subprocess.run(
        [ROOT / "script" / "find-python"], env=given, capture_output=True, text=True, timeout=60
    )


def pretends(path: Path, before: str) -> Path:
    """A Python at `path` that runs the statements `before` first, and so may seem another one."""
    return program(
        path,
        f"""exec "{REAL}" -I -c 'import sys; code = sys.argv[1]
{before}
exec(code)' "$3" """,
    )


def shim(path: Path, code: int = 127) -> Path:
    """What a version manager puts on PATH for a version that is not chosen."""
    return program(path, f"echo 'version manager: {path.name}: command not found' >&2; exit {code}")


def test_it_finds_the_python_behind_broken_shims(tools: Path, tmp_path: Path) -> None:
    for name in ("python3.14", "python3.13", "python3.12"):
        shim(tmp_path / "shims" / name)
    program(tmp_path / "bin" / "python3", f'exec "{REAL}" "$@"')
    found = find(tools, tmp_path, tmp_path / "shims", tmp_path / "bin")
    assert found.returncode == 0, found.stderr
    assert Path(found.stdout.strip()).resolve() == REAL.resolve()


def test_it_tries_every_program_of_one_name_on_the_path(tools: Path, tmp_path: Path) -> None:
    shim(tmp_path / "shims" / "python3.13")
    program(tmp_path / "bin" / "python3.13", f'exec "{REAL}" "$@"')
    found = find(tools, tmp_path, tmp_path / "shims", tmp_path / "bin")
    assert Path(found.stdout.strip()).resolve() == REAL.resolve()


def test_it_judges_a_shim_by_what_it_prints_not_by_its_exit_code(
    tools: Path, tmp_path: Path
) -> None:
    shim(tmp_path / "shims" / "python3", code=0)
    program(tmp_path / "liar" / "python3", "echo Python 3.13.0; exit 0")
    found = find(tools, tmp_path, tmp_path / "shims", tmp_path / "liar")
    assert found.returncode == 1
    assert found.stdout == ""


def test_it_looks_into_the_version_managers_folder(tools: Path, tmp_path: Path) -> None:
    shim(tmp_path / "shims" / "python3")
    program(tmp_path / ".pyenv/versions/3.13.0/bin/python3", f'exec "{REAL}" "$@"')
    found = find(tools, tmp_path, tmp_path / "shims")
    assert Path(found.stdout.strip()).resolve() == REAL.resolve()


def test_it_looks_where_a_system_keeps_further_versions(tools: Path, tmp_path: Path) -> None:
    program(tmp_path / "opt/homebrew/bin/python3.12", f'exec "{REAL}" "$@"')
    found = find(tools, tmp_path)
    assert Path(found.stdout.strip()).resolve() == REAL.resolve()


@pytest.mark.parametrize(
    "before",
    [
        pytest.param('sys.version_info = (3, 11, 9, "final", 0)', id="too old"),
        pytest.param('sys.version_info = (2, 7, 18, "final", 0)', id="far too old"),
        pytest.param('sys.version_info = (3, 14, 0, "candidate", 2)', id="no final release"),
        pytest.param('import platform; platform.python_implementation = lambda: "PyPy"', id="PyPy"),
        pytest.param('sys.modules["ssl"] = None', id="no ssl"),
        pytest.param('sys.modules["sqlite3"] = None', id="no sqlite3"),
        pytest.param('sys.modules["ensurepip"] = None', id="no ensurepip"),
        pytest.param('sys.modules["venv"] = None', id="no venv"),
    ],
)
def test_it_refuses_a_python_that_does_not_suit(tools: Path, tmp_path: Path, before: str) -> None:
    pretends(tmp_path / "bin" / "python3", before)
    found = find(tools, tmp_path, tmp_path / "bin")
    assert found.returncode == 1
    assert found.stdout == ""
    assert "apt-get install python3-venv" in found.stderr
    assert "brew install python" in found.stderr


def test_the_disguise_of_these_tests_is_no_reason_to_refuse(tools: Path, tmp_path: Path) -> None:
    pretends(tmp_path / "bin" / "python3", "pass")
    found = find(tools, tmp_path, tmp_path / "bin")
    assert Path(found.stdout.strip()).resolve() == REAL.resolve()


def test_a_named_python_goes_first(tools: Path, tmp_path: Path) -> None:
    shim(tmp_path / "bin" / "python3")
    found = find(tools, tmp_path, tmp_path / "bin", PYTHON=str(REAL))
    assert Path(found.stdout.strip()).resolve() == REAL.resolve()


def test_a_named_python_that_does_not_suit_is_told_and_passed_over(
    tools: Path, tmp_path: Path
) -> None:
    program(tmp_path / "bin" / "python3", f'exec "{REAL}" "$@"')
    broken = shim(tmp_path / "broken" / "python3")
    found = find(tools, tmp_path, tmp_path / "bin", PYTHON=str(broken))
    assert Path(found.stdout.strip()).resolve() == REAL.resolve()
    assert f"PYTHON={broken}" in found.stderr
