"""Brings the database, the static files and the demo up to date, in one process.

The three are commands of manage.py; one process for all of them saves two starts of Django, which
is most of the time that a second start takes. Prints what the demo prints: its log-ins.
"""

import hashlib
import os
import sys
from io import StringIO
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent


def static_files_state() -> str:
    """A digest of every static file's path, size and time of change, and of how they are stored."""
    from django.conf import settings
    from django.contrib.staticfiles.finders import get_finders

    state = hashlib.sha256(repr(settings.STORAGES["staticfiles"]).encode())
    for finder in get_finders():
        for path, storage in sorted(finder.list([]), key=lambda found: found[0]):
            stat = Path(storage.path(path)).stat()
            state.update(f"{path} {stat.st_size} {stat.st_mtime_ns}\n".encode())
    return state.hexdigest()


def collect_static_files() -> None:
    """Collects the static files anew, but only if one has changed since the last time."""
    from django.conf import settings
    from django.core.management import call_command

    root = Path(settings.STATIC_ROOT)
    # Beside the folder, not in it: what is in it is served, and --clear empties it.
    stamp = root.with_name(f"{root.name}.state")
    state = static_files_state()
    if root.is_dir() and stamp.is_file() and stamp.read_text() == state:
        return
    stamp.unlink(missing_ok=True)
    call_command("collectstatic", interactive=False, clear=root.is_dir(), verbosity=0)
    stamp.write_text(state)


def load_demo() -> str:
    """Loads the demo where it is not yet loaded; returns what there is to tell about it."""
    from django.core.management import call_command

    told = StringIO()
    call_command("demo", stdout=told)
    return told.getvalue().strip()


def main(*, with_demo: bool) -> None:
    sys.path.insert(0, str(ROOT))
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "showroom.settings")
    import django
    from django.core.management import call_command

    django.setup()
    call_command("migrate", interactive=False, verbosity=0)
    collect_static_files()
    if with_demo:
        print(load_demo())


if __name__ == "__main__":
    main(with_demo="--no-demo" not in sys.argv[1:])
