"""The office at its desk: finding, folding, discounts and approvals, letters, exports, copies."""

import datetime
import io
import json
import uuid
from decimal import Decimal
from unittest import mock

import pytest
from django.core import mail
from django.urls import reverse
from django.utils import timezone
from openpyxl import load_workbook

from base import outbox
from base.models import MailText, Outbox
from consult.models import Circuit, Option, OptionGroup, Room
from consult.services import house
from quoting import waiting
from quoting.drafting import draft_of
from quoting.issued import read_internal, read_offer
from quoting.models import (
    AccessFactor,
    ActualHours,
    Link,
    ManualLine,
    Question,
    Quote,
    QuoteApproval,
    QuoteDiscount,
    QuotingRules,
    Revision,
)
from quoting.services import answers, fees, links, quotes
from tests.conftest import all_of, logged_in, one
from tests.factories import PersonFactory, a_quote

pytestmark = pytest.mark.django_db
COSTS = ("21.37", "93.21", "31.10")


@pytest.fixture
def quote():
    return a_quote()


def url(name, *args):
    return reverse(f"quoting:{name}", args=args)


def issued(quote):
    return quotes.quote_issue(by=PersonFactory(role="manager"), quote=quote)


def alone(client):
    client.post(reverse("consult:visit"), {"client": "away"})


def of_state(state):
    quote = a_quote()
    if state == "draft":
        return quote
    revision = issued(quote)
    secret = links.new_secret()
    link = links.link_make(by=None, revision=revision, for_whom="Ida", secret=secret)
    if state == "accepted":
        answers.offer_accept(
            link=link, name="Ida", agrees=True, offer_sha256=revision.offer_sha256,
            terms_version="1",
        )  # fmt: skip
    if state == "declined":
        answers.offer_decline(link=link, reason="")
    if state == "withdrawn":
        quotes.quote_withdraw(by=PersonFactory(), quote=quote)
    return quote


# --- finding ------------------------------------------------------------------------------------
def test_quotes_are_filtered_by_the_state_they_are_in(office_client):
    made = {state: of_state(state) for state in ("draft", "issued", "accepted", "declined", "withdrawn")}  # fmt: skip
    for state, quote in made.items():
        page = office_client.get(url("quotes"), {"state": state})
        links_ = [found["href"] for found in all_of(page, ".choices a")]
        assert links_ == [quote.get_absolute_url()], state


def test_the_state_in_the_database_is_the_state_of_the_row():
    made = [of_state(s) for s in ("draft", "issued", "accepted", "declined", "withdrawn")]
    today = timezone.localdate()
    for on in (today, today + datetime.timedelta(days=400)):
        found = Quote.objects.with_state(on=on).with_issues()
        assert {q.pk: q.state_now for q in found} == {q.pk: q.state(on=on) for q in found}
    assert len(made) == Quote.objects.count()


def test_columns_sum_what_stands_in_each_state(office_client):
    of_state("issued"), of_state("issued"), of_state("accepted")
    page = office_client.get(url("quotes"), {"view": "columns"})
    assert "£1,293.60" in one(page, "section[aria-label=Issued]").text
    assert "£646.80" in one(page, "section[aria-label=Accepted]").text
    assert "£" not in one(page, "section[aria-label=Draft]").text


def test_the_list_asks_the_same_at_one_quote_and_at_ten(office_client, queries):
    of_state("issued")
    office_client.get(url("quotes"))
    few = queries(lambda: office_client.get(url("quotes")))
    for _each in range(9):
        of_state("issued")
    assert queries(lambda: office_client.get(url("quotes"))) == few


# --- the draft ----------------------------------------------------------------------------------
def test_no_cost_and_no_margin_is_sent_until_somebody_says_that_no_client_is_there(
    office_client, quote
):
    QuotingRules.objects.create(target_margin=Decimal("0.4567"), minimum_margin=Decimal("0.99"))
    quotes.quote_change(
        by=PersonFactory(), quote=quote, sell_by="markup", sell_share=Decimal("1.2345")
    )
    pages = (quote.get_absolute_url(), quote.get_absolute_url() + "?open=all", url("by_month"))
    for page in pages:
        html = office_client.get(page).content.decode()
        assert not [
            cost
            for cost in (*COSTS, "45.7", "123.45", "Margin", ">Cost<", "margin")
            if cost in html
        ], page
    alone(office_client)
    html = office_client.get(quote.get_absolute_url() + "?open=all").content.decode()
    assert not [known for known in ("Margin", "45.7", "123.45") if known not in html]


def test_every_room_is_folded_to_its_sum_and_one_opens_by_its_address(office_client, quote):
    page = office_client.get(quote.get_absolute_url())
    room = Room.objects.get()
    part = one(page, f"#part-{room.pk}")
    assert part.get("open", "no") == "no"
    assert "£264.00" in part.all("summary")[0].text
    page = office_client.get(quote.get_absolute_url() + f"?open={room.pk}")
    assert one(page, f"#part-{room.pk}").get("open", "no") != "no"


def test_labour_is_told_by_operation_and_by_room(office_client, quote):
    text = one(office_client.get(quote.get_absolute_url()), "#part-hours").text
    assert "2 h" in text
    assert "Second fix" in text


def test_a_crew_shares_the_days_and_not_the_hours(office_client, manager_client, quote):
    def told():
        return one(office_client.get(quote.get_absolute_url()), "#part-hours summary").text

    net = draft_of(quote).priced.net_total
    assert "2 h, 0.2 days" in told()
    assert "people" not in told()
    QuotingRules.objects.create(crew=2)
    # 2 h shared by two are 1 h of a day of eight.
    assert "2 h, 0.1 days for 2 people" in " ".join(told().split())
    assert draft_of(quote).priced.net_total == net
    form = one(manager_client.get(url("rules")), "#id_crew")
    assert form["value"] == "2"


# --- discounts and approvals --------------------------------------------------------------------
def test_a_room_discount_takes_off_the_rooms_lines_only(office_client, quote):
    room = Room.objects.get()
    given = {"place": f"room|{room.pk}", "share": "5", "reason": "courtesy"}
    office_client.post(url("discount_set", quote.pk), given)
    draft = draft_of(Quote.objects.get())
    assert {line.section: line.discount for line in draft.lines} == {
        "room": Decimal("0.05"), "control": 0, "labour": 0,
    }  # fmt: skip
    assert draft.priced.net_total == Decimal("539.00") - Decimal("13.20")


@pytest.mark.parametrize(("typed", "kept"), [("200", 0), ("0", 0), ("-5", 0), ("100", 1)])
def test_an_absurd_discount_is_refused(office_client, quote, typed, kept):
    given = {"place": "kind|fitting", "share": typed, "reason": "r"}
    office_client.post(url("discount_set", quote.pk), given)
    assert QuoteDiscount.objects.count() == kept


def test_a_lines_own_discount_comes_before_its_rooms_and_its_kinds(quote):
    by = PersonFactory()
    room = Room.objects.get()
    for scope, about, share in (("kind", "fitting", "0.1"), ("room", str(room.pk), "0.2")):
        quotes.discount_set(
            by=by, quote=quote, scope=scope, about=about, share=Decimal(share), reason="r"
        )

    def discount():
        return next(x for x in draft_of(quote).lines if x.bill.kind == "fitting")

    assert discount().discount == Decimal("0.2")
    quotes.override_set(
        by=by, quote=quote, line_key=discount().key, field="discount", value="0.3", reason="r"
    )
    assert discount().discount == Decimal("0.3")


def test_a_commission_stands_in_the_internal_half_alone(client, office_client, quote):
    by = PersonFactory()
    alone(office_client)
    given = {"discount_share": "0", "deposit_share": "0", "validity_days": "30"}
    given |= {"delivery": "supply_and_install", "sell_by": "list", "commission_share": "7.5"}
    change = url("quote_change", quote.pk)
    refused = office_client.post(change, {**given, "seen": quote.version})
    assert "Say who it goes to" in refused.content.decode()
    office_client.post(change, {**given, "seen": quote.version, "commission_to": "Orla Tench"})
    # 7.5 % of 539.00 without tax is 40.425, so 40.43.
    assert "£40.43" in one(office_client.get(quote.get_absolute_url()), ".totals").text
    revision = issued(Quote.objects.get())
    internal = read_internal(revision)
    assert internal.commission == Decimal("40.43")
    assert internal.notes == ("Commission to Orla Tench",)
    secret = links.new_secret()
    links.link_make(by=by, revision=revision, for_whom="Ida", secret=secret)
    page = client.get(reverse("quoting:offer", args=[secret])).content.decode()
    for seen in (bytes(revision.offer).decode(), page):
        assert "Tench" not in seen
        assert "40.43" not in seen


def test_no_commission_is_sent_while_a_client_may_look(office_client, quote):
    Quote.objects.update(commission_share=Decimal("0.1"), commission_to="Orla Tench")
    assert "Tench" not in office_client.get(quote.get_absolute_url()).content.decode()


def test_above_ones_limit_it_takes_a_manager_and_a_reason_and_holds_for_what_was_shown(
    office_client, manager_client, quote
):
    quotes.quote_change(by=PersonFactory(), quote=quote, discount_share=Decimal("0.15"))
    office_client.post(url("quote_issue", quote.pk))
    assert not Revision.objects.exists()
    alone(manager_client)
    QuotingRules.objects.create(minimum_margin=Decimal("0.01"), limit_manager=Decimal("0.12"))
    page = manager_client.get(quote.get_absolute_url())
    shown = one(page, "input[name=shown]")["value"]
    approve = url("quote_approve", quote.pk)
    office_client.post(approve, {"reason": "please", "shown": shown})
    manager_client.post(approve, {"reason": " ", "shown": shown})
    manager_client.post(approve, {"reason": "old client", "shown": "0" * 64})
    assert not QuoteApproval.objects.exists()
    manager_client.post(approve, {"reason": "old client", "shown": shown})
    office_client.post(url("quote_issue", quote.pk))
    internal = read_internal(Revision.objects.get())
    assert internal.approval_reason == "old client"
    assert internal.approved_by
    assert "old client" not in bytes(Revision.objects.get().offer).decode()


def test_an_approval_is_over_once_a_price_moves(quote):
    manager = PersonFactory(role="manager")
    QuotingRules.objects.create(minimum_margin=Decimal("0.9"))
    from quoting.approving import digest_of

    with pytest.raises(quotes.Refusal, match="manager"):
        quotes.quote_issue(by=manager, quote=quote)
    shown = digest_of(draft_of(quote))
    quotes.quote_approve(by=manager, quote=quote, reason="opening offer", shown=shown)
    quotes.line_add(
        by=manager, quote=quote, description="More", quantity=1, unit_price=1, unit_cost=1
    )
    with pytest.raises(quotes.Refusal, match="manager"):
        quotes.quote_issue(by=manager, quote=Quote.objects.get())


def test_a_price_overruled_downwards_is_a_discount_by_another_name(quote):
    designer = PersonFactory(role="designer")
    line = next(x for x in draft_of(quote).lines if x.bill.kind == "fitting")
    quotes.override_set(
        by=designer, quote=quote, line_key=line.key, field="unit_price", value="30", reason="r"
    )
    with pytest.raises(quotes.Refusal, match="limit"):
        quotes.quote_issue(by=designer, quote=quote)


@pytest.mark.parametrize(
    ("values", "price"),
    [
        ({"sell_by": "margin", "sell_share": Decimal("0.5")}, "42.74"),  # 21.37 / (1 − 0.5)
        ({"sell_by": "markup", "sell_share": Decimal("0.5")}, "32.06"),  # 21.37 × 1.5 = 32.055
        ({"sell_by": "list", "sell_share": Decimal("0.5")}, "44.00"),
    ],
)
def test_products_are_sold_by_margin_or_mark_up_where_the_quote_says_so(quote, values, price):
    quotes.quote_change(by=PersonFactory(), quote=quote, **values)
    line = next(x for x in draft_of(Quote.objects.get()).lines if x.bill.kind == "fitting")
    assert line.unit_price == Decimal(price)


def test_worked_out_prices_end_as_the_business_likes(quote):
    QuotingRules.objects.create(taste_step=Decimal(1), taste_ending=Decimal("0.95"))
    share = Decimal("0.5")
    quotes.quote_change(by=PersonFactory(), quote=quote, sell_by="margin", sell_share=share)
    line = next(x for x in draft_of(Quote.objects.get()).lines if x.bill.kind == "fitting")
    assert line.unit_price == Decimal("42.95")


def test_a_tax_treatment_is_recorded_with_its_evidence_and_printed_in_the_offer(quote):
    by = PersonFactory(role="office")
    line = next(x for x in draft_of(quote).lines if x.bill.kind == "fitting")
    quotes.override_set(
        by=by, quote=quote, line_key=line.key, field="tax_treatment", value="reverse_charge",
        reason="client's number seen on 3 May",
    )  # fmt: skip
    offer = read_offer(quotes.quote_issue(by=by, quote=quote))
    found = next(x for x in offer.lines() if x.key == line.key)
    assert (found.tax_treatment, found.tax_rate) == ("reverse_charge", 0)
    assert found.tax_reason == "client's number seen on 3 May"
    # 171.00 and 104.00 at 20 %: 55.00.
    assert offer.totals.tax == Decimal("55.00")


@pytest.mark.parametrize("value", ["cheap", "", "standard "])
def test_an_unknown_treatment_is_refused(quote, value):
    line = draft_of(quote).lines[0]
    with pytest.raises(quotes.Refusal, match="treatments"):
        quotes.override_set(
            by=PersonFactory(), quote=quote, line_key=line.key, field="tax_treatment",
            value=value, reason="r",
        )  # fmt: skip


def test_a_treatment_whose_rate_the_day_does_not_know_stops_the_issue(quote):
    by, line = PersonFactory(), draft_of(quote).lines[0]
    quotes.override_set(
        by=by, quote=quote, line_key=line.key, field="tax_treatment", value="reduced", reason="r"
    )
    with pytest.raises(quotes.Refusal, match="no tax rate"):
        quotes.quote_issue(by=by, quote=quote)


# --- labour -------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("delivery", "installed_by", "has_labour"),
    [
        ("supply_and_install", "showroom", True),
        ("supply_only", "client", False),
        ("clients_electrician", "electrician", False),
    ],
)
def test_whose_work_it_is_changes_the_lines_and_is_said(quote, delivery, installed_by, has_labour):
    quotes.quote_change(by=PersonFactory(), quote=quote, delivery=delivery)
    offer = read_offer(issued(Quote.objects.get()))
    assert {line.installed_by for room in offer.rooms for line in room.lines} == {installed_by}
    assert bool(offer.labour) == has_labour
    assert bool(offer.exclusions) != has_labour


def test_the_least_hours_of_a_job_are_a_line_of_their_own_with_its_reason(quote):
    QuotingRules.objects.create(call_out_hours=Decimal(3))
    line = next(x for x in draft_of(quote).lines if x.bill.operation == "call-out")
    assert (line.quantity, line.why[0].code) == (Decimal("1.00"), "least_hours")
    quotes.quote_change(by=PersonFactory(), quote=quote, delivery="supply_only")
    assert not [x for x in draft_of(Quote.objects.get()).lines if x.section == "labour"]


def test_the_businesss_own_factors_multiply_the_minutes(quote):
    Room.objects.update(height_m=Decimal("2.4"))
    AccessFactor.objects.create(what="height", up_to_m=Decimal("2.5"), factor=Decimal("1.5"))
    AccessFactor.objects.create(what="occupied", factor=Decimal("2"))

    def hours():
        return next(x.quantity for x in draft_of(Quote.objects.get()).lines if x.bill.operation)

    assert hours() == Decimal("3.00")
    quotes.quote_change(by=PersonFactory(), quote=quote, is_occupied=True)
    assert hours() == Decimal("6.00")


def test_the_finish_of_a_room_tells_in_the_overview_why_fixing_takes_longer(
    office_client, manager_client, quote
):
    house.room_change(
        by=PersonFactory(), room=Room.objects.get(), ceiling_finish="concrete", wall_finish="lath"
    )
    before = next(x for x in draft_of(quote).lines if x.section == "labour").quantity
    overview = one(office_client.get(quote.get_absolute_url()), "#part-hours").text
    assert "ceiling of concrete × 1.5" in overview
    assert "walls of lath and plaster × 1.2" in overview
    page = manager_client.get(url("rules"))
    (row,) = (r.text for r in all_of(page, "#factors tbody tr") if "concrete" in r.text)
    assert "× 1.5" in row
    manager_client.post(url("factor_set"), {"what": "concrete", "factor": "1.8"})
    after = next(x for x in draft_of(quote).lines if x.section == "labour").quantity
    assert after == (before / Decimal("1.5") * Decimal("1.8")).quantize(Decimal("0.01"))
    text = " ".join(one(office_client.get(quote.get_absolute_url()), "#part-hours").text.split())
    assert "ceiling of concrete × 1.8" in text


def test_hours_as_worked_stand_beside_the_norm(office_client, quote):
    page = url("hours", quote.project_id)
    given = {"operation": "second-fix", "hours": "2.75", "day": "2026-03-02", "key": uuid.uuid4()}
    for _press in range(2):
        office_client.post(url("hours_add", quote.project_id), given)
    assert ActualHours.objects.count() == 1
    assert "0.75" in one(office_client.get(page), "table").text
    bad = office_client.post(url("hours_add", quote.project_id), {**given, "hours": "-1"})
    assert "greater than or equal to 0" in bad.content.decode()
    assert ActualHours.objects.count() == 1


# --- rules --------------------------------------------------------------------------------------
RULES = {
    "limit_designer": "5", "limit_office": "10", "limit_manager": "100", "minimum_margin": "25",
    "taste_ending": "0", "taste_rounding": "nearest", "call_out_hours": "0",
    "hours_per_day": "7.5", "remind_days": "7", "exclusions": "Making good\n\nScaffold",
}  # fmt: skip


def test_a_manager_sets_the_rules_and_nobody_else(office_client, manager_client, quote):
    office_client.post(url("rules"), {**RULES, "seen": "0"})
    assert not QuotingRules.objects.exists()
    manager_client.post(url("rules"), {**RULES, "seen": "0"})
    rules = QuotingRules.objects.get()
    assert (rules.minimum_margin, rules.hours_per_day) == (Decimal("0.25"), Decimal("7.5"))
    assert read_offer(issued(quote)).exclusions == ("Making good", "Scaffold")
    stale = manager_client.post(url("rules"), {**RULES, "remind_days": "9", "seen": "7"})
    assert "Somebody changed this" in stale.content.decode()
    assert QuotingRules.objects.get().remind_days == 7


@pytest.mark.parametrize(
    "change", [{"taste_step": "1", "taste_ending": "1"}, {"minimum_margin": "101"}]
)
def test_absurd_rules_are_refused(manager_client, change):
    manager_client.post(url("rules"), {**RULES, **change, "seen": "0"})
    assert not QuotingRules.objects.exists()


def test_numbers_run_on_where_the_business_wants_it(quote):
    QuotingRules.objects.create(numbers_by_year=False)
    assert issued(quote).number == "00001"
    assert issued(a_quote()).number == "00002"


def test_a_letter_is_worded_seen_and_kept(manager_client, office_client, manager):
    page = url("wording", "offer")
    given = {"subject": "For {who}", "body": "{address}"}
    seen = manager_client.post(page, {**given, "see": "1"})
    assert "For Ida Marrow" in one(seen, "#preview").text
    office_client.post(page, {**given, "keep": "1"})
    assert not MailText.objects.exists()
    manager_client.post(page, {**given, "keep": "1"})
    assert MailText.objects.get().subject == "For {who}"
    manager_client.post(url("wording_drop", "offer"))
    assert not MailText.objects.exists()
    assert manager_client.get(url("wording", "nonsense")).status_code == 404


# --- issues -------------------------------------------------------------------------------------
def mailed_link(revision):
    return links.link_make(
        by=None, revision=revision, for_whom="Ida", secret=links.new_secret(),
        email="ida@house.example",
    )  # fmt: skip


def test_a_link_is_mailed_once_for_two_presses_and_its_state_shows(office_client, quote):
    revision = issued(quote)
    link = mailed_link(revision)
    key = str(uuid.uuid4())
    for _press in range(2):
        office_client.post(url("link_send", link.pk), {"key": key})
    outbox.deliver_due()
    assert len(mail.outbox) == 1
    page = office_client.get(revision.get_absolute_url())
    assert "sent" in one(page, "#letters .sheet").text


def test_a_letter_in_doubt_is_settled_by_a_person(office_client, quote):
    revision = issued(quote)
    links.link_send(by=PersonFactory(), link=mailed_link(revision), site="https://x.example")
    Outbox.objects.update(state="unknown")
    letter = Outbox.objects.get()
    found = waiting.for_home(user=PersonFactory(), on=timezone.localdate())
    assert [each.word for each in found] == ["Was it sent?"]
    office_client.post(url("letter_settle", letter.pk), {"was_sent": "1"})
    assert Outbox.objects.get().state == "sent"


def test_a_letter_of_nothing_of_ours_is_not_found(office_client):
    row = Outbox.objects.create(name="offer", to="a@b.example", message_id="<x@y>")
    assert office_client.post(url("letter_again", row.pk)).status_code == 404


def test_a_question_is_answered_once(office_client, quote):
    asked = Question.objects.create(revision=issued(quote), text="Warmer?")
    assert waiting.for_home(user=PersonFactory(), on=timezone.localdate())[0].kind == "look"
    for answer in ("", "Yes.", "No."):
        office_client.post(url("question_answer", asked.pk), {"answer": answer})
    assert Question.objects.get().answer == "Yes."


def test_each_file_for_other_programs_says_the_same_total_and_no_cost(office_client, quote):
    revision = issued(quote)
    files = {
        form: office_client.get(url("export", revision.pk, form))
        for form in ("xlsx", "csv", "ubl", "json")
    }
    for form, answer in files.items():
        assert answer["Content-Disposition"].startswith("attachment"), form
        assert not [cost for cost in COSTS if cost.encode() in answer.content], form
    assert json.loads(files["json"].content)["totals"]["gross"] == "646.80"
    assert b">646.80<" in files["ubl"].content
    book = load_workbook(io.BytesIO(files["xlsx"].content))
    cells = [cell for sheet in book for row in sheet.iter_rows(values_only=True) for cell in row]
    assert not {float(cost) for cost in COSTS} & {c for c in cells if isinstance(c, float)}
    assert office_client.get(url("export", revision.pk, "exe")).status_code == 404


def test_a_stranger_gets_no_file(client, quote):
    answer = client.get(url("export", issued(quote).pk, "json"))
    assert answer.status_code == 302


def test_what_changed_between_two_issues_is_told(office_client, quote):
    first = issued(quote)
    assert office_client.get(url("differences", first.pk)).status_code == 404
    by = PersonFactory()
    quotes.quote_revise(by=by, quote=quote)
    quotes.line_add(by=by, quote=quote, description="Making good", quantity=2, unit_price=40)
    second = issued(quote)
    page = office_client.get(url("differences", second.pk))
    assert "+£96.00" in one(page, ".title-block").text
    assert "Making good" in one(page, "table").text
    assert office_client.get(url("differences", second.pk) + "?from=Z").status_code == 404


def test_a_quote_is_copied_with_its_terms_and_lines(office_client, quote):
    by, other = PersonFactory(), a_quote().project
    quotes.quote_change(by=by, quote=quote, discount_share=Decimal("0.05"))
    quotes.line_add(
        by=by, quote=quote, description="Making good", quantity=2, unit_price=40,
        room=Room.objects.filter(project=quote.project).get(),
    )  # fmt: skip
    before = Quote.objects.count()
    given = {"project": str(other.pk), "key": str(uuid.uuid4())}
    for _press in range(2):
        office_client.post(url("quote_copy", quote.pk), given)
    assert Quote.objects.count() == before + 1
    made = Quote.objects.filter(project=other).order_by("-created_at").first()
    assert (made.discount_share, made.number) == (Decimal("0.05"), None)
    assert ManualLine.objects.get(quote=made).room is None
    nobody = office_client.post(url("quote_copy", quote.pk), {"project": "nonsense"})
    assert nobody.status_code == 404


def test_months_tell_conversion_to_all_and_margin_to_who_is_alone(office_client):
    of_state("accepted"), of_state("issued")

    def last_month():
        row = all_of(office_client.get(url("by_month")), "tbody tr")[-1]
        return [cell.text for cell in row.all("td") if cell.text]

    assert last_month() == ["2", "1", "50 %"]
    alone(office_client)
    # 539.00 less 6 × 21.37, 93.21 and 2 × 31.10.
    assert last_month()[3:5] == ["£539.00", "£255.37"]


def test_an_issue_without_an_answer_is_to_be_asked_again(quote):
    issued(quote)
    today, user = timezone.localdate(), PersonFactory()
    assert waiting.for_home(user=user, on=today) == []
    later = today + datetime.timedelta(days=8)
    assert [each.word for each in waiting.for_home(user=user, on=later)] == ["Ask again"]
    Quote.objects.update(follow_up_on=later + datetime.timedelta(days=5))
    assert waiting.for_home(user=user, on=later) == []


def test_the_days_of_silence_count_from_the_newest_issue(office, quote):
    issued(quote)
    today, user = timezone.localdate(), PersonFactory()
    past = timezone.now() + datetime.timedelta(days=7)
    with mock.patch("django.utils.timezone.now", return_value=past):
        quotes.quote_revise(by=office, quote=Quote.objects.get(pk=quote.pk))
        quotes.quote_issue(by=office, quote=Quote.objects.get(pk=quote.pk))
    soon, later = (today + datetime.timedelta(days=days) for days in (10, 15))
    assert waiting.for_home(user=user, on=soon) == []
    assert [each.word for each in waiting.for_home(user=user, on=later)] == ["Ask again"]


def test_a_letter_of_a_design_fee_that_went_wrong_leads_to_its_page(office, quote):
    fee = fees.fee_set(
        by=office, project=quote.project, words="Design", net=Decimal(9),
        tax_treatment="standard", is_credited=False,
    )  # fmt: skip
    Outbox.objects.create(
        name="fee-due",
        to="ida@house.example",
        about=str(fee.pk),
        state="failed",
        message_id="<a@b>",
    )
    (row,) = waiting.for_home(user=office, on=timezone.localdate())
    assert row.url == url("fee", quote.project_id) + "#letters"


# --- options ------------------------------------------------------------------------------------
def test_options_are_made_filled_taken_and_removed_and_taken_back(office_client, quote):
    page = url("options", quote.project_id)
    given = {"name": "How full", "is_one_of": "on", "options": "Plain\nFuller\nFullest"}
    office_client.post(url("group_add", quote.project_id), given)
    assert [(o.name, o.is_in) for o in Option.objects.all()] == [
        ("Plain", True), ("Fuller", False), ("Fullest", False),
    ]  # fmt: skip
    fuller = Option.objects.get(name="Fuller")
    circuit = Circuit.objects.get()
    office_client.post(url("part_put", fuller.pk), {"part": f"circuit:{circuit.pk}"})
    assert Circuit.objects.get().option == fuller
    assert circuit.code in office_client.get(page).content.decode()
    office_client.post(url("option_take", fuller.pk), {"is_in": "1"})
    assert [o.name for o in Option.objects.filter(is_in=True)] == ["Fuller"]
    office_client.post(url("option_take", fuller.pk), {"is_in": "0"})
    assert [o.name for o in Option.objects.filter(is_in=True)] == ["Fuller"]
    prices = office_client.get(url("option_prices", quote.project_id)).content.decode()
    assert "How full: Plain" in prices
    office_client.post(url("option_take", Option.objects.get(name="Plain").pk), {"is_in": "1"})
    office_client.post(url("option_remove", fuller.pk))
    assert Circuit.objects.get().option is None
    office_client.post(reverse("consult:undo", args=[quote.project_id]))
    assert Circuit.objects.get().option_id == fuller.pk


@pytest.mark.parametrize(
    "given",
    [
        {"name": "", "options": "A"},
        {"name": "x", "options": "  "},
        {"name": "x", "options": "A", "is_one_of": "on"},
        {"name": "x", "options": "A" * 121},
    ],
)
def test_absurd_options_are_refused(office_client, quote, given):
    assert office_client.post(url("group_add", quote.project_id), given).status_code == 200
    assert not OptionGroup.objects.exists()


@pytest.mark.parametrize("part", ["", "circuit:", "circuit:nonsense", f"person:{uuid.UUID(int=7)}"])
def test_what_is_no_part_of_the_design_comes_with_no_option(office_client, quote, part):
    group = OptionGroup.objects.create(project=quote.project, name="g")
    option = Option.objects.create(project=quote.project, group=group, name="o")
    office_client.post(url("part_put", option.pk), {"part": part})
    assert Circuit.objects.get().option is None


@pytest.mark.parametrize(
    "name",
    ["discount_set", "quote_copy", "quote_approve", "link_send", "question_answer", "letter_again",
     "option_take", "part_put", "group_add", "hours_add", "factor_remove"],
)  # fmt: skip
def test_every_new_press_is_a_post_and_closed_to_strangers(client, office, name):
    somewhere = url(name, uuid.uuid4())
    assert "/account/login/" in client.post(somewhere)["Location"]
    inside = logged_in(office)
    assert inside.get(somewhere).status_code == 405
    assert inside.post(somewhere).status_code == 404


def test_links_are_made_with_an_address_to_mail_to(office_client, quote):
    revision = issued(quote)
    given = {"for_whom": "Ida", "audience": "client", "days": "30", "email": "no address"}
    office_client.post(url("link_make", revision.pk), given)
    assert not Link.objects.exists()
    office_client.post(url("link_make", revision.pk), {**given, "email": "ida@house.example"})
    assert Link.objects.get().email == "ida@house.example"
