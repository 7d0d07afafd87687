"""Forms of the control plan, the findings and the comparison."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from base.forms import WholeField
from catalogue.kinds import Kind
from catalogue.models import Product
from consult.models import Circuit, Enclosure, KeypadPosition, Project, SwitchingPiece

REASON = forms.CharField(
    label=_("Why"), max_length=300, help_text=_("Kept with it, for whoever asks later.")
)


class FixedForm(forms.Form):
    """One kind of fixed choice: the fields that the kind names, and a reason."""

    circuit = forms.ModelChoiceField(label=_("Circuit"), queryset=Circuit.objects.none())
    other_circuit = forms.ModelChoiceField(label=_("And circuit"), queryset=Circuit.objects.none())
    keypad_position = forms.ModelChoiceField(
        label=_("Position"), queryset=KeypadPosition.objects.none()
    )
    enclosure = forms.ModelChoiceField(label=_("Place"), queryset=Enclosure.objects.none())
    product = forms.ModelChoiceField(label=_("Product"), queryset=Product.objects.none())
    count = WholeField(label=_("Exactly"), min_value=0, max_value=50, initial=1)
    series = forms.ChoiceField(label=_("Series"), required=False)
    finish = forms.ChoiceField(label=_("Finish"), required=False)
    reason = REASON

    FIELDS = {
        "receiver": ("circuit", "product"),
        "together": ("circuit", "other_circuit"),
        "driver": ("circuit", "product"),
        "units": ("enclosure", "product", "count"),
        "keypad": ("keypad_position", "product"),
        "look": ("series", "finish"),
    }
    PRODUCTS = {
        "receiver": Kind.RECEIVER,
        "units": Kind.RECEIVER,
        "driver": Kind.DRIVER,
        "keypad": Kind.KEYPAD,
    }

    def __init__(self, *args: Any, project: Project, kind: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kind = kind
        for name in set(self.fields) - {*self.FIELDS[kind], "reason"}:
            del self.fields[name]
        for name, model in (
            ("circuit", Circuit),
            ("other_circuit", Circuit),
            ("keypad_position", KeypadPosition),
            ("enclosure", Enclosure),
        ):
            if name in self.fields:
                self.fields[name].queryset = model.objects.filter(project=project)
        if "product" in self.fields:
            self.fields["product"].queryset = Product.objects.sold().filter(
                kind=self.PRODUCTS[kind]
            )
        for name in ("series", "finish"):
            if name in self.fields:
                self.fields[name].choices = self._looks(name)

    @staticmethod
    def _looks(name: str) -> list[tuple[str, Any]]:
        sold = Product.objects.sold().filter(kind=Kind.KEYPAD).exclude(**{name: ""})
        found = sold.order_by(name).values_list(name, flat=True).distinct()
        return [("", _("the plan chooses")), *((each, each) for each in found)]

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        if self.kind == "look" and not values.get("series") and not values.get("finish"):
            self.add_error("series", _("Choose a series, a finish, or both."))
        first, other = values.get("circuit"), values.get("other_circuit")
        if first is not None and first == other:
            self.add_error("other_circuit", _("Choose two different circuits."))
        return values


class AsideForm(forms.Form):
    """A finding put aside: which, with what values, and why."""

    rule = forms.CharField(max_length=60, widget=forms.HiddenInput)
    about = forms.CharField(max_length=80, required=False, widget=forms.HiddenInput)
    values_sha256 = forms.RegexField(regex=r"^[0-9a-f]{64}$", widget=forms.HiddenInput)
    reason = forms.CharField(label=_("Why it may stay so"), max_length=300)


class PiecesForm(forms.Form):
    """Which product prices each piece of ordinary switching; a field for each code."""

    def __init__(
        self, *args: Any, codes: dict[str, Any], suggested: dict[str, Any], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        stored = {row.code: row for row in SwitchingPiece.objects.all()}
        kinds = (Kind.SWITCH_PLATE, Kind.DIMMER, Kind.ACCESSORY, Kind.CABLE)
        sold = Product.objects.sold().filter(kind__in=kinds)
        for code, label in codes.items():
            row = stored.get(code)
            self.fields[code] = forms.ModelChoiceField(
                label=label,
                queryset=sold,
                required=False,
                empty_label=_("not chosen"),
                initial=row.product_id if row else suggested.get(code),
            )
        self.fields["led_w"] = WholeField(
            label=_("One dimmer gang carries"),
            unit=_("W of LED"),
            min_value=1,
            max_value=2000,
            required=False,
            initial=next((row.led_w for row in stored.values() if row.led_w), None),
            help_text=_("As its maker publishes it. Empty: a rule of thumb is taken."),
        )
