"""The sentences that stand on documents and links: cautions, names of operations, of stages."""

from django.utils.translation import gettext as _

from catalogue.kinds import LoadKind, Operation
from consult.kinds import Layer, Trade


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


def operation(name: str) -> str:
    return str(dict(Operation.choices).get(name, name))


def layer(name: str) -> str:
    return str(dict(Layer.choices).get(name, name))


def load_kind(name: str) -> str:
    return str(dict(LoadKind.choices).get(name, name))


def trade(name: str) -> str:
    return str(dict(Trade.choices).get(name, name))
