"""Forms of clients and projects."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from base.models import Person
from consult.kinds import KindOfWork, Nation, NeutralAt, Stage
from consult.models import Client


class ClientForm(forms.Form):
    name = forms.CharField(label=_("Name"), max_length=160, help_text=_("The household or firm."))
    email = forms.EmailField(label=_("E-mail"), required=False)
    phone = forms.CharField(label=_("Telephone"), max_length=40, required=False)
    address = forms.CharField(
        label=_("Address"), max_length=600, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )
    note = forms.CharField(
        label=_("Note for us"),
        max_length=4000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("Never shown to the client."),
    )


class ClientPersonForm(forms.Form):
    name = forms.CharField(label=_("Name"), max_length=120)
    email = forms.EmailField(label=_("E-mail"), required=False)
    phone = forms.CharField(label=_("Telephone"), max_length=40, required=False)


class ProjectForm(forms.Form):
    name = forms.CharField(label=_("Name"), max_length=160, help_text=_("As you call the job."))
    kind_of_work = forms.ChoiceField(
        label=_("Kind of work"), choices=KindOfWork, initial=KindOfWork.RENOVATION
    )
    stage = forms.ChoiceField(label=_("Stage"), choices=Stage, initial=Stage.ENQUIRY)
    nation = forms.ChoiceField(
        label=_("Nation of the site"), choices=Nation, initial=Nation.ENGLAND
    )
    designer = forms.ModelChoiceField(
        label=_("Designer"), queryset=Person.objects.none(), required=False
    )
    site_address = forms.CharField(
        label=_("Site address"),
        max_length=600,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    idea = forms.CharField(
        label=_("The idea"),
        max_length=4000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text=_("What the light is to do, in words the client will read on the proposal."),
    )

    wiring_has_earth = forms.NullBooleanField(
        label=_("Kept wiring: an earth at the points"), required=False
    )
    wiring_neutral_at = forms.ChoiceField(
        label=_("Kept wiring: neutral"), choices=NeutralAt, required=False
    )
    wiring_has_report = forms.NullBooleanField(
        label=_("Kept wiring: test report seen"), required=False
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["designer"].queryset = Person.objects.at_work()


class ProjectBeginForm(ProjectForm):
    """A project for a client who is there already, or for one named here."""

    client = forms.ModelChoiceField(
        label=_("Client"),
        queryset=Client.objects.none(),
        required=False,
        help_text=_("Or leave this empty and name a new client."),
    )
    new_client = forms.CharField(label=_("New client"), max_length=160, required=False)
    field_order = ("client", "new_client", "name", "kind_of_work", "stage", "nation", "designer")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["client"].queryset = Client.objects.order_by("name")

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        if bool(values.get("client")) == bool(values.get("new_client")):
            self.add_error("new_client", _("Choose a client, or name a new one: one of the two."))
        return values
