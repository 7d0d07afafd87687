"""Forms of the brief, of who takes part, of notes, appointments, and of links before the visit."""

import datetime
from typing import Any

from django import forms
from django.forms.utils import from_current_timezone
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from base.deeds import Refusal
from base.forms import NumberField, WholeField
from base.models import Person
from base.uploads import content_of, photo
from consult.brief_kinds import AppointmentKind, PartyRole
from consult.models import Project, Room
from consult.services.brief import MOST_PHOTOS

LONG = forms.Textarea(attrs={"rows": 5})
SHORT = forms.Textarea(attrs={"rows": 3})
DAY = forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})


class FilesInput(forms.ClearableFileInput):
    allow_multiple_selected = True


class FilesField(forms.FileField):
    """Several files at once; each is cleaned as a file field cleans one."""

    def __init__(self, **kwargs: Any) -> None:
        accept = kwargs.pop("accept", "image/png,image/jpeg,image/webp")
        attributes = {"accept": accept, **kwargs.pop("attributes", {})}
        super().__init__(widget=FilesInput(attrs=attributes), **kwargs)

    def clean(self, data: Any, initial: Any = None) -> list[Any]:
        given = data if isinstance(data, list | tuple) else [data]
        found = [super(FilesField, self).clean(each, initial) for each in given if each]
        if self.required and not found:
            super().clean(None, initial)
        return found


class BriefForm(forms.Form):
    rooms_wished = forms.CharField(
        label=_("Rooms it is about"), max_length=4000, required=False, widget=SHORT
    )
    wishes = forms.CharField(
        label=_("Wishes"),
        max_length=8000,
        required=False,
        widget=LONG,
        help_text=_("How they live there, what they like, what troubles them now."),
    )
    budget_guide = NumberField(
        label=_("Budget guide"), required=False, min_value=0, max_digits=14, decimal_places=2
    )
    budget_words = forms.CharField(
        label=_("About the budget"),
        max_length=300,
        required=False,
        help_text=_("What it is to cover, such as fittings without labour."),
    )
    first_fix_on = forms.DateField(label=_("First fix from"), required=False, widget=DAY)
    second_fix_on = forms.DateField(label=_("Second fix from"), required=False, widget=DAY)

    def __init__(self, *args: Any, currency: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["budget_guide"].unit = currency

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        first, second = values.get("first_fix_on"), values.get("second_fix_on")
        if first and second and second < first:
            self.add_error("second_fix_on", _("Second fix cannot begin before first fix."))
        return values


class PartyForm(forms.Form):
    role = forms.ChoiceField(label=_("Role"), choices=PartyRole)
    name = forms.CharField(label=_("Name"), max_length=120)
    firm = forms.CharField(label=_("Firm"), max_length=120, required=False)
    email = forms.EmailField(label=_("E-mail"), required=False)
    phone = forms.CharField(label=_("Telephone"), max_length=40, required=False)
    note = forms.CharField(
        label=_("Note for us"),
        max_length=300,
        required=False,
        help_text=_("Never shown to the client."),
    )


class NoteForm(forms.Form):
    room = forms.ModelChoiceField(
        label=_("Room"),
        queryset=Room.objects.none(),
        required=False,
        empty_label=_("The whole job"),
    )
    text = forms.CharField(label=_("Note"), max_length=4000, required=False, widget=SHORT)
    taken = FilesField(
        label=_("Take a photo"), required=False, attributes={"capture": "environment"}
    )
    chosen = FilesField(
        label=_("Or choose photos"), required=False, help_text=_("PNG, JPEG or WebP, 12 MB each.")
    )

    def __init__(self, *args: Any, project: Project, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["room"].queryset = Room.objects.filter(project=project).select_related("floor")

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        given = [*(values.pop("taken", None) or []), *(values.pop("chosen", None) or [])]
        values["photos"] = []
        if len(given) > MOST_PHOTOS:
            self.add_error("chosen", _("%(most)d photos at most.") % {"most": MOST_PHOTOS})
            return values
        # Made ready here, before the transaction: a picture takes a third of a second.
        for each in given:
            try:
                values["photos"].append(photo(content_of(each)))
            except Refusal as refusal:
                self.add_error("chosen", f"{each.name}: {refusal}")
        if not self.errors and not values["photos"] and not values.get("text"):
            self.add_error("text", _("Write something, or add a photo."))
        return values


class NoteChangeForm(forms.Form):
    text = forms.CharField(label=_("Note"), max_length=4000, required=False, widget=LONG)


def a_time(form: forms.Form, values: dict[str, Any]) -> datetime.datetime | None:
    """Day and hour as one time in the zone of the house; what the clocks skip or repeat is refused."""
    day, hour = values.pop("day", None), values.pop("hour", None)
    if day is None or hour is None:
        return None
    try:
        return from_current_timezone(datetime.datetime.combine(day, hour)).astimezone(datetime.UTC)
    except forms.ValidationError:
        form.add_error("hour", _("The clocks change at this hour. Choose another."))
        return None


class AppointmentForm(forms.Form):
    kind = forms.ChoiceField(label=_("What"), choices=AppointmentKind)
    day = forms.DateField(label=_("Day"), widget=DAY)
    hour = forms.TimeField(
        label=_("Begins at"), widget=forms.TimeInput(format="%H:%M", attrs={"type": "time"})
    )
    minutes = WholeField(
        label=_("Lasts"), unit=_("minutes"), min_value=5, max_value=1440, initial=90
    )
    place = forms.CharField(label=_("Place"), max_length=300, required=False)
    guest = forms.CharField(label=_("With"), max_length=160)
    guest_email = forms.EmailField(
        label=_("Their e-mail"),
        required=False,
        help_text=_("The invitation goes here. Empty: they are not written to."),
    )
    colleague = forms.ModelChoiceField(label=_("From us"), queryset=Person.objects.none())
    words = forms.CharField(
        label=_("Words on the invitation"), max_length=2000, required=False, widget=SHORT
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["colleague"].queryset = Person.objects.at_work()

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        at = a_time(self, values)
        if at is not None and at < timezone.now() - datetime.timedelta(days=1):
            self.add_error("day", _("This day is past."))
        values["starts_at"] = at
        return values


class VisitLinkForm(forms.Form):
    for_whom = forms.CharField(label=_("For whom"), max_length=120)
    day = forms.DateField(
        label=_("Works until the end of"),
        widget=DAY,
        help_text=_("The day of the visit, as a rule."),
    )

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        day = values.pop("day", None)
        if day is None:
            return values
        today = timezone.localdate()
        if not today <= day <= today + datetime.timedelta(days=366):
            self.add_error("day", _("Choose a day from today, at most a year ahead."))
            return values
        end = datetime.datetime.combine(day, datetime.time(23, 59))
        values["until"] = from_current_timezone(end)
        return values
