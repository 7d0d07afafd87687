"""Settings for the test run: quick hashing, plain static files, mail kept in memory."""

import os
import tempfile
from pathlib import Path

os.environ.setdefault("SECRET_KEY", "only-for-tests")
os.environ.setdefault("VAR_DIR", str(Path(tempfile.gettempdir()) / f"gloaming-tests-{os.getuid()}"))
os.environ.setdefault(
    "DJANGO_ALLOW_ASYNC_UNSAFE", "true"
)  # Playwright's loop runs beside the tests

from showroom.settings import *  # noqa: F403
from showroom.settings import DATABASES, MIDDLEWARE, VAR_DIR

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
MIDDLEWARE = [name for name in MIDDLEWARE if "whitenoise" not in name]
MAILERS = {"default": {"BACKEND": "django.core.mail.backends.locmem.EmailBackend"}}
TASKS = {"default": {"BACKEND": "django.tasks.backends.immediate.ImmediateBackend"}}
CACHES = {
    name: {"BACKEND": "django.core.cache.backends.locmem.LocMemCache", "LOCATION": name}
    for name in ("default", "drawn", "planned")
}
STOCK_IS_KEPT = False  # tests write rows of the catalogue behind its deeds
DESIGN_IS_KEPT = False  # and rows of a design behind its journal
MEDIA_ROOT = VAR_DIR / "media"
ALLOWED_HOSTS = ["*"]
if "sqlite3" in DATABASES["default"]["ENGINE"]:
    # A file, not memory: the live server's threads would lock one another out of memory.
    worker = os.environ.get("PYTEST_XDIST_WORKER", "")
    DATABASES["default"]["TEST"] = {"NAME": str(VAR_DIR / f"test{worker}-{os.getpid()}.sqlite3")}
