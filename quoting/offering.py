"""A draft becomes the client-safe half of an issue: the offer."""

import datetime
import hashlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal

from django.utils.translation import gettext as _

from base.content import Content
from base.models import Business as Profile
from consult.design import CircuitPart, Design, RoomPart, ScenePart
from consult.models import Project as Job
from quoting import words
from quoting.bill import BillLine
from quoting.choosing import totals_of
from quoting.draft import GENERAL, Draft, DraftLine
from quoting.frozen import canonical
from quoting.money import share_out
from quoting.offer import (
    Business,
    Circuit,
    DocumentAdjustment,
    Line,
    Offer,
    OptionGroup,
    OtherLine,
    Party,
    Project,
    Room,
    Scene,
    SceneLevel,
    Section,
    Stage,
    TaxAmount,
    Terms,
)
from quoting.pricing import stages

UNIT_WORDS = {"piece": "piece", "metre": "metre", "hour": "hour"}


def offer_of(
    draft: Draft,
    *,
    number: str,
    letter: str,
    issued: datetime.date,
    valid_until: datetime.date,
    options: tuple[OptionGroup, ...] = (),
    pictures: Mapping[str, Sequence[tuple[str, str]]] | None = None,
    parties: tuple[Party, ...] = (),
) -> Offer:
    """The client-safe half of an issue.

    ``pictures`` by room: the name of a scene and the SHA-256 of the stored picture of the room in it.
    """
    business, project = draft.business, draft.quote.project
    priced = draft.priced
    return Offer(
        number=number,
        revision=letter,
        issued=issued,
        valid_until=valid_until,
        currency=business.currency,
        locale=business.locale,
        tax_rounding=business.tax_rounding,
        tax_name=business.tax_name,
        business=business_of(business),
        client=client_of(project),
        parties=parties,
        project=Project(
            name=project.name,
            site_address=tuple(project.site_address.splitlines()),
            nation=project.nation,
            work=project.kind_of_work,
            idea=project.idea,
        ),
        rooms=tuple(
            _room(draft, room, (pictures or {}).get(room.id, ()))
            for room in _rooms_with_content(draft)
        ),
        control=_section(draft, "control", _("Control hardware")),
        labour=_section(draft, "labour", _("Labour")),
        general=_section(draft, GENERAL, _("For the whole job")),
        allowances=tuple(_allowances(draft)),
        design_fee=draft.fees[0] if draft.fees else None,
        further_fees=draft.fees[1:],
        taxes=tuple(
            TaxAmount(rate=each.rate, taxable=each.taxable, tax=each.tax) for each in priced.taxes
        ),
        totals=totals_of(priced),
        stages=_stages(draft),
        options=options,
        is_consumer=draft.quote.is_consumer,
        deal_place=draft.quote.deal_place,
        house_scenes=tuple(
            _scene(draft.house.design, s) for s in draft.house.design.scenes_of(None)
        ),
        terms=Terms(version=str(business.terms_version), text=business.terms),
        assumptions=_each_once(
            *_paragraphs(draft.terms.rules.assumptions), *_paragraphs(draft.quote.assumptions)
        ),
        exclusions=_each_once(
            *words.left_to_others(draft.quote.delivery),
            *_paragraphs(draft.terms.rules.exclusions),
            *_paragraphs(draft.quote.exclusions),
        ),
        cautions=words.cautions(),
        notes=(draft.quote.message,) if draft.quote.message else (),
    )


def business_of(business: Profile) -> Business:
    """Who offers, as the profile stands."""
    return Business(
        name=business.name,
        address=tuple(business.address.splitlines()),
        tax_number=business.tax_number,
        email=business.email,
        phone=business.phone,
        mark=business.mark.sha256 if business.mark else "",
    )


def client_of(project: Job) -> Party:
    """Who it is for. Reads project.client."""
    client = project.client
    return Party(
        role="client",
        name=client.name if client else project.name,
        address=tuple(client.address.splitlines()) if client else (),
        email=client.email if client else "",
    )


def _allowances(draft: Draft) -> Iterator[DocumentAdjustment]:
    """The discount in all, by rate, then a design fee credited.

    The discount is told by rate, and within a rate by how its lines are treated.

    What is not taxed is not all alike: a reverse charge and a zero rate are told apart.
    """
    for each in draft.discounts:
        nets: dict[str, Decimal] = {}
        for line in draft.lines:
            if line.tax_rate == each.tax_rate:
                kind = "" if each.tax_rate else line.tax_treatment or untaxed_kind(each.tax_rate)
                nets[kind] = nets.get(kind, Decimal(0)) + line.net
        weighed = {name: net for name, net in nets.items() if net > 0}
        parts = share_out(each.amount, list(weighed.values()), draft.business.currency)
        for treatment, amount in zip(weighed, parts, strict=True):
            if amount:
                yield DocumentAdjustment(
                    reason=_("Discount"),
                    amount=amount,
                    tax_rate=each.tax_rate,
                    tax_treatment=treatment,
                )
    for fee in draft.fees:
        yield DocumentAdjustment(
            reason=fee.reason,
            amount=fee.net,
            tax_rate=fee.tax_rate,
            tax_treatment=fee.tax_treatment,
        )


def untaxed_kind(rate: Decimal | None) -> str:
    return "exempt" if rate is None else "zero"


def _each_once(*lines: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(lines))


def _paragraphs(text: str) -> tuple[str, ...]:
    return tuple(line.strip() for line in text.splitlines() if line.strip())


def sha256_of(content: Content) -> str:
    return hashlib.sha256(canonical(content=content.to_content())).hexdigest()


def _rooms_with_content(draft: Draft) -> Iterable[RoomPart]:
    design = draft.house.design
    for room in design.rooms:
        others = any(line.room == room.id for line in draft.others)
        if draft.in_room(room.id) or design.circuits_in(room.id) or others:
            yield room


def _line(line: DraftLine) -> Line:
    bill = line.bill
    return Line(
        key=line.key,
        description=line.description,
        client_name=line.client_name,
        quantity=line.quantity,
        unit=UNIT_WORDS.get(line.unit, "piece"),
        unit_price=line.unit_price,
        discount=line.discount,
        net=line.net,
        tax_rate=line.tax_rate,
        tax_treatment=line.tax_treatment,
        tax_reason=line.tax_reason,
        supplied_by=bill.supplied_by if bill else "showroom",
        installed_by=bill.installed_by if bill else "showroom",
        connected_by=bill.connected_by if bill else "showroom",
        circuits=bill.circuits if bill else (),
        picture=bill.picture if bill else "",
        is_provisional=bill.is_provisional if bill else False,
        is_credit=line.is_credit,
        is_made_to_order=bill.is_made_to_order if bill else False,
        is_personalised=bill.is_personalised if bill else False,
    )


def _gross(draft: Draft, label: str) -> tuple[Decimal, Decimal]:
    for group in draft.grouped.groups:
        if group.label == label:
            return group.net, group.gross
    zero = draft.priced.net_total * 0
    return zero, zero


def _section(draft: Draft, section: str, title: str) -> Section | None:
    lines = draft.in_section(section)
    if not lines:
        return None
    net, gross = _gross(draft, section)
    rooms = draft.house.design.room_of
    named = []
    for line in lines:
        made = _line(line)
        if section in {"control", "labour"} and line.room in rooms:
            made = _with_room(made, rooms[line.room].name)
        named.append(made)
    return Section(title=title, lines=tuple(named), net=net, gross=gross)


def _with_room(line: Line, room: str) -> Line:
    name = line.client_name or line.description
    return replace(line, description=f"{line.description}, {room}", client_name=f"{name}, {room}")


def _room(draft: Draft, room: RoomPart, shown: Sequence[tuple[str, str]]) -> Room:
    design = draft.house.design
    net, gross = _gross(draft, room.id)
    return Room(
        key=room.id,
        name=room.name,
        floor=design.floor_of[room.floor].name,
        lines=tuple(_line(line) for line in draft.in_room(room.id)),
        net=net,
        gross=gross,
        by_others=tuple(_other(line) for line in draft.others if line.room == room.id),
        circuits=tuple(_circuit(draft, c) for c in design.circuits_in(room.id)),
        scenes=tuple(_scene(design, s, room) for s in _scenes_of(design, room)),
        pictures=tuple(sha256 for _name, sha256 in shown),
        picture_names=tuple(name for name, _sha256 in shown),
    )


def _scenes_of(design: Design, room: RoomPart) -> tuple[ScenePart, ...]:
    """A group's scenes stand with its first room, so that they are told once."""
    first = next(r.id for r in design.rooms if r.group == room.group)
    return design.scenes_of(room.group) if first == room.id else ()


def _other(line: BillLine) -> OtherLine:
    return OtherLine(
        key=line.key,
        description=line.client_name or line.description,
        quantity=line.quantity,
        unit=UNIT_WORDS.get(line.unit, "piece"),
        supplied_by=line.supplied_by,
        installed_by=line.installed_by,
        connected_by=line.connected_by,
    )


def _circuit(draft: Draft, circuit: CircuitPart) -> Circuit:
    names = []
    for fitting in circuit.fittings:
        product = draft.house.product(fitting.product)
        name = product.shown_name if product else fitting.placeholder
        amount = (
            f"{fitting.pieces} × {fitting.length_m.normalize():f} m"
            if fitting.length_m is not None
            else f"{fitting.pieces} ×"
        )
        names.append(f"{amount} {name}")
    return Circuit(
        code=circuit.code,
        name=circuit.name,
        layer=words.layer(circuit.layer),
        description=", ".join(names),
        control=words.load_kind(circuit.load_kind),
    )


def _scene(design: Design, scene: ScenePart, room: RoomPart | None = None) -> Scene:
    group = design.group_of[scene.group].name if scene.group else ""
    circuits = design.circuit_of
    return Scene(
        key=scene.id,
        name=scene.name,
        group=group,
        description=scene.words,
        levels=tuple(
            SceneLevel(
                circuit=circuits[level.circuit].code,
                level=(Decimal(level.level) / 100).quantize(Decimal("0.01")),
            )
            for level in scene.levels
        ),
    )


def _stages(draft: Draft) -> tuple[Stage, ...]:
    """With the order, on delivery, on completion; none where all is due at once."""
    quote, gross = draft.quote, draft.priced.gross_total
    first, second = quote.deposit_share, quote.delivery_share
    if not (first or second) or gross < 0:
        return ()
    asked = [
        ("deposit", _("Deposit"), first, _("with the order")),
        ("delivery", _("Delivery"), second, _("on delivery of the goods")),
        ("balance", _("Balance"), 1 - first - second, _("on completion")),
    ]
    asked = [each for each in asked if each[2] or each[0] == "balance"]
    amounts = stages(
        total=gross,
        shares=[share for *_names, share, _due in asked],
        currency=draft.business.currency,
    )
    return tuple(
        Stage(kind=kind, name=name, share=share, amount=amount, due=due)
        for (kind, name, share, due), amount in zip(asked, amounts, strict=True)
    )
