"""script/bootstrap does what is missing, once, and says what it may not do."""

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.scripts.conftest import ROOT, plain_environment, program

REAL = sys._base_executable  # type: ignore[attr-defined]


def fresh(folder: Path) -> Path:
    """A folder as a fresh clone has it, but with empty locks, so that nothing is fetched."""
    shutil.copytree(ROOT / "script", folder / "script")
    for name in ("constraints.txt", "constraints-dev.txt"):
        (folder / name).write_text("# nothing\n")
    # What the libraries are is another script's matter; here they are always there.
    (folder / "script" / "check_libraries.py").write_text("")
    program(folder / "script" / "find-chromium", "echo /usr/bin/chromium")
    return folder


@pytest.fixture(scope="module")
def first_run(
    tmp_path_factory: pytest.TempPathFactory,
) -> tuple[Path, subprocess.CompletedProcess[str]]:
    """A fresh clone after its first bootstrap, and how that went; made once, since it takes seconds."""
    folder = fresh(tmp_path_factory.mktemp("first") / "clone")
    return folder, bootstrap(folder)


@pytest.fixture
def clone(first_run: tuple[Path, subprocess.CompletedProcess[str]], tmp_path: Path) -> Path:
    """A copy of that clone, to be spoiled."""
    return shutil.copytree(first_run[0], tmp_path / "clone", symlinks=True)


def bootstrap(
    clone: Path, *arguments: str, path: str = "", **given: str
) -> subprocess.CompletedProcess[str]:
    environment = plain_environment(PYTHON=REAL, **given)
    if path:
        environment["PATH"] = path
    return subprocess.run(
        [clone / "script" / "bootstrap", *arguments],
        env=environment,
        capture_output=True,
        text=True,
        timeout=120,
    )


def test_it_makes_the_environment_and_installs_the_lock(
    first_run: tuple[Path, subprocess.CompletedProcess[str]],
) -> None:
    folder, first = first_run
    assert first.returncode == 0, first.stderr
    assert "Making .venv" in first.stderr
    assert "Installing the packages of constraints.txt" in first.stderr
    assert subprocess.run([folder / ".venv/bin/python", "-m", "pip", "--version"]).returncode == 0


def test_a_second_run_has_nothing_to_do(clone: Path) -> None:
    second = bootstrap(clone)
    assert second.returncode == 0
    assert second.stderr == ""


def test_it_installs_again_when_the_lock_has_changed(clone: Path) -> None:
    (clone / "constraints.txt").write_text("# nothing, in other words\n")
    changed = bootstrap(clone)
    assert changed.returncode == 0, changed.stderr
    assert "Installing the packages of constraints.txt" in changed.stderr
    assert "Making .venv" not in changed.stderr


def test_what_development_needs_holds_what_running_needs(clone: Path) -> None:
    assert "Installing the packages of constraints-dev.txt" in bootstrap(clone, "--dev").stderr
    assert bootstrap(clone, "--dev").stderr == ""
    assert bootstrap(clone).stderr == ""


def test_a_failed_installation_is_done_again(clone: Path) -> None:
    (clone / "constraints.txt").write_text("no-hash-for-this==1.0\n")
    for _ in range(2):
        refused = bootstrap(clone)
        assert refused.returncode != 0
        assert "hash" in refused.stderr.lower()
    # What a broken-off installation left behind is unknown, even if the old lock comes back.
    (clone / "constraints.txt").write_text("# nothing\n")
    assert "Installing" in bootstrap(clone).stderr


def test_an_environment_whose_python_is_gone_is_made_anew(clone: Path) -> None:
    python = clone / ".venv" / "bin" / "python"
    python.unlink()
    program(python, "echo gone >&2; exit 127")
    again = bootstrap(clone)
    assert again.returncode == 0, again.stderr
    assert "Making .venv" in again.stderr
    assert subprocess.run([python, "-c", ""]).returncode == 0


def with_a_library_missing(clone: Path, tools: Path, apt_get: str) -> str:
    """Makes one library seem missing until a file is there; returns a PATH with this apt-get."""
    (clone / "script" / "check_libraries.py").write_text(
        "import pathlib, sys\n"
        f"if not pathlib.Path({str(clone / 'installed')!r}).exists():\n"
        "    print('libharfbuzz-subset0')\n"
        "    sys.exit(1)\n"
    )
    program(tools / "apt-get", apt_get)
    for name in ("id", "uname", "sleep"):
        (tools / name).unlink(missing_ok=True)
    program(tools / "id", "echo 0")
    program(tools / "uname", "echo Linux")
    program(tools / "sleep", "")
    return str(tools)


def test_only_the_missing_library_is_installed(clone: Path, tools: Path) -> None:
    record = clone / "installed"
    path = with_a_library_missing(clone, tools, f'echo "$@" >> "{record}"')
    done = bootstrap(clone, path=path)
    assert done.returncode == 0, done.stderr
    (asked,) = record.read_text().splitlines()
    assert asked.endswith("install -y --no-install-recommends libharfbuzz-subset0")


def test_a_library_that_cannot_be_installed_is_named_with_the_command(
    clone: Path, tools: Path
) -> None:
    path = with_a_library_missing(clone, tools, "exit 100")
    refused = bootstrap(clone, path=path)
    assert refused.returncode == 1
    assert "sudo apt-get install libharfbuzz-subset0" in refused.stderr


def test_who_is_not_root_and_may_not_become_it_is_told_the_command(
    clone: Path, tools: Path
) -> None:
    record = clone / "asked"
    path = with_a_library_missing(clone, tools, f'echo "$@" >> "{record}"')
    program(tools / "id", "echo 1000")
    program(tools / "sudo", f'[ "$2" != true ] || exit 1; echo "$@" >> "{record}"')
    refused = bootstrap(clone, path=path)
    assert refused.returncode == 1
    assert "sudo apt-get install libharfbuzz-subset0" in refused.stderr
    assert not record.exists()


def test_an_unknown_argument_is_refused(clone: Path) -> None:
    refused = bootstrap(clone, "--all")
    assert refused.returncode == 2
    assert "usage" in refused.stderr
