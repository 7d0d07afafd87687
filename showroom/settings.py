"""Settings, each read from the environment, each with a safe default.

The list with meanings is docs/operations/settings.md.
"""

import json
import os
import secrets
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import dj_database_url
from django.core.exceptions import ImproperlyConfigured
from django.utils.csp import CSP
from django.utils.translation import gettext_lazy as _

BASE_DIR = Path(__file__).resolve().parent.parent
VAR_DIR = Path(os.environ.get("VAR_DIR", BASE_DIR / "var"))


def flag(name: str, default: str = "0") -> bool:
    return os.environ.get(name, default).strip().lower() in {"1", "true", "yes", "on"}


def listed(name: str, default: str) -> list[str]:
    return [part.strip() for part in os.environ.get(name, default).split(",") if part.strip()]


def kept_secret_key() -> str:
    """The key of this installation, made once and kept beside the data."""
    if given := os.environ.get("SECRET_KEY"):
        return given
    path = VAR_DIR / "secret_key"
    path.parent.mkdir(parents=True, exist_ok=True)
    try:
        with open(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w") as file:
            file.write(secrets.token_urlsafe(64))
    except FileExistsError:
        pass
    return path.read_text().strip()


def mailer_options(given: Mapping[str, str]) -> dict[str, Any]:
    """What the mail backend is told: `MAILER_OPTIONS` as JSON; else, for SMTP, its settings."""
    if text := given.get("MAILER_OPTIONS", "").strip():
        try:
            options = json.loads(text)
        except ValueError as error:
            raise ImproperlyConfigured(f"MAILER_OPTIONS is not JSON: {error}") from error
        if not isinstance(options, dict):
            raise ImproperlyConfigured('MAILER_OPTIONS is a JSON object, as {"api_key": "…"}')
        return options
    if "smtp" not in given.get("MAILER_BACKEND", ""):
        return {}
    return {
        "host": given.get("MAILER_HOST", "localhost"),
        "port": int(given.get("MAILER_PORT", "587")),
        "username": given.get("MAILER_USER", ""),
        "password": given.get("MAILER_PASSWORD", ""),
        "use_tls": given.get("MAILER_TLS", "1").strip().lower() in {"1", "true", "yes", "on"},
    }


SECRET_KEY = kept_secret_key()
DEBUG = flag("DEBUG")
SECURE = flag("SECURE")
ALLOWED_HOSTS = listed("ALLOWED_HOSTS", "localhost,127.0.0.1,[::1]")
CSRF_TRUSTED_ORIGINS = listed("CSRF_TRUSTED_ORIGINS", "")

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.forms",
    "django_htmx",
    "django_tasks_db",
    "allauth",
    "allauth.account",
    "base",
    "catalogue",
    "consult",
    "quoting",
    "showroom",
]

MIDDLEWARE = [
    "base.middleware.let_edits_go_first",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "base.middleware.SendTextCompressed",
    "django.middleware.csp.ContentSecurityPolicyMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "base.middleware.move_whole_page_to_login",
    "allauth.account.middleware.AccountMiddleware",
]

ROOT_URLCONF = "showroom.urls"
WSGI_APPLICATION = "showroom.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.template.context_processors.csp",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "base.context.business",
            ],
        },
    }
]
FORM_RENDERER = "base.forms.Renderer"


def database() -> dict[str, object]:
    """PostgreSQL by DATABASE_URL, else one SQLite file tuned not to lose and not to lock."""
    if url := os.environ.get("DATABASE_URL"):
        found = dict(dj_database_url.parse(url, conn_max_age=60, conn_health_checks=True))
        if "sqlite" not in str(found["ENGINE"]):
            return found
        path = Path(str(found["NAME"]))
    else:
        path = Path(os.environ.get("DATABASE_PATH", VAR_DIR / "gloaming.sqlite3"))
    path.parent.mkdir(parents=True, exist_ok=True)
    return {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": str(path),
        "CONN_MAX_AGE": 60,
        "OPTIONS": {
            "timeout": 20,
            # A transaction that reads, then writes, would fail with 'locked' when another wrote
            # meanwhile: take the write lock at once.
            "transaction_mode": "IMMEDIATE",
            "init_command": (
                "PRAGMA journal_mode=WAL;PRAGMA synchronous=FULL;PRAGMA busy_timeout=20000;"
                "PRAGMA foreign_keys=ON;"
            ),
        },
    }


DATABASES = {"default": database()}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "base.Person"
AUTHENTICATION_BACKENDS = [
    "django.contrib.auth.backends.ModelBackend",
    "allauth.account.auth_backends.AuthenticationBackend",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in (
        "UserAttributeSimilarityValidator",
        "MinimumLengthValidator",
        "CommonPasswordValidator",
        "NumericPasswordValidator",
    )
]
LOGIN_URL = "account_login"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "account_login"

ACCOUNT_ADAPTER = "base.accounts.StaffOnlyAdapter"
ACCOUNT_USER_MODEL_USERNAME_FIELD = None
ACCOUNT_LOGIN_METHODS = {"email"}
ACCOUNT_SIGNUP_FIELDS = ["email*", "password1*"]
ACCOUNT_EMAIL_VERIFICATION = "none"
ACCOUNT_SESSION_REMEMBER = True
ACCOUNT_LOGOUT_ON_GET = False
ACCOUNT_EMAIL_SUBJECT_PREFIX = ""
ACCOUNT_PREVENT_ENUMERATION = True
ACCOUNT_FORMS = {
    "login": "base.forms_account.LogInForm",
    "reset_password": "base.forms_account.ResetForm",
    "reset_password_from_key": "base.forms_account.ChooseForm",
    "change_password": "base.forms_account.ChangeForm",
}

MAILERS = {
    "default": {
        "BACKEND": os.environ.get(
            "MAILER_BACKEND", "django.core.mail.backends.console.EmailBackend"
        ),
        "OPTIONS": mailer_options(os.environ),
    }
}
DEFAULT_FROM_EMAIL = os.environ.get("MAILER_FROM", "showroom@localhost")

CACHES = {
    "default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"},
    # Pictures of rooms and their light: seen by every process, and drawn again when lost.
    "drawn": {
        "BACKEND": "django.core.cache.backends.filebased.FileBasedCache",
        "LOCATION": VAR_DIR / "drawn",
        "OPTIONS": {"MAX_ENTRIES": 4000},
    },
    # Plans of enclosures: worked out by one process, read by all.
    "planned": {
        "BACKEND": "django.core.cache.backends.filebased.FileBasedCache",
        "LOCATION": VAR_DIR / "planned",
        "OPTIONS": {"MAX_ENTRIES": 1000},
    },
}
TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}

# What was read of the catalogue is kept in the process while its edition stands.
STOCK_IS_KEPT = flag("STOCK_IS_KEPT", "1")
# Exact plans are worked out by a helper of the web process, of lower priority.
PLANS_APART = flag("PLANS_APART", "0")
# What was read of a design is kept, and brought up to date by the acts of its journal since.
DESIGN_IS_KEPT = flag("DESIGN_IS_KEPT", "1")

LANGUAGE_CODE = "en-gb"
LANGUAGES = [("en-gb", _("English"))]
TIME_ZONE = os.environ.get("TIME_ZONE", "Europe/London")
USE_TZ = True
LOCALE_PATHS = [BASE_DIR / "locale"]

STATIC_URL = "static/"
STATIC_ROOT = Path(os.environ.get("STATIC_ROOT", VAR_DIR / "static"))
STATICFILES_DIRS = [BASE_DIR / "static"]
MEDIA_ROOT = Path(os.environ.get("MEDIA_ROOT", VAR_DIR / "media"))
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": (
            "django.contrib.staticfiles.storage.StaticFilesStorage"
            if DEBUG
            else "whitenoise.storage.CompressedManifestStaticFilesStorage"
        )
    },
}
DATA_UPLOAD_MAX_MEMORY_SIZE = 5 * 1024 * 1024
FILE_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024

SECURE_CSP = {
    "default-src": [CSP.NONE],
    "script-src": [CSP.SELF],
    "style-src": [CSP.SELF],
    "img-src": [CSP.SELF, "data:", "blob:"],
    "font-src": [CSP.SELF],
    "connect-src": [CSP.SELF],
    "manifest-src": [CSP.SELF],
    "form-action": [CSP.SELF],
    "frame-ancestors": [CSP.NONE],
    "base-uri": [CSP.NONE],
}
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CONTENT_TYPE_NOSNIFF = True
X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_SAMESITE = "Lax"
CSRF_FAILURE_VIEW = "showroom.views.csrf_failure"
if SECURE:
    SESSION_COOKIE_SECURE = True
    CSRF_COOKIE_SECURE = True
    SECURE_SSL_REDIRECT = True
    SECURE_REDIRECT_EXEMPT = [r"^health/"]
    SECURE_HSTS_SECONDS = 60 * 60 * 24 * 365
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
# Whether a whole domain, with names that are not ours, is HTTPS only is for its owner to say.
SILENCED_SYSTEM_CHECKS = ["security.W005", "security.W021"]

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "%(asctime)s %(levelname)s %(name)s %(message)s"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": os.environ.get("LOG_LEVEL", "WARNING")},
}
