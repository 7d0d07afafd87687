"""The sentences that stand on documents and links: cautions, names of operations, of stages."""

from collections.abc import Iterable
from functools import lru_cache

from django.utils.translation import get_language
from django.utils.translation import gettext as _

from catalogue.kinds import LoadKind, Operation
from consult.brief_kinds import PartyRole
from consult.kinds import Finish, Layer, Trade
from quoting.labour import CALL_OUT, Factor
from quoting.offer import Offer, OptionGroup
from quoting.options import ChoiceRefused


def cautions() -> tuple[str, ...]:
    """What stands on the proposal and the pack, once each."""
    return (
        _(
            "Electrical results are indicative and are to be verified by a qualified electrician. "
            "The wiring rules in force where the house stands prevail: in the United Kingdom "
            "BS 7671, and in England and Wales Part P of the Building Regulations."
        ),
        _("Light levels are estimates."),
        _("What is said about a bathroom is a prompt to check, never a clearance."),
    )


def tax_mode(tax_rounding: str) -> str:
    """The one rule by which the tax of a document is rounded, as it stands on it."""
    if tax_rounding == "line":
        return _("The tax is worked out and rounded line by line.")
    return _(
        "The tax is worked out on the sum of each rate and rounded once; the rooms' tax is shared "
        "out from it."
    )


def untaxed(treatments: Iterable[str]) -> str:
    """What an amount without a rate is called: outside the scope only where nothing else is."""
    return _("outside the scope") if "outside" in set(treatments) else _("exempt")


def tax_notes(treatments: Iterable[str], tax_name: str) -> tuple[str, ...]:
    """What stands under the tax for lines that are not taxed in the plain way, once each."""
    sentences = {
        "reverse_charge": _(
            "Reverse charge: the customer accounts for the %(tax)s on the lines so treated."
        ),
        "exempt": _("The lines treated as exempt carry no %(tax)s."),
        "outside": _("The lines of this offer are outside the scope of %(tax)s."),
    }
    told = set(treatments)
    return tuple(text % {"tax": tax_name} for name, text in sentences.items() if name in told)


def fee_tax_note(treatment: str, tax_name: str) -> tuple[str, ...]:
    """What stands under a receipt of one thing that is not taxed in the plain way."""
    sentences = {
        "reverse_charge": _("Reverse charge: the customer accounts for the %(tax)s."),
        "exempt": _("Exempt from %(tax)s."),
        "outside": _("Outside the scope of %(tax)s."),
    }
    return (sentences[treatment] % {"tax": tax_name},) if treatment in sentences else ()


#: Where a consumer may as a rule cancel within 14 days (Consumer Contracts Regulations 2013, memory).
MAY_BE_CANCELLED = frozenset({"distance", "off_premises"})


def cancellation(offer: Offer) -> tuple[str, ...]:
    """What a consumer is told of cancelling where it may apply; nothing elsewhere.

    After the model form of the Consumer Contracts Regulations 2013, schedule 3, from memory: for the
    business to confirm before it relies on it.
    """
    if not (offer.is_consumer and offer.deal_place in MAY_BE_CANCELLED):
        return ()
    return (
        _(
            "As a rule you may cancel within 14 days, without a reason; for several deliveries the "
            "days run from the last. It is enough to send us this form or any clear statement:"
        ),
        _("To %(who)s: I/we give notice that I/we cancel my/our contract for offer %(number)s.")
        % {
            "who": ", ".join((offer.business.name, *offer.business.address, offer.business.email)),
            "number": f"{offer.number} {offer.revision}",
        },
        _("Ordered on / received on: ____________   Name: ____________   Address: ____________"),
        _("Date: ____________   Signature (only if on paper): ____________"),
        _(
            "Goods made to your own specification are as a rule exempt, such as engraved plates. If "
            "you ask us to begin before the 14 days are over, you pay for what was done if you then "
            "cancel. General information: we confirm what applies to your order."
        ),
    )


def left_to_others(delivery: str) -> tuple[str, ...]:
    """What a whole-quote choice leaves to others, as it stands on the offer."""
    return {
        "supply_only": (
            _(
                "Supply only: fixing, connecting, testing and programming are not part of this "
                "offer. A licensed electrician is to do them."
            ),
        ),
        "clients_electrician": (
            _(
                "Fixing, connecting and testing are done by the client's own electrician and are "
                "not part of this offer."
            ),
        ),
    }.get(delivery, ())


def operation(name: str) -> str:
    return _operation(name, get_language())


@lru_cache(maxsize=200)
def _operation(name: str, _language: str | None) -> str:
    if name == CALL_OUT:
        return _("Up to the least hours of a job")
    return str(dict(Operation.choices).get(name, name))


def layer(name: str) -> str:
    return str(dict(Layer.choices).get(name, name))


def load_kind(name: str) -> str:
    return str(dict(LoadKind.choices).get(name, name))


def trade(name: str) -> str:
    return str(dict(Trade.choices).get(name, name))


def party_role(name: str) -> str:
    """What somebody does in a job, as it stands before their name on a document."""
    if name == "billed":
        return _("billed to")
    return str(dict(PartyRole.choices).get(name, name))


def unit(name: str) -> str:
    return str({"piece": "", "metre": _("m"), "hour": _("h"), "set": _("set")}.get(name, name))


def why(code: str) -> str:
    """Why a line is there, as the beginning of a phrase that ends with what it is about."""
    return {
        "on_circuit": _("on circuit"),
        "in_fitting": _("lamp of circuit"),
        "allowance": _("allowed for on circuit"),
        "cable_of": _("cable of circuit"),
        "feeds": _("feeds"),
        "at_position": _("at"),
        "switches_of": _("ordinary switches of"),
        "drops_of": _("drops and strappers of"),
        "needed_by": _("needed by"),
        "needed_in_all": _("needed in all:"),
        "bought_in_all": _("bought in all:"),
        "norm": _("minutes by the norm for"),
        "by_height": _("minutes more for the height of the ceiling,"),
        "by_ceiling": _("minutes more for fixing into the ceiling,"),
        "by_wall": _("minutes more for fixing into the wall,"),
        "by_occupied": _("minutes more for a house lived in,"),
        "least_hours": _("minutes of the least hours of a job,"),
    }.get(code, code)


def factor(each: Factor) -> str:
    """Why fixing takes as long as it does in a room, such as 'ceiling of concrete × 1.5'."""
    by = f"× {each.factor.normalize():f}"
    texts = {
        "height": _("ceiling at %(about)s m %(by)s"),
        "ceiling": _("ceiling of %(about)s %(by)s"),
        "wall": _("walls of %(about)s %(by)s"),
        "occupied": _("lived in %(by)s"),
    }
    about = str(dict(Finish.choices).get(each.about, each.about))
    return texts[each.code] % {"about": about, "by": by}


def state(name: str) -> str:
    return {
        "draft": _("Draft"),
        "issued": _("Issued"),
        "accepted": _("Accepted"),
        "declined": _("Declined"),
        "withdrawn": _("Withdrawn"),
        "superseded": _("Superseded"),
        "expired": _("Expired"),
    }.get(name, name)


def choice_sentence(refused: ChoiceRefused, groups: Iterable[OptionGroup]) -> str:
    """Why a choice of options is not one that the offer allows."""
    names = {group.key: group.name for group in groups}
    return {
        "unknown_option": _(
            "An option you ticked is not part of this offer. Nothing was accepted."
        ),
        "none_of_one": _("Choose one of '%(name)s'."),
        "several_of_one": _("Choose only one of '%(name)s'."),
        "taken_twice": _("An option was ticked twice. Please tick again."),
    }[refused.code] % {"name": names.get(refused.key, "")}


def treatment(name: str) -> str:
    """A tax treatment; '' where the rate alone tells it."""
    return {
        "standard": _("standard rate"),
        "reduced": _("reduced rate"),
        "zero": _("zero rate"),
        "exempt": _("exempt"),
        "reverse_charge": _("reverse charge"),
        "outside": _("outside the scope"),
    }.get(name, name)


def change(code: str) -> str:
    return {"added": _("new"), "removed": _("gone"), "changed": _("changed")}.get(code, code)


def yes_or_no(value: bool) -> str:
    return _("yes") if value else _("no")


def field(name: str) -> str:
    """The name of what changed in an offer."""
    return {
        "net": _("net"),
        "gross": _("with tax"),
        "tax": _("tax"),
        "taxable": _("net after discounts"),
        "allowance": _("discount on the whole"),
        "charge": _("charges"),
        "quantity": _("quantity"),
        "unit_price": _("price each"),
        "discount": _("discount"),
        "description": _("name"),
        "client_name": _("name"),
        "tax_rate": _("tax rate"),
        "level": _("level"),
        "gross_delta": _("price with tax"),
        "net_delta": _("price, net"),
        "tax_delta": _("tax"),
        "is_in_base": _("counted in"),
        "is_provisional": _("provisional"),
        "is_credit": _("a credit"),
        "is_made_to_order": _("made to order"),
        "is_personalised": _("to your own specification"),
        "tax_treatment": _("tax treatment"),
        "tax_reason": _("reason of the treatment"),
        "tax_rounding": _("how tax is rounded"),
        "supplied_by": _("supplied by"),
        "installed_by": _("installed by"),
        "connected_by": _("connected by"),
        "circuits": _("circuits"),
        "amount": _("amount"),
        "share": _("share"),
        "due": _("due"),
        "choice": _("how many may be chosen"),
        "group": _("rooms"),
        "valid_until": _("holds until"),
        "text": _("text"),
        "version": _("version"),
    }.get(name, name.replace("_", " "))
