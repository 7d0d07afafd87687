"""What somebody uploads, examined before it is kept: its kind, its size, its pages.

A name and a declared type prove nothing, so both are left aside: the bytes say what they are.
"""

import io
import re
import zlib
from dataclasses import dataclass

from django.core.files import File
from django.utils.translation import gettext as _
from PIL import Image, ImageOps, UnidentifiedImageError

from base import signatures
from base.services import LIMITS_B, MEGABYTE, FileRefused

MOST_PIXELS = 60_000_000
"""Above what cameras of phones give, below what would fill the memory."""
MOST_PAGES = 60
PHOTO_EDGE_PX = 2000
_MOST_UNPACKED_B = 24 * MEGABYTE
_MOST_PACKS = 5000
_FORMATS = {"image/png": "PNG", "image/jpeg": "JPEG", "image/webp": "WEBP"}
_STREAM = re.compile(rb"stream\r?\n")
_PAGE = re.compile(rb"/Type\s*/Page(?![A-Za-z])")
_OBJECTS = re.compile(rb"/Type\s*/ObjStm")


@dataclass(frozen=True, slots=True, kw_only=True)
class Upload:
    """A file that may be kept. `pages` of a PDF; `width_px` and `height_px` of a picture; else 0."""

    content: bytes
    media_type: str
    pages: int = 0
    width_px: int = 0
    height_px: int = 0


def examine(content: bytes, *, most_pages: int = MOST_PAGES) -> Upload:
    """The upload, where it is a whole picture (PNG, JPEG, WebP) or a PDF within the limits.

    Raises `FileRefused` with a sentence for whoever sent it.
    """
    media_type = signatures.media_type(content)
    if not content:
        raise FileRefused(_("The file is empty."))
    if media_type != "application/pdf" and media_type not in _FORMATS:
        raise FileRefused(_("Send a picture (PNG, JPEG or WebP) or a PDF. This file is neither."))
    if len(content) > LIMITS_B[media_type]:
        most = LIMITS_B[media_type] // MEGABYTE
        raise FileRefused(_("The file is larger than %(most)d MB.") % {"most": most})
    if media_type == "application/pdf":
        return Upload(content=content, media_type=media_type, pages=_pages(content, most_pages))
    with _opened(content, media_type) as picture:
        width, height = picture.size
    return Upload(content=content, media_type=media_type, width_px=width, height_px=height)


def content_of(file: File[bytes]) -> bytes:
    """The bytes of an uploaded file, which is not read at all where it is larger than any may be."""
    most = max(LIMITS_B[kind] for kind in (*_FORMATS, "application/pdf"))
    if (file.size or 0) > most:
        raise FileRefused(_("The file is larger than %(most)d MB.") % {"most": most // MEGABYTE})
    return file.read()


def photo(content: bytes) -> Upload:
    """A photo made ready for a page: upright, at most 2000 px, without where and when it was taken.

    Raises `FileRefused` as `examine` does, and for a PDF.
    """
    found = examine(content)
    if found.media_type not in _FORMATS:
        raise FileRefused(_("Give a picture as PNG, JPEG or WebP."))
    try:
        with Image.open(io.BytesIO(content), formats=[_FORMATS[found.media_type]]) as opened:
            # A JPEG is read at a fraction of its size where that is enough.
            opened.draft("RGB", (PHOTO_EDGE_PX, PHOTO_EDGE_PX))
            upright = ImageOps.exif_transpose(opened).convert("RGB")
    except (OSError, ValueError, SyntaxError) as error:
        raise FileRefused(_("This picture is damaged: it cannot be opened.")) from error
    upright.thumbnail((PHOTO_EDGE_PX, PHOTO_EDGE_PX))
    kept = io.BytesIO()
    upright.save(kept, "JPEG", quality=82, optimize=True)
    width, height = upright.size
    return Upload(
        content=kept.getvalue(), media_type="image/jpeg", width_px=width, height_px=height
    )


def _opened(content: bytes, media_type: str) -> Image.Image:
    """The picture, its head read and its size checked before anything is unpacked."""
    try:
        picture = Image.open(io.BytesIO(content), formats=[_FORMATS[media_type]])
        if picture.width * picture.height > MOST_PIXELS:
            most = MOST_PIXELS // 1_000_000
            raise FileRefused(_("The picture has more than %(most)d megapixels.") % {"most": most})
        picture.verify()
    except Image.DecompressionBombError as error:
        raise FileRefused(_("The picture is too large to open.")) from error
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError) as error:
        raise FileRefused(_("This picture is damaged: it cannot be opened.")) from error
    return picture


def _pages(content: bytes, most: int) -> int:
    """Pages of a PDF, counted in its own objects and in those it packs together.

    An indication that catches a mistake, such as a whole catalogue sent for a plan: what is really
    drawn is only known to whoever opens it. Other packing than Flate is not looked into.
    """
    if b"/Encrypt" in content:
        raise FileRefused(_("This PDF is protected by a password. Save it without one."))
    pages = len(_PAGE.findall(content)) + _packed_pages(content)
    if pages == 0:
        raise FileRefused(_("This PDF has no pages that can be read. Print it to a PDF again."))
    if pages > most:
        raise FileRefused(
            _(
                "This PDF has %(pages)d pages; %(most)d at most are kept. Send only those that matter."
            )
            % {"pages": pages, "most": most}
        )
    return pages


def _packed_pages(content: bytes) -> int:
    pages, left, view = 0, _MOST_UNPACKED_B, memoryview(content)
    for number, found in enumerate(_OBJECTS.finditer(content)):
        if left <= 0 or number > _MOST_PACKS:
            raise FileRefused(_("This PDF is too large inside. Print it to a PDF again."))
        start = _STREAM.search(content, found.end(), found.end() + 2000)
        if start is None:
            continue
        try:
            # Never more than is left: a small file can hold a very long run of zeros.
            text = zlib.decompressobj().decompress(view[start.end() :], left)
        except zlib.error:
            continue
        left -= len(text)
        pages += len(_PAGE.findall(text))
    return pages
