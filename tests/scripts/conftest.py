"""What the tests of the scripts share: the folder, and environments with little in them."""

import os
import shutil
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent.parent
sys.path.insert(0, str(ROOT / "script"))

TOOLS = (
    "bash", "sh", "env", "sed", "tail", "tr", "uname", "timeout", "dirname", "id", "cmp", "cp", "rm",
    "cat", "sleep", "mktemp", "grep",
)  # fmt: skip


@pytest.fixture
def root() -> Path:
    return ROOT


@pytest.fixture
def tools(tmp_path: Path) -> Path:
    """A folder with the programs that a script may count on, and no Python."""
    folder = tmp_path / "tools"
    folder.mkdir()
    for name in TOOLS:
        if found := shutil.which(name):
            (folder / name).symlink_to(found)
    return folder


def program(path: Path, body: str) -> Path:
    """An executable bash script at `path`."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(f"#!{shutil.which('bash')}\n{body}\n")
    path.chmod(0o755)
    return path


def plain_environment(**given: str) -> dict[str, str]:
    """This process's environment without anything that the project, or its tests, read from it."""
    ours = (
        "DATABASE", "SECRET_KEY", "DEBUG", "ALLOWED_HOSTS", "MEDIA_ROOT", "STATIC_ROOT", "SECURE", "PORT",
        "HOST", "VAR_DIR", "DJANGO_", "MAILER_", "PYTEST_", "PYTHONPATH",
    )  # fmt: skip
    kept = {name: value for name, value in os.environ.items() if not name.startswith(ours)}
    return kept | given
