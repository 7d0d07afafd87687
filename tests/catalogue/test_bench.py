"""What was tried together: kept by whoever works here, refused where it cannot be, read as stock."""

import datetime
import uuid

import pytest
from django.urls import reverse
from django.utils import timezone

from base.deeds import Refusal, Stale
from catalogue import bench_services, edition
from catalogue.bench_models import BenchTest
from catalogue.models import Product
from catalogue.reader import read_stock
from consult.found import read_findings
from consult.models import Circuit
from consult.services import circuits
from tests.conftest import all_of, one
from tests.factories import PersonFactory, a_product, a_project, a_receiver

pytestmark = pytest.mark.django_db
TODAY = timezone.localdate()


@pytest.fixture
def designer_of_lamps(client):
    client.force_login(PersonFactory())
    return client


@pytest.fixture
def pair():
    return a_product(name="Slow downlight"), a_receiver()


def values(pair, **given):
    load, receiver = pair
    return {
        "load": load.reference, "receiver": receiver.reference, "edge": "trailing", "pieces": "6",
        "lowest_level": "4", "flicker": "none", "tried_on": TODAY.isoformat(), "note": "", **given,
    }  # fmt: skip


def fields(pair, **given):
    load, receiver = pair
    return {
        "load": load, "receiver": receiver, "edge": "", "pieces": 6, "lowest_level": None,
        "flicker": "none", "tried_on": TODAY, "note": "", **given,
    }  # fmt: skip


def kept(by, pair, **given):
    return bench_services.add_bench_test(by=by, fields=fields(pair, **given), today=TODAY)


def test_a_designer_keeps_changes_and_removes_what_was_tried(designer_of_lamps, pair):
    before = edition.current()
    designer_of_lamps.post(reverse("catalogue:bench_add"), values(pair))
    row = BenchTest.objects.get()
    assert (row.lowest_level, row.pieces, row.edge) == (4, 6, "trailing")
    assert row.by is not None and edition.current() == before + 1
    page = designer_of_lamps.get(reverse("catalogue:bench"))
    assert "Slow downlight" in one(page, "tbody th").text and "4 %" in one(page, "tbody").text
    address = reverse("catalogue:bench_change", args=[row.pk])
    designer_of_lamps.post(address, values(pair, flicker="seen", seen=row.version))
    assert BenchTest.objects.get().flicker == "seen"
    designer_of_lamps.post(reverse("catalogue:bench_remove", args=[row.pk]))
    assert not BenchTest.objects.exists()
    assert all_of(designer_of_lamps.get(reverse("catalogue:bench")), ".empty-state")


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"load": "nothing"}, "no product with this reference"),
        ({"pieces": "0"}, "greater than or equal to 1"),
        ({"lowest_level": "101"}, "less than or equal to 100"),
        ({"flicker": "maybe"}, "not one of the available"),
        ({"tried_on": "2999-01-01"}, "has not come yet"),
    ],
)
def test_what_cannot_be_is_refused_and_stays_typed(designer_of_lamps, pair, given, said):
    answer = designer_of_lamps.post(reverse("catalogue:bench_add"), values(pair, **given))
    assert answer.status_code == 200 and said in answer.content.decode()
    assert "trailing" in answer.content.decode()
    assert not BenchTest.objects.exists()


def test_only_lights_and_drivers_are_tried_and_only_on_receivers(pair):
    by, (load, receiver) = PersonFactory(), pair
    with pytest.raises(Refusal, match="choose one of those"):
        kept(by, (receiver, receiver))
    with pytest.raises(Refusal, match="on a receiver"):
        kept(by, (load, load))
    kept(by, pair)
    with pytest.raises(Refusal, match="kept already"):
        kept(by, pair)


def test_who_saw_an_older_try_does_not_overwrite_the_newer(pair):
    by = PersonFactory()
    row = kept(by, pair)
    bench_services.change_bench_test(
        by=by, row=row, fields=fields(pair, pieces=8), today=TODAY, seen=1
    )
    with pytest.raises(Stale):
        bench_services.change_bench_test(
            by=by, row=row, fields=fields(pair, pieces=2), today=TODAY, seen=1
        )
    assert BenchTest.objects.get().pieces == 8


def test_somebody_who_left_keeps_nothing(pair):
    with pytest.raises(Refusal, match="works here"):
        kept(PersonFactory(is_active=False), pair)


def test_a_stranger_is_sent_to_the_log_in_and_a_missing_row_is_404(client, designer_of_lamps):
    assert (
        designer_of_lamps.get(reverse("catalogue:bench_change", args=[uuid.uuid4()])).status_code
        == 404
    )
    remove = reverse("catalogue:bench_remove", args=[uuid.uuid4()])
    assert designer_of_lamps.post(remove).status_code == 404
    assert designer_of_lamps.get(remove).status_code == 405
    client.logout()
    assert "/account/login/" in client.get(reverse("catalogue:bench"))["Location"]


def test_a_finding_opens_the_form_with_its_pair_and_goes_once_it_was_tried(designer_of_lamps):
    by = PersonFactory()
    receiver = a_receiver()
    project = a_project(by=by)
    circuits.circuit_change(by=by, circuit=Circuit.objects.get(), load_kind="phase-dimmed")

    def untried():
        return [r for r in read_findings(project).rows if r.found.rule == "pair-untried"]

    (row,) = untried()
    form = designer_of_lamps.get(row.url)
    assert one(form, "input[name=receiver]")["value"] == receiver.reference
    load = Product.objects.get(reference=one(form, "input[name=load]")["value"])
    kept(by, (load, receiver))
    assert not untried()


def test_the_stock_holds_the_tries_of_its_products_newest_first_in_one_query(pair, queries):
    by = PersonFactory()
    kept(by, pair, tried_on=TODAY - datetime.timedelta(days=9))
    newest = kept(by, pair)
    kept(by, (a_product(), pair[1]), pieces=3)

    def read():
        return read_stock(product_ids=[pair[0].pk], day=TODAY, currency="GBP")

    assert [each.tried_on for each in read().bench] == [
        newest.tried_on, TODAY - datetime.timedelta(days=9),
    ]  # fmt: skip
    before = queries(read)
    kept(by, pair, pieces=9)
    assert queries(read) == before
