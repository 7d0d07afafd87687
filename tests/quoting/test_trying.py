"""A try at the table: its price, kept, thrown away as one, and what stands in the way."""

from decimal import Decimal

import pytest
from django.urls import reverse

from base.deeds import Refusal
from catalogue.models import Product
from consult import client_view
from consult.models import Circuit, CircuitFitting, JournalEntry, Project, Room
from consult.rows import read_rows
from consult.services import circuits, house, scenes, turns
from quoting.drafting import draft_of
from quoting.models import Quote, Trial
from quoting.services import trying
from quoting.trying import trial_stand
from tests.conftest import all_of, logged_in, one
from tests.factories import PersonFactory, a_product, a_project, with_rates

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return PersonFactory(role="designer", name="Bram Achterberg")


@pytest.fixture
def project(by):
    with_rates()
    a_product(watts="14", lumens="1200", load_kinds=("switched", "digital-dimmed"))
    return a_project(by=by, rooms=2, circuits_each=2)


def fresh(project):
    return Project.objects.get(pk=project.pk)


def digest(project):
    return read_rows(fresh(project)).digest


def gross(project):
    return draft_of(Quote(project=fresh(project))).priced.gross_total


def changed_much(by, project):
    """Rows changed twice, made, made and changed, removed, made and removed."""
    row = CircuitFitting.objects.filter(project=project).order_by("pk").first()
    for pieces in (3, 7):
        circuits.fitting_change(by=by, fitting=row, pieces=pieces)
    room = Room.objects.filter(project=project).first()
    product = Product.objects.filter(kind="fitting").first()
    made = [
        circuits.circuit_add(
            by=by, room=Room.objects.get(pk=room.pk), name=name, load_kind="switched",
            fitting={"product": product, "pieces": 2},
        )
        for name in ("kept", "gone again")
    ]  # fmt: skip
    scenes.scene_add(
        by=by, project=fresh(project), group=room.group, name="Tried", levels={made[0]: 40}
    )
    circuits.circuit_change(by=by, circuit=made[0], name="renamed")
    circuits.circuit_remove(by=by, circuit=made[1])
    circuits.circuit_remove(
        by=by, circuit=Circuit.objects.filter(project=project).order_by("code").first()
    )
    house.room_change(by=by, room=Room.objects.get(pk=room.pk), length_m=Decimal("6.5"))
    turns.undo(by=by, project=fresh(project))
    turns.redo(by=by, project=fresh(project))


def test_discarded_the_design_is_as_it_was_in_one_act_that_can_be_taken_back(by, project):
    before = digest(project)
    trial = trying.trial_begin(by=by, project=fresh(project))
    changed_much(by, project)
    tried = digest(project)
    assert tried != before
    trying.trial_discard(by=by, trial=trial)
    assert digest(project) == before
    assert not Trial.objects.exists()
    last = JournalEntry.objects.filter(project=project).order_by("-number").first()
    assert (last.title, last.kind) == ("trial_discard", "act")
    turns.undo(by=by, project=fresh(project))
    assert digest(project) == tried
    turns.redo(by=by, project=fresh(project))
    assert digest(project) == before


def test_kept_everything_stays_and_is_taken_back_act_by_act(by, project):
    trial = trying.trial_begin(by=by, project=fresh(project))
    row = CircuitFitting.objects.filter(project=project).first()
    circuits.fitting_change(by=by, fitting=row, pieces=9)
    tried = digest(project)
    entries = JournalEntry.objects.count()
    trying.trial_keep(by=by, trial=trial)
    assert digest(project) == tried
    assert JournalEntry.objects.count() == entries
    assert trial_stand(fresh(project)) is None


def test_a_try_without_a_change_is_discarded_without_an_act(by, project):
    entries = JournalEntry.objects.count()
    trying.trial_discard(by=by, trial=trying.trial_begin(by=by, project=fresh(project)))
    assert JournalEntry.objects.count() == entries
    assert not Trial.objects.exists()


def test_it_tells_the_acts_that_stand_and_the_difference_to_the_penny(by, project):
    before = gross(project)
    trying.trial_begin(by=by, project=fresh(project))
    row = CircuitFitting.objects.filter(project=project).first()
    for pieces in (15, 26, 8):
        circuits.fitting_change(by=by, fitting=row, pieces=pieces)
    turns.undo(by=by, project=fresh(project))
    stand = trial_stand(fresh(project))
    assert stand.acts == 2
    after = gross(project)
    assert after > before
    assert stand.dearer(draft_of(Quote(project=fresh(project))).priced) == after - before


def test_in_another_currency_there_is_no_difference(by, project):
    trying.trial_begin(by=by, project=fresh(project))
    Trial.objects.update(currency="SEK")
    priced = draft_of(Quote(project=fresh(project))).priced
    assert trial_stand(fresh(project)).dearer(priced) is None


def test_what_somebody_else_did_meanwhile_is_not_thrown_away(by, project):
    trial = trying.trial_begin(by=by, project=fresh(project))
    row = CircuitFitting.objects.filter(project=project).first()
    circuits.fitting_change(by=PersonFactory(name="Sunniva Lyle"), fitting=row, pieces=4)
    tried = digest(project)
    with pytest.raises(Refusal, match=r"Sunniva Lyle changed this design .* Bram Achterberg"):
        trying.trial_discard(by=by, trial=trial)
    assert digest(project) == tried
    assert Trial.objects.get() == trial


def test_one_at_a_time_and_not_in_a_pattern(by, project):
    trying.trial_begin(by=by, project=fresh(project))
    with pytest.raises(Refusal, match="Bram Achterberg is trying something"):
        trying.trial_begin(by=PersonFactory(), project=fresh(project))
    other = a_project(by=by)
    Project.objects.filter(pk=other.pk).update(is_library=True)
    with pytest.raises(Refusal, match="A pattern has no price"):
        trying.trial_begin(by=by, project=fresh(other))
    assert Trial.objects.count() == 1


def test_at_the_table_it_is_begun_told_and_discarded(by, project):
    staff = logged_in(by)
    room = Room.objects.filter(project=project).first()
    region = reverse("quoting:room_price", args=[room.pk])
    begin = reverse("quoting:trial_begin", args=[room.pk])
    form = next(f for f in all_of(staff.get(region), "form") if f.get("action") == begin)
    assert form.text == "Try something"
    assert staff.post(begin)["Location"] == room.get_absolute_url()
    row = CircuitFitting.objects.filter(circuit__room=room).first()
    circuits.fitting_change(by=by, fitting=row, pieces=20)
    page = staff.get(region)
    assert "Bram Achterberg is trying something since" in one(page, ".trial").text
    assert "1 change." in one(page, ".trial").text
    assert one(page, ".trial .figure").text.startswith("+£")
    assert [b.text for b in all_of(page, ".trial button")] == ["Keep", "Discard"]
    staff.post(reverse("quoting:trial_discard", args=[room.pk]))
    row.refresh_from_db()
    assert row.pieces != 20
    assert not all_of(staff.get(region), ".trial")


def test_while_prices_are_hidden_the_try_is_told_without_money(by, project, monkeypatch):
    staff = logged_in(by)
    room = Room.objects.filter(project=project).first()
    staff.post(reverse("quoting:trial_begin", args=[room.pk]))
    monkeypatch.setattr(client_view, "shows_prices", lambda _request: False)
    page = staff.get(reverse("quoting:room_price", args=[room.pk]))
    assert "is trying something" in one(page, ".trial").text
    assert "£" not in page.content.decode()


@pytest.mark.parametrize("name", ["trial_keep", "trial_discard"])
def test_what_ended_already_is_said(by, project, name):
    staff = logged_in(by)
    room = Room.objects.filter(project=project).first()
    answer = staff.post(reverse(f"quoting:{name}", args=[room.pk]), follow=True)
    assert "Nothing is tried here any more" in answer.content.decode()


def test_a_refusal_is_said_on_the_page_and_nothing_is_lost(by, project):
    staff = logged_in(by)
    room = Room.objects.filter(project=project).first()
    staff.post(reverse("quoting:trial_begin", args=[room.pk]))
    again = staff.post(reverse("quoting:trial_begin", args=[room.pk]), follow=True)
    assert "Keep or discard that first." in again.content.decode()
    assert Trial.objects.count() == 1


@pytest.mark.parametrize("name", ["trial_begin", "trial_keep", "trial_discard"])
def test_a_stranger_ends_and_begins_nothing(client, by, project, name):
    if name != "trial_begin":
        trying.trial_begin(by=by, project=fresh(project))
    count = Trial.objects.count()
    room = Room.objects.filter(project=project).first()
    answer = client.post(reverse(f"quoting:{name}", args=[room.pk]))
    assert answer["Location"].startswith("/account/login/")
    assert Trial.objects.count() == count
