"""What is uploaded is examined by its bytes: kind, size, pages; and photos lose where they were taken."""

import io
import zlib

import pytest
from PIL import Image

from base import uploads
from base.services import LIMITS_B, FileRefused
from tests.consult.visiting import a_pdf, a_picture


@pytest.mark.parametrize(
    ("kind", "media_type"), [("PNG", "image/png"), ("JPEG", "image/jpeg"), ("WEBP", "image/webp")]
)
def test_a_picture_is_told_by_its_bytes(kind, media_type):
    found = uploads.examine(a_picture(kind, size=(64, 48)))
    assert (found.media_type, found.width_px, found.height_px) == (media_type, 64, 48)


@pytest.mark.parametrize("packed", [True, False])
@pytest.mark.parametrize("pages", [1, 7, 60])
def test_the_pages_of_a_pdf_are_counted_packed_or_not(pages, packed):
    assert uploads.examine(a_pdf(pages, packed=packed)).pages == pages


@pytest.mark.parametrize("packed", [True, False])
def test_a_pdf_with_too_many_pages_is_refused_with_both_numbers(packed):
    with pytest.raises(FileRefused, match="61 pages; 60 at most"):
        uploads.examine(a_pdf(61, packed=packed))


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "empty"),
        (b"MZ\x90\x00" + b"\0" * 200, "neither"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'><script>1</script></svg>", "neither"),
        (b"<!doctype html><script>1</script>", "neither"),
        (b"GIF89a" + b"\0" * 40, "neither"),
        (b"PK\x03\x04" + b"\0" * 40, "neither"),
        (b"\x89PNG\r\n\x1a\n" + b"\0" * 40, "damaged"),
        (b"\xff\xd8\xff" + b"\0" * 40, "damaged"),
        (b"RIFF\x10\0\0\0WEBP" + b"\0" * 40, "damaged"),
        (b"%PDF-1.7\nnothing in it", "no pages"),
    ],
)
def test_what_is_neither_or_damaged_is_refused(content, said):
    with pytest.raises(FileRefused, match=said):
        uploads.examine(content)


def test_a_pdf_with_a_password_is_refused():
    with pytest.raises(FileRefused, match="password"):
        uploads.examine(a_pdf(password="quay"))


@pytest.mark.parametrize(
    ("beginning", "kind"), [(b"%PDF-1.7\n", "application/pdf"), (b"\xff\xd8\xff", "image/jpeg")]
)
def test_what_is_too_large_is_refused_with_the_limit(beginning, kind):
    content = beginning + b"\0" * LIMITS_B[kind]
    with pytest.raises(FileRefused, match=f"larger than {LIMITS_B[kind] // 1024 // 1024} MB"):
        uploads.examine(content)


def test_what_is_larger_than_any_file_may_be_is_not_read():
    class Endless(io.BytesIO):
        size = 50 * 1024 * 1024

        def read(self, *args):
            raise AssertionError("it was read")

    with pytest.raises(FileRefused, match="larger than 40 MB"):
        uploads.content_of(Endless())


def test_a_picture_of_too_many_pixels_is_refused_before_it_is_unpacked(monkeypatch):
    monkeypatch.setattr(uploads, "MOST_PIXELS", 1000)
    with pytest.raises(FileRefused, match="megapixels"):
        uploads.examine(a_picture(size=(64, 48)))


def test_a_small_pdf_that_unpacks_to_very_much_is_refused():
    packed = zlib.compress(b"\0" * 60_000_000)
    assert len(packed) < 100_000
    content = b"%PDF-1.7\n1 0 obj<</Type /ObjStm>>stream\n" + packed + b"\nendstream"
    with pytest.raises(FileRefused, match="too large inside"):
        uploads.examine(content * 2)


def test_ever_so_many_packs_are_refused():
    with pytest.raises(FileRefused, match="too large inside"):
        uploads.examine(b"%PDF-1.7\n" + b"/Type /ObjStm " * 6000)


def test_a_photo_is_made_upright_small_and_without_its_place():
    picture, kept = Image.new("RGB", (3000, 1500), (90, 120, 60)), io.BytesIO()
    marks = Image.Exif()
    marks[0x0112] = 6  # to be turned by a quarter, as phones write it
    marks.get_ifd(0x8825)[1] = "N"  # where it was taken
    picture.save(kept, "JPEG", exif=marks)
    ready = uploads.photo(kept.getvalue())
    with Image.open(io.BytesIO(ready.content)) as found:
        assert found.size == (ready.width_px, ready.height_px) == (1000, 2000)
        assert not dict(found.getexif())


def test_a_pdf_is_no_photo():
    with pytest.raises(FileRefused, match="Give a picture"):
        uploads.photo(a_pdf())
