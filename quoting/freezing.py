"""A draft becomes an issue: its number, its letter, its two payloads and its seal."""

import datetime
from dataclasses import replace

from django.utils import timezone
from django.utils.translation import gettext as _

from base.deeds import Refusal
from base.models import Person
from base.services import store_file
from consult.light import for_client
from quoting.behind import internal_of
from quoting.choosing import Choices, gap_of, option_groups
from quoting.chosen_goods import goods_of_choices
from quoting.draft import Draft
from quoting.frozen import canonical, seal
from quoting.models import NumberSeries, QuoteApproval, QuotingRules, Revision
from quoting.offer_check import check_offer
from quoting.offering import offer_of, sha256_of
from quoting.problems import problem_sentence
from quoting.taking_part import parties_of
from quoting.varying import variation_of


def next_number(today: datetime.date) -> str:
    """The next number, of the year or running on. The series is locked until the issue is committed, so that a
    number is never given twice, and a rollback gives it back.
    """
    by_year = QuotingRules.objects.current().numbers_by_year
    name = f"quotes {today.year}" if by_year else "quotes"
    NumberSeries.objects.get_or_create(name=name)
    series = NumberSeries.objects.select_for_update().get(name=name)
    series.last += 1
    series.save()
    return f"{today.year}-{series.last:04d}" if by_year else f"{series.last:05d}"


def freeze(
    draft: Draft,
    *,
    by: Person,
    number: str,
    order: int,
    today: datetime.date,
    previous: Revision | None,
    approval: QuoteApproval | None,
) -> Revision:
    """Write the issue of a draft; refused where it does not add up. In the deed's transaction."""
    letter = letter_of(order)
    valid_until = today + datetime.timedelta(days=draft.quote.validity_days)
    choices = Choices(draft, day=today)
    groups = option_groups(choices)
    if choices.problems:
        raise Refusal(problem_sentence(choices.problems[0]))
    parties, introducers = parties_of(draft.quote.project)
    offer = offer_of(
        draft,
        parties=parties,
        number=number,
        letter=letter,
        issued=today,
        valid_until=valid_until,
        options=groups,
        pictures=_kept_pictures(draft),
    )
    if draft.quote.varies_id:
        offer = replace(offer, variation=variation_of(draft.quote, offer), stages=())
    faults = check_offer(offer=offer)
    if faults:
        raise Refusal(
            _("The sums of this quote do not hold (%(code)s, %(key)s). It was not issued.")
            % {"code": faults[0].code, "key": faults[0].key}
        )
    internal = internal_of(
        draft,
        number=number,
        letter=letter,
        approval=approval,
        gap=gap_of(choices, groups),
        introducers=introducers,
        choices=goods_of_choices(choices),  # after the gap, for which they are worked out
    )
    offer_bytes = canonical(content=offer.to_content())
    internal_bytes = canonical(content=internal.to_content())
    before = previous.seal if previous else ""
    return Revision.objects.create(
        quote=draft.quote,
        letter=letter,
        order=order,
        number=number,
        issued_at=timezone.now(),
        issued_by=by,
        valid_until=valid_until,
        gross_total=offer.totals.gross,
        currency=offer.currency,
        offer=offer_bytes,
        internal=internal_bytes,
        offer_sha256=sha256_of(offer),
        previous_seal=before,
        seal=seal(offer=offer_bytes, internal=internal_bytes, previous=before),
    )


def _kept_pictures(draft: Draft) -> dict[str, list[tuple[str, str]]]:
    """The pictures of rooms that are drawn already, stored: scene and SHA-256, by room.

    Drawing takes longer than an issue may hold its rows: `for_client.draw_missing` comes before.
    """
    return {
        room: [
            (name, store_file(content=content, media_type="image/png").sha256)
            for name, content in found
        ]
        for room, found in for_client.drawn(draft.house).items()
    }


def letter_of(order: int) -> str:
    """A for the first issue, B for the second, … Z, AA, AB.

    >>> letter_of(1), letter_of(26), letter_of(27)
    ('A', 'Z', 'AA')
    """
    letters = ""
    while order > 0:
        order, rest = divmod(order - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters
