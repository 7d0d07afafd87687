"""From a template to PDF bytes. The same content gives the same bytes.

Nothing is fetched but stored files and our own static files: the addresses in a document are under
a name that cannot exist (RFC 2606), and whatever else is asked for is refused.
"""

import hashlib
from pathlib import Path
from urllib.parse import unquote, urlsplit

from django.conf import settings
from django.contrib.staticfiles import finders
from django.core.exceptions import SuspiciousFileOperation
from django.template.loader import render_to_string
from django.utils import translation
from weasyprint import HTML
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import URLFetcher, URLFetcherResponse

from base.models import StoredFile

GROUND = "http://document.invalid/"
_STATIC_TYPES = {".css": "text/css", ".ttf": "font/ttf", ".svg": "image/svg+xml"}


class AddressRefused(ValueError):
    """A document asked for something that is neither a stored file nor one of ours."""


class KeptOnly(URLFetcher):  # type: ignore[misc]
    """Fetches ``stored/<sha256>`` and ``static/<path>`` under the ground; refuses all else."""

    def fetch(self, url: str, headers: object = None) -> URLFetcherResponse:
        if not url.startswith(GROUND):
            raise AddressRefused(f"refused: {url[:80]}")
        kind, _, rest = unquote(urlsplit(url).path).lstrip("/").partition("/")
        content, media_type = {"stored": _stored, "static": _static}.get(kind, _nothing)(rest)
        return URLFetcherResponse(url, content, {"Content-Type": media_type})


def _stored(sha256: str) -> tuple[bytes, str]:
    kept = StoredFile.objects.filter(sha256=sha256, media_type__startswith="image/").first()
    if kept is None:
        raise AddressRefused(f"no stored picture {sha256[:12]}")
    with kept.file.open("rb") as file:
        return file.read(), kept.media_type


def _static(path: str) -> tuple[bytes, str]:
    media_type = _STATIC_TYPES.get(Path(path).suffix)
    try:
        found = finders.find(path) if media_type else None
    except SuspiciousFileOperation as error:
        raise AddressRefused(f"outside the static files: {path[:80]}") from error
    if not media_type or not isinstance(found, str):
        raise AddressRefused(f"no static file {path[:80]}")
    return Path(found).read_bytes(), media_type


def _nothing(path: str) -> tuple[bytes, str]:
    raise AddressRefused(f"refused: {path[:80]}")


def render_pdf(template: str, context: dict[str, object]) -> bytes:
    """Return the PDF of a template: tagged for PDF/UA-1, in the language of its words.

    Raises whatever the template or a broken picture raises; nothing is half written.
    """
    with translation.override(settings.LANGUAGE_CODE):
        language = translation.to_locale(settings.LANGUAGE_CODE).replace("_", "-")
        html = render_to_string(template, {**context, "language": language, "ground": GROUND})
    document = HTML(string=html, base_url=GROUND, url_fetcher=KeptOnly())
    content: bytes = document.write_pdf(
        font_config=FontConfiguration(),
        pdf_variant="pdf/ua-1",
        pdf_tags=True,
        pdf_identifier=hashlib.sha256(html.encode()).digest()[:16],
        # Squeezing each picture took four fifths of the time and, measured, saved no byte.
        optimize_images=False,
        dpi=200,
        jpeg_quality=85,
    )
    return content
