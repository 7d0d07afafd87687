"""Technical data as pairs of words, read through the forms, so that each has one label."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.formats import number_format
from django.utils.translation import gettext as _

from catalogue.forms_product import TECHNICAL_FORMS, BasicsForm, FeedForm, LimitForm, PartForm
from catalogue.kinds import Unit
from catalogue.models import Product
from catalogue.sheet import ProductSheet, sheet_of

Facts = list[tuple[str, str]]

# Shown elsewhere on the page, or only to people who keep prices.
NOT_AS_FACT = frozenset(
    {"reference", "name", "client_name", "description", "supplier", "supplier_code", "number"}
)
SUPPLY = ("supplier", "supplier_code", "lead_days")


def facts(form: type[forms.Form], values: Mapping[str, Any]) -> Facts:
    """The known values of a form's fields: label and value with unit. What is not known is left out."""
    found = []
    for name, field in form.base_fields.items():
        shown = _shown(field, values.get(name))
        if shown and name not in NOT_AS_FACT:
            found.append((str(field.label), shown))
    return found


def _shown(field: forms.Field, value: Any) -> str:
    if value is None or value == "" or value == [] or value == {}:
        return ""
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if isinstance(field, forms.MultipleChoiceField):
        labels = dict(field.choices)
        return ", ".join(str(labels.get(each, each)) for each in value)
    if isinstance(field, forms.ChoiceField) and not isinstance(field, forms.ModelChoiceField):
        labels = dict(field.choices)
        return str(labels.get(value, value))
    if isinstance(value, dict):
        return ", ".join(f"{device}: {pieces}" for device, pieces in value.items())
    value = field.prepare_value(value)
    if isinstance(value, Decimal):
        value = number_format(value.normalize(), use_l10n=True)
    unit = str(getattr(field, "unit", ""))
    return f"{value} {unit}".strip() if unit not in ("°", "%") else f"{value}{unit}"


def brief(product: Product) -> str:
    """What tells a product from its neighbours, in one short line. Reads what for_list() loads."""
    words: list[str] = []
    if driver := getattr(product, "driver", None):
        supply = (driver.supply_v, "V") if driver.supply_v else (driver.current_ma, "mA")
        words += [_measure(*supply), _measure(driver.rating_w, "W")]
    if receiver := getattr(product, "receiver", None):
        words.append(_("%(count)s outputs") % {"count": receiver.outputs})
        words.append(_measure(receiver.supply_v, "V"))
    if keypad := getattr(product, "keypad", None):
        words.append(_("%(count)s buttons") % {"count": keypad.scene_buttons})
    for feed in product.feeds.all()[:1]:
        per = "/m" if product.unit == Unit.METRE else ""
        light = feed.luminaire_lm or feed.source_lm
        words += [_measure(feed.watts, f"W{per}"), _measure(light, f"lm{per}")]
        ends = [_measure(cct, "K") for cct in (feed.cct_k, feed.cct_to_k) if cct]
        words.append("–".join(ends))
    if len(product.feeds.all()) > 1:
        words.append(_("%(count)s feeds") % {"count": len(product.feeds.all())})
    if fitting := getattr(product, "fitting", None):
        words.append(fitting.lamp_cap)
        words.append("" if fitting.ip_code == "20" else f"IP{fitting.ip_code}")
    return " · ".join(word for word in words if word)


def _measure(value: Any, unit: str) -> str:
    if value is None:
        return ""
    return f"{number_format(Decimal(value).normalize(), use_l10n=True)} {unit}"


def basics(product: Product) -> Facts:
    """How it is sold and fitted, without who sells it to us."""
    values = {name: getattr(product, name) for name in BasicsForm.base_fields}
    one = {"pack_size": 1, "order_multiple": 1, "waste_share": 0, "is_made_to_order": False}
    return facts(
        BasicsForm, {n: v for n, v in values.items() if n not in SUPPLY and one.get(n) != v}
    )


def technical(product: Product) -> Facts:
    """The technical block of the product's kind."""
    sheet = sheet_of(product)
    form = TECHNICAL_FORMS.get(sheet.kind)
    known = dict(sheet.technical or {})
    if not known.get("lamp_count"):
        known.pop("lamp_count", None)  # most fittings take none: no news
    return facts(form, known) if form else []


def feeds(product: Product) -> list[tuple[str, Facts]]:
    """Each feed by name or number with what is known of it."""
    several = len(product.feeds.all()) > 1
    found = []
    for feed in product.feeds.all():
        values = {name: getattr(feed, name, None) for name in FeedForm.base_fields}
        values |= {"name": "", "is_dimmable": None}
        title = _("Feed %(number)s") % {"number": feed.number} if several else _("Feed")
        found.append((f"{title}: {feed.name}" if feed.name else title, facts(FeedForm, values)))
    return found


def differences(typed: ProductSheet, stored: ProductSheet) -> Facts:
    """Where what is stored now is not what was typed: label and stored value."""
    found: Facts = []
    pairs: list[tuple[type[forms.Form], Mapping[str, Any], Mapping[str, Any]]] = [
        (BasicsForm, typed.basics, stored.basics)
    ]
    if technical_form := TECHNICAL_FORMS.get(typed.kind):
        pairs.append((technical_form, typed.technical or {}, stored.technical or {}))
    for form, mine, theirs in pairs:
        for name, field in form.base_fields.items():
            if (mine.get(name) or None) != (theirs.get(name) or None):
                found.append((str(field.label), _shown(field, theirs.get(name)) or "–"))
    for label, row_form, mine_rows, their_rows in (
        (_("Feeds"), FeedForm, typed.feeds, stored.feeds),
        (_("Limits"), LimitForm, typed.limits, stored.limits),
        (_("Parts"), PartForm, typed.parts, stored.parts),
    ):
        mine_said = [facts(row_form, row) for row in mine_rows]
        their_said = [facts(row_form, row) for row in their_rows]
        without = {str(FeedForm.base_fields["is_dimmable"].label)}
        mine_said = [[pair for pair in row if pair[0] not in without] for row in mine_said]
        if mine_said != their_said:
            rows = ["; ".join(f"{name} {value}" for name, value in row) for row in their_said]
            found.append((str(label), " · ".join(rows) or "–"))
    return found
