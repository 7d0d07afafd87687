"""Somebody who works here, as typed by a manager."""

from django import forms
from django.utils.translation import gettext_lazy as _

from base.models import Person


class PersonForm(forms.Form):
    name = forms.CharField(label=_("Name"), max_length=120)
    email = forms.EmailField(label=_("E-mail"), help_text=_("This is what they log in with."))
    role = forms.ChoiceField(
        label=_("Role"),
        choices=Person.Role.choices,
        initial=Person.Role.DESIGNER,
        help_text=_(
            "A designer designs and quotes. Office also keeps the catalogue and its prices. "
            "A manager also changes the business and its people."
        ),
    )
