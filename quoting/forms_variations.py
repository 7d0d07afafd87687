"""Forms of what a variation costs besides: goods sent back, and labour in vain."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from base.forms import NumberField
from quoting.forms import PercentField
from quoting.money import printed
from quoting.offer import Offer
from quoting.varied_draft import Varied, Work


class _Of(forms.Form):
    """A form about one of several things of the order."""

    of = forms.ChoiceField()

    def __init__(self, *args: Any, choices: Iterable[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["of"].choices = list(choices)  # type: ignore[attr-defined]


class RestockingForm(_Of):
    of = forms.ChoiceField(label=_("What is sent back"))
    quantity = NumberField(
        label=_("How many"), min_value=0, max_value=10**6, max_digits=10, decimal_places=3
    )
    share = PercentField(label=_("Kept of its price"))


class InVainForm(_Of):
    of = forms.ChoiceField(label=_("Labour in vain"))
    hours = NumberField(label=_("Hours"), unit="h", min_value=0, max_value=10_000, decimal_places=2)


def restocking_form(found: Varied | None, data: QueryDict | None = None) -> RestockingForm:
    rows = found.sent_back if found else ()
    choices = [
        (each.key, f"{each.name}, {each.place}: {each.quantity.normalize():f}") for each in rows
    ]
    return RestockingForm(data, choices=choices)


def in_vain_form(found: Varied | None, data: QueryDict | None = None) -> InVainForm:
    rows, offer = (found.work, found.offer) if found else ((), None)
    choices = [
        (each.key, _now("%(name)s, %(price)s an hour") % _priced(each, offer))
        for each in rows
        if offer
    ]
    return InVainForm(data, choices=choices)


def _priced(work: Work, offer: Offer) -> dict[str, str]:
    price = printed(work.unit_net, currency=offer.currency, locale=offer.locale)
    return {"name": work.name, "price": price}
