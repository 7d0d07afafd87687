"""Every press of quoting, sent twice with the key of one page: one effect."""

import uuid
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.apps import apps
from django.core import serializers
from django.test import Client
from django.urls import get_resolver, reverse
from django.utils import timezone

from base.models import Deed, Outbox
from catalogue.models import LabourRate
from consult.models import Circuit, Option, OptionGroup, Project, Room
from consult.models import Client as Customer
from consult.services import circuits, keypads
from quoting import urls
from quoting.drafting import draft_of
from quoting.issued import read_offer
from quoting.models import (
    Acceptance,
    AccessFactor,
    ActualHours,
    FeePayment,
    ManualLine,
    Payment,
    Question,
    Quote,
    QuoteDiscount,
    QuoteOverride,
    QuotingRules,
    SellingRule,
)
from quoting.services import fees, links, quotes, trying, variations
from quoting.varied_draft import varied
from tests.conftest import logged_in
from tests.factories import PersonFactory, a_quote

pytestmark = pytest.mark.django_db

# Pages that only show, and those whose POST writes nothing.
ONLY_SHOWN = {
    "quotes", "by_month", "of_project", "project_region", "room_price", "room_figures",
    "room_figures_closed", "quote", "revision", "revision_file", "options", "option_prices",
    "hours", "differences", "differences_pdf", "export", "offer", "offer_document", "offer_picture",
    "payment_receipt", "offer_receipt", "fee_receipt", "orders",
}  # fmt: skip


class Desk:
    """A draft and an issue with a row of each kind, and what each press needs."""

    def __init__(self) -> None:
        self.by = PersonFactory(role="manager")
        self.draft = a_quote(by=self.by)
        self.line = quotes.line_add(
            by=self.by, quote=self.draft, description="Making good", quantity=1, unit_price=9
        )
        self.bill_line = draft_of(self.draft).lines[0]
        self.overrule = quotes.override_set(
            by=self.by, quote=self.draft, line_key=self.bill_line.key, field="quantity",
            value="7", reason="r",
        )  # fmt: skip
        self.discount = QuoteDiscount.objects.create(
            quote=self.draft, scope="kind", about="fitting", share="0.1", reason="r"
        )
        self.group = OptionGroup.objects.create(project=self.draft.project, name="g")
        self.option = Option.objects.create(project=self.draft.project, group=self.group, name="o")
        self.circuit = Circuit.objects.filter(project=self.draft.project).get()
        self.hours = ActualHours.objects.create(
            project=self.draft.project, operation="travel", hours=1, day="2026-03-01"
        )
        self.factor = AccessFactor.objects.create(what="occupied", factor=2)
        issued = a_quote(by=self.by)
        self.revision = quotes.quote_issue(by=self.by, quote=issued)
        self.secret = links.new_secret()
        self.link = links.link_make(
            by=self.by, revision=self.revision, for_whom="Ida", secret=self.secret,
            email="ida@house.example",
        )  # fmt: skip
        self.question = Question.objects.create(revision=self.revision, text="?")
        self.letter = links.link_send(by=self.by, link=self.link, site="https://x.example")
        Outbox.objects.update(state="unknown")


ACCEPT = {"name": "Ida", "agrees": "on", "terms_version": "1"}
LINE = {"description": "More", "quantity": "1", "unit_price": "8", "tax_class": "standard"}
TERMS = {
    "discount_share": "3", "deposit_share": "10", "validity_days": "20",
    "delivery": "supply_only", "title": "Twice",
}  # fmt: skip
RULES = {
    "limit_designer": "5", "limit_office": "10", "limit_manager": "90", "taste_ending": "0",
    "taste_rounding": "nearest", "call_out_hours": "0", "hours_per_day": "8",
    "remind_days": "7", "seen": "0",
}  # fmt: skip
HOURS = {"operation": "travel", "hours": "2", "day": "2026-03-02"}
PRESSES = {
    "quote_start": lambda d: ([d.draft.project_id], {}),
    "quote_change": lambda d: ([d.draft.pk], TERMS),
    "quote_discard": lambda d: ([d.draft.pk], {}),
    "quote_copy": lambda d: ([d.draft.pk], {"project": d.draft.project_id}),
    "quote_approve": lambda d: ([d.draft.pk], {"reason": "r", "shown": digest(d)}),
    "discount_set": lambda d: (
        [d.draft.pk], {"place": "kind|receiver", "share": "5", "reason": "r"},
    ),
    "evening_add": lambda d: ([with_a_commissioner(d).pk], {"hours": "2"}),
    "treatment_set": lambda d: (
        [d.draft.pk], {"part": "labour", "treatment": "reduced", "reason": "letter"},
    ),
    "discount_remove": lambda d: ([d.discount.pk], {}),
    "line_add": lambda d: ([d.draft.pk], LINE),
    "line_change": lambda d: ([d.line.pk], {**LINE, "seen": d.line.version}),
    "line_remove": lambda d: ([d.line.pk], {}),
    "override": lambda d: (
        [d.draft.pk],
        {"line": d.bill_line.key, "field": "unit_price", "value": "50", "reason": "r"},
    ),
    "override_clear": lambda d: ([d.overrule.pk], {}),
    "override_keep": lambda d: ([d.overrule.pk], {"derived_now": "6"}),
    "quote_issue": lambda d: ([d.draft.pk], {}),
    "quote_revise": lambda d: ([d.revision.quote_id], {}),
    "quote_withdraw": lambda d: ([d.revision.quote_id], {}),
    "variation_start": lambda d: ([ordered(d).pk], {}),
    "restocking_add": lambda d: (
        [varying(d).pk], {"of": less_of(), "quantity": "1", "share": "20"},
    ),
    "in_vain_add": lambda d: (
        [varying(d).pk], {"of": some_labour(d), "hours": "2"},
    ),
    "payment_enter": lambda d: (
        [ordered(d).pk], {"amount": "9", "day": "2026-03-02", "how": "cash"},
    ),
    "trial_begin": lambda d: ([a_room(d).pk], {}),
    "trial_keep": lambda d: ([tried(d).pk], {}),
    "trial_discard": lambda d: ([tried(d).pk], {}),
    "fee": lambda d: ([d.draft.project_id], FEE),
    "fee_remove": lambda d: ([a_fee(d).pk], {}),
    "fee_receive": lambda d: ([a_fee(d).pk], {"day": "2026-03-02", "how": "card"}),
    "fee_ask": lambda d: ([a_fee_to_ask_for(d).pk], {}),
    "fee_undo": lambda d: ([a_paid_fee(d).pk], {"reason": "bounced"}),
    "fee_receipt_make": lambda d: ([a_fee_without_receipt(d).pk], {}),
    "payment_ask": lambda d: ([ordered(d).pk], {}),
    "pack_release": lambda d: ([held(d).pk], {"reason": "r"}),
    "payment_undo": lambda d: ([paid(d).pk], {"reason": "r"}),
    "documents_make": lambda d: ([d.revision.pk], {}),
    "link_make": lambda d: (
        [d.revision.pk], {"for_whom": "Joss", "audience": "client", "days": "9"},
    ),
    "link_remake": lambda d: ([d.link.pk], {}),
    "link_revoke": lambda d: ([d.link.pk], {}),
    "link_extend": lambda d: ([d.link.pk], {}),
    "link_send": lambda d: ([d.link.pk], {}),
    "question_answer": lambda d: ([d.question.pk], {"answer": "Yes."}),
    "letter_again": lambda d: ([d.letter.pk], {}),
    "letter_settle": lambda d: ([d.letter.pk], {"was_sent": "1"}),
    "group_add": lambda d: ([d.draft.project_id], {"name": "More", "options": "A"}),
    "switches_offer": lambda d: ([placed(d).project_id], {}),
    "option_take": lambda d: ([d.option.pk], {"is_in": "1"}),
    "option_remove": lambda d: ([d.option.pk], {}),
    "part_put": lambda d: ([d.option.pk], {"part": f"circuit:{d.circuit.pk}"}),
    "part_take_out": lambda d: ([put(d).pk], {"part": f"circuit:{d.circuit.pk}"}),
    "hours_add": lambda d: ([d.draft.project_id], HOURS),
    "hours_remove": lambda d: ([d.hours.pk], {}),
    "rules": lambda d: ([], RULES),
    "selling_rule_set": lambda d: (
        [], {
            "place": "kind|fitting", "sell_by": "margin", "share": "45",
            "from_day": timezone.localdate().isoformat(),
        },
    ),
    "selling_rule_remove": lambda d: ([a_way(d).pk], {}),
    "factor_set": lambda d: ([], {"what": "above", "factor": "3"}),
    "factor_remove": lambda d: ([d.factor.pk], {}),
    "wording": lambda d: (["offer"], {"subject": "s", "body": "b", "keep": "1"}),
    "wording_drop": lambda d: ([worded(d)], {}),
    "offer_accept": lambda d: (
        [d.secret], {**ACCEPT, "offer_sha256": d.revision.offer_sha256},
    ),
    "offer_decline": lambda d: ([d.secret], {"reason": "No."}),
    "offer_ask": lambda d: ([d.secret], {"text": "When?"}),
}  # fmt: skip


FEE = {
    "words": "Design", "net": "500", "tax_treatment": "standard", "is_credited": "on",
    "agreed_in": "our letter", "seen": "0",
}  # fmt: skip


def a_room(desk):
    return Room.objects.filter(project=desk.draft.project_id).first()


def tried(desk):
    trying.trial_begin(by=desk.by, project=desk.draft.project)
    circuits.circuit_change(by=desk.by, circuit=desk.circuit, name="tried")
    return a_room(desk)


def a_fee(desk):
    return fees.fee_set(
        by=desk.by, project=desk.draft.project, words="Design", net=Decimal(500),
        tax_treatment="standard", is_credited=True, agreed_in="our letter",
    )  # fmt: skip


def a_fee_to_ask_for(desk):
    client = Customer.objects.create(name="Ida Marrow", email="ida@marrow.example")
    Project.objects.filter(pk=desk.draft.project_id).update(client=client)
    return a_fee(desk)


def with_a_commissioner(desk):
    LabourRate.objects.create(grade="commissioner", from_day="2026-01-01", cost=35, sell=70)
    return desk.draft


def varying(desk):
    """A variation of what was ordered, with one fitting less in it."""
    quote = variations.variation_start(by=desk.by, revision=ordered(desk))
    fitting = Circuit.objects.get(project=quote.project).fittings.get()
    circuits.fitting_change(by=desk.by, fitting=fitting, pieces=fitting.pieces - 1)
    return quote


def less_of():
    draft = draft_of(Quote.objects.select_related("varies").get(varies__isnull=False))
    return next(each.key for each in varied(draft).sent_back)


def some_labour(desk):
    return next(
        each.key for each in read_offer(desk.revision).lines() if each.key.startswith("labour")
    )


def a_way(desk):
    return SellingRule.objects.create(
        scope="kind", about="fitting", sell_by="list",
        from_day=timezone.localdate() + timedelta(days=1),
    )  # fmt: skip


def a_paid_fee(desk):
    return fees.fee_receive(by=desk.by, fee=a_fee(desk), day=date(2026, 3, 2), how="card")


def a_fee_without_receipt(desk):
    """Paid, and its receipt not made yet, as where the task that makes it was lost."""
    fee = a_fee(desk)
    return FeePayment.objects.create(
        fee=fee, words=fee.words, currency="GBP", net=fee.net, tax_treatment="standard",
        tax_rate=Decimal("0.2"), tax=Decimal(100), day=date(2026, 3, 2), how="card", by=desk.by,
    )  # fmt: skip


def digest(desk):
    from quoting.approving import digest_of

    return digest_of(draft_of(desk.draft))


def put(desk):
    Circuit.objects.filter(pk=desk.circuit.pk).update(option=desk.option)
    return desk.option


def placed(desk):
    """The draft of a design that has a place on a wall, where a switch may hang."""
    for room in Room.objects.filter(project=desk.draft.project_id):
        keypads.position_add(by=desk.by, room=room, name="door")
    return desk.draft


def ordered(desk):
    Acceptance.objects.create(
        revision=desk.revision, name="Ida", terms_version="1",
        offer_sha256=desk.revision.offer_sha256, gross_total=desk.revision.gross_total,
    )  # fmt: skip
    return desk.revision


def held(desk):
    QuotingRules.objects.create(pack_goes="deposit")
    return desk.revision


def paid(desk):
    return Payment.objects.create(
        order=ordered(desk), amount=9, day="2026-03-02", how="cash", by=desk.by
    )


def worded(_desk):
    from base.models import MailText

    MailText.objects.create(name="offer", subject="s", body="b")
    return "offer"


def everything():
    """Every row that quoting writes, but for the records of deeds and of who looked when."""
    rows = []
    for label in ("quoting", "consult", "base"):
        for model in apps.get_app_config(label).get_models():
            if model is Deed or model.__name__ in {"LinkVisit", "Presence"}:
                continue
            rows += sorted(serializers.serialize("jsonl", model.objects.all()).splitlines())
    return rows


def test_every_press_is_tried_here():
    names = {entry.name for entry in urls.urlpatterns}
    assert names - ONLY_SHOWN == set(PRESSES)
    assert get_resolver().namespace_dict["quoting"]


@pytest.mark.parametrize("name", sorted(PRESSES))
def test_a_press_sent_twice_has_one_effect(name):
    desk = Desk()
    args, given = PRESSES[name](desk)
    web = Client() if name.startswith("offer_") else logged_in(desk.by)
    key = str(uuid.uuid4())
    where = reverse(f"quoting:{name}", args=args)
    before = everything()
    first = web.post(where, {**given, "key": key})
    assert first.status_code in {200, 302}
    after = everything()
    assert after != before, "the press did nothing"
    web.post(where, {**given, "key": key})
    assert everything() == after


def test_the_desk_has_a_row_of_each_kind():
    Desk()
    for model in (ManualLine, QuoteOverride, QuoteDiscount, ActualHours, Question, Outbox):
        assert model.objects.exists(), model.__name__
