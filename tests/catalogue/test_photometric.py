"""Photometric files: attached by name, refused with line and reason, shown on the product's page."""

import itertools
import math

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from catalogue.models import PhotometricFile, Product
from catalogue.photometric import MOST_BYTES, read_kept
from tests.conftest import all_of, one
from tests.factories import a_product

pytestmark = pytest.mark.django_db

IES = (
    "IESNA:LM-63-2002\n[TEST] A1\n[TESTLAB] ours\n[ISSUEDATE] 2026\n[MANUFAC] ours\nTILT=NONE\n"
    "1 1000 1 5 1 1 2 0.1 0.1 0\n1 1 8\n0 30 60 75 90\n0\n500 400 200 50 0\n"
)


def sent(name, content=IES):
    data = content if isinstance(content, bytes) else content.encode()
    return SimpleUploadedFile(name, data)


def test_files_go_to_the_products_that_their_names_begin_with(office_client):
    one_of, other = a_product(reference="AB-12"), a_product(reference="AB-123")
    files = [sent("ab-12 wide.ies"), sent("AB-123.ies")]
    answer = office_client.post(reverse("catalogue:photometric"), {"files": files})
    assert len(all_of(answer, ".notice.good")) == 2
    assert PhotometricFile.objects.get(product=one_of).name == "ab-12 wide.ies"
    assert PhotometricFile.objects.get(product=other).name == "AB-123.ies"


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (IES.replace("400", "ten"), "line 11"),
        (b"\x00\x01\x02" * 200, "not a text file"),
        (b"", "empty"),
        (IES + "1" * (MOST_BYTES + 1), "larger than 2 MB"),
    ],
)
def test_a_wrong_file_is_refused_with_line_and_reason(office_client, content, said):
    a_product(reference="AB-12")
    answer = office_client.post(
        reverse("catalogue:photometric"), {"files": [sent("AB-12.ies", content)]}
    )
    if content:  # Django itself drops an empty upload's content, not its name
        assert said in one(answer, ".notice.stop").text
    assert not PhotometricFile.objects.exists()


def test_a_file_of_50_mb_is_refused_without_being_read(office_client, monkeypatch):
    a_product(reference="AB-12")
    monkeypatch.setattr("catalogue.photometric.READERS", {})
    large = sent("AB-12.ies", IES.encode() + b"1 " * (25 * 1024 * 1024))
    answer = office_client.post(reverse("catalogue:photometric"), {"files": [large]})
    assert answer.status_code in (200, 302)
    assert "larger than 2 MB" in one(answer, ".notice.stop").text
    assert not PhotometricFile.objects.exists()


def test_a_file_of_no_product_says_so(office_client):
    answer = office_client.post(reverse("catalogue:photometric"), {"files": [sent("ZZ-9.ies")]})
    assert "No product" in one(answer, ".notice.stop").text


def test_another_file_takes_its_place_and_can_be_taken_away(office_client):
    product = a_product(reference="AB-12")
    url = reverse("catalogue:photometric_attach", args=[product.pk, 1])
    for name in ("first.ies", "second.ies"):
        office_client.post(url, {"files": [sent(name)]})
    row = PhotometricFile.objects.select_related("file").get()
    assert row.name == "second.ies"
    assert read_kept(row.format, row.file.sha256).intensity(0.0, 0.0) == pytest.approx(500.0)
    office_client.post(reverse("catalogue:photometric_remove", args=[product.pk, 1]))
    assert not PhotometricFile.objects.exists()


def test_the_product_shows_its_curve_and_where_it_comes_from(office_client):
    product = a_product(reference="AB-12", feed={"beam_deg": 60})
    page = office_client.get(product.get_absolute_url())
    assert len(all_of(page, "svg.polar")) == 1
    assert "estimate" in page.content.decode()
    office_client.post(
        reverse("catalogue:photometric_attach", args=[product.pk, 1]), {"files": [sent("a.ies")]}
    )
    assert (
        "From its photometric file, a.ies"
        in office_client.get(product.get_absolute_url()).content.decode()
    )


def test_an_odd_file_is_attached_and_what_is_odd_is_shown(office_client):
    product = a_product(reference="AB-12")
    odd = IES.replace("1 1000 1", "1 100 1")
    office_client.post(reverse("catalogue:photometric"), {"files": [sent("AB-12.ies", odd)]})
    warnings = PhotometricFile.objects.get(product=product).warnings
    assert any("more than the 100 lm" in each for each in warnings)


def test_a_designer_changes_no_files(designer_client):
    product = a_product(reference="AB-12")
    for url in (
        reverse("catalogue:photometric"),
        reverse("catalogue:photometric_attach", args=[product.pk, 1]),
        reverse("catalogue:photometric_remove", args=[product.pk, 1]),
    ):
        assert designer_client.post(url, {"files": [sent("AB-12.ies")]}).status_code == 403
    assert not PhotometricFile.objects.exists()
    assert Product.objects.get() == product


def test_the_page_tells_how_high_a_scallop_reaches(designer_client):
    product = a_product(feed={"beam_deg": 36})
    page = designer_client.get(product.get_absolute_url())
    rows = [row.text for row in all_of(page, "table tbody tr") if "0.3 m" in row.text]
    # 2.4 − 0.3 / tan 18°: geometry.
    assert rows == ["0.3 m1.48 m"]
    wide = a_product(feed={"beam_deg": 170})
    assert "Scallop" not in designer_client.get(wide.get_absolute_url()).content.decode()


def test_scallops_are_drawn_with_their_distances_and_heights(designer_client):
    page = designer_client.get(a_product(feed={"beam_deg": 36}).get_absolute_url())
    drawn = [each.get("d") for each in all_of(page, "svg.scallops .beam-line")]
    # 0.8 m off, the beam reaches the floor before the wall.
    near = (0.1, 0.2, 0.3, 0.5)
    assert len(drawn) == len(near)
    tops = [min(float(place.split()[1]) for place in d[1:-1].split("L")) for d in drawn]
    # From the ceiling down [cm]: offset / tan 18°, geometry.
    assert tops == pytest.approx([100 * off / math.tan(math.radians(18)) for off in near], abs=0.1)
    spots = [float(each.get("cx")) - 160 for each in all_of(page, "svg.scallops circle")]
    assert spots == pytest.approx([100 * off for off in near])
    labels = [each.text for each in all_of(page, "svg.scallops text")]
    assert labels[2] == "0.3 m: 1.48 m"
    wide = designer_client.get(a_product(feed={"beam_deg": 120}).get_absolute_url())
    heights = [float(each.get("y")) for each in all_of(wide, "svg.scallops text")]
    assert len(heights) == 5
    assert all(below - above >= 15.9 for above, below in itertools.pairwise(heights))


def test_a_wide_beam_is_drawn_within_its_frame(designer_client):
    page = designer_client.get(a_product(feed={"beam_deg": 140}).get_absolute_url())
    lines = [each.get("d") for each in all_of(page, "svg.beam .beam-line")]
    halves = [float(d.split("H")[1]) for d in lines]
    assert len(halves) == 5
    assert max(halves) == pytest.approx(105, abs=0.1)
    assert halves[0] == pytest.approx(105 / 3, abs=0.2)
    assert len(all_of(page, "svg.beam text")) == 1
    narrow = designer_client.get(a_product(feed={"beam_deg": 24}).get_absolute_url())
    assert "2.0 m: ⌀ 0.85 m" in narrow.content.decode()
