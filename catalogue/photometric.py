"""Photometric files of products: attached after they were read, refused with line and reason."""

from collections.abc import Sequence
from functools import lru_cache
from typing import Any

from django.utils.translation import gettext as _

from base.deeds import Refusal
from base.models import Person, StoredFile
from base.services import store_file
from catalogue.edition import deed
from catalogue.models import PhotometricFile, Product
from catalogue.photometric_words import REFUSED, remark_words
from engineering.photometry import Luminaire, PhotometryError, read_ies, read_ldt

READERS = {PhotometricFile.Format.IES: read_ies, PhotometricFile.Format.LDT: read_ldt}
MOST_FILES = 40
MOST_BYTES = 2 * 1024 * 1024
KEPT_READ = 64


class FileWrong(Refusal):
    """A file that cannot be trusted: says the line and the reason."""


def format_of(name: str, content: bytes) -> str:
    """The format by the file's name, else by how it begins."""
    ending = name.rsplit(".", 1)[-1].lower()
    if ending in PhotometricFile.Format.values:
        return ending
    return "ies" if b"TILT=" in content[:20_000] else "ldt"


def read(name: str, content: bytes) -> tuple[str, Luminaire]:
    """The format and the luminaire of a file. Raises `FileWrong` with the line and the reason."""
    if len(content) > MOST_BYTES:
        raise FileWrong(_("%(file)s: larger than 2 MB, so it was not read.") % {"file": name})
    kind = format_of(name, content)
    try:
        return kind, READERS[PhotometricFile.Format(kind)](content)
    except PhotometryError as error:
        said = str(REFUSED[error.code]).format(**error.values)
        values = {"file": name, "line": error.line, "reason": said}
        raise FileWrong(_("%(file)s, line %(line)s: %(reason)s.") % values) from error


@lru_cache(maxsize=KEPT_READ)
def read_kept(kind: str, sha256: str) -> Luminaire:
    """The luminaire of a stored file; the bytes under a digest never change, so it is kept."""
    stored = StoredFile.objects.get(sha256=sha256)
    with stored.file.open("rb") as file:
        return READERS[PhotometricFile.Format(kind)](file.read())


@deed(locks="product")
def attach(
    *, by: Person | None, product: Product, name: str, content: bytes, feed_number: int = 1
) -> PhotometricFile:
    """Attach a file to one feed of a product, in place of the one it had."""
    if by is not None and not by.keeps_prices:
        raise Refusal(_("Only the office and managers change the catalogue."))
    if not product.feeds.filter(number=feed_number).exists():
        raise Refusal(_("%(product)s has no light in its data yet.") % {"product": product})
    kind, luminaire = read(name, content)
    values = {
        "format": kind,
        "name": name[-160:],
        "file": store_file(content=content, media_type="text/plain"),
        "warnings": remark_words(luminaire.warnings),
    }
    row, _made = PhotometricFile.objects.update_or_create(
        product=product, feed_number=feed_number, defaults=values
    )
    return row


@deed(locks="product")
def detach(*, by: Person, product: Product, feed_number: int = 1) -> None:
    """Take the file of a feed away; its light is then estimated from flux and beam again."""
    if not by.keeps_prices:
        raise Refusal(_("Only the office and managers change the catalogue."))
    PhotometricFile.objects.filter(product=product, feed_number=feed_number).delete()


def matched(names: Sequence[str]) -> dict[str, Product]:
    """The product of each file whose name begins with a reference; the longest reference wins."""
    wanted = {name: name.rsplit(".", 1)[0].upper() for name in names}
    found: dict[str, Product] = {}
    starts = {stem[:length] for stem in wanted.values() for length in range(3, len(stem) + 1)}
    products: list[Any] = list(Product.objects.filter(reference__in=starts))
    for name, stem in wanted.items():
        fits = [each for each in products if stem.startswith(each.reference.upper())]
        if fits:
            found[name] = max(fits, key=lambda each: len(each.reference))
    return found
