"""One way for every form: how it is drawn, and numbers as people type them."""

from decimal import Decimal, InvalidOperation
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import models
from django.forms.renderers import TemplatesSetting
from django.utils.translation import gettext_lazy as _


class Renderer(TemplatesSetting):
    form_template_name = "parts/form.html"
    field_template_name = "parts/field.html"


class NumberField(forms.DecimalField):
    """A number with comma or point, with its unit shown beside the field.

    What was typed stays when it is refused, since the widget is plain text.
    """

    widget = forms.TextInput

    def __init__(self, *, unit: str = "", **kwargs: Any) -> None:
        self.unit = unit
        kwargs.setdefault("error_messages", {})["invalid"] = _("Give a number, such as 2.5.")
        super().__init__(localize=False, **kwargs)

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        return {"inputmode": "decimal", "autocomplete": "off"}

    def to_python(self, value: Any) -> Decimal | None:
        if isinstance(value, str):
            text = value.strip().replace("\u202f", "").replace("\xa0", "").replace(" ", "")
            if (
                "," in text and "." in text
            ):  # 1,234.50 or 1.234,50: the last mark is the decimal one
                last = max(text.rfind(","), text.rfind("."))
                text = text[:last].replace(",", "").replace(".", "") + "." + text[last + 1 :]
            value = text.replace(",", ".")
        if value in self.empty_values:
            return None
        try:
            number = Decimal(str(value))
        except InvalidOperation as error:
            raise ValidationError(self.error_messages["invalid"], code="invalid") from error
        if not number.is_finite():
            raise ValidationError(self.error_messages["invalid"], code="invalid")
        return number


class RowField(forms.ModelChoiceField):
    """A choice of a row. What is at hand already, as `known`, is not read again."""

    known: tuple[models.Model, ...] = ()

    def to_python(self, value: Any) -> Any:
        found = next((row for row in self.known if str(row.pk) == str(value)), None)
        return super().to_python(value) if found is None else found


class WholeField(NumberField):
    """A whole number, typed as text so that what was typed stays."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("decimal_places", 0)
        super().__init__(**kwargs)

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        return {"inputmode": "numeric", "autocomplete": "off"}

    def clean(self, value: Any) -> Any:
        number = super().clean(value)
        return None if number is None else int(number)
