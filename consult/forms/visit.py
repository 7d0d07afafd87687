"""Forms that a client fills in before the visit, on a phone, without a log-in."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from base.deeds import Refusal
from base.uploads import content_of, examine
from consult.brief_kinds import VisitFileKind
from consult.forms.brief import LONG, FilesField
from consult.kinds import RoomUse
from consult.services.visits import MOST_FILES, NamedUpload


class WishesForm(forms.Form):
    wishes = forms.CharField(
        label=_("What should the light do for you?"),
        max_length=8000,
        required=False,
        widget=LONG,
        help_text=_("How you live in the house, what you like, what troubles you now."),
    )


class VisitRoomForm(forms.Form):
    name = forms.CharField(label=_("Room"), max_length=80)
    use = forms.ChoiceField(label=_("It is a"), choices=RoomUse, initial=RoomUse.LIVING)
    wish = forms.CharField(
        label=_("What matters there"),
        max_length=600,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )


class VisitFilesForm(forms.Form):
    kind = forms.ChoiceField(label=_("They are"), choices=VisitFileKind)
    files = FilesField(
        label=_("Files"),
        accept="image/png,image/jpeg,image/webp,application/pdf",
        help_text=_("PNG, JPEG or WebP up to 12 MB, PDF up to 40 MB and 60 pages."),
        error_messages={"required": _("Choose at least one file.")},
    )

    def clean_files(self) -> list[NamedUpload]:
        given: list[Any] = self.cleaned_data["files"]
        if len(given) > MOST_FILES:
            raise forms.ValidationError(_("%(most)d files at most.") % {"most": MOST_FILES})
        found, wrong = [], []
        for each in given:
            try:
                found.append(NamedUpload(name=each.name, upload=examine(content_of(each))))
            except Refusal as refusal:
                wrong.append(f"{each.name}: {refusal}")
        if wrong:
            raise forms.ValidationError(wrong)
        return found
