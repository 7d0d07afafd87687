"""Deeds on the ways of radio between keypads and receivers."""

from typing import Any

from django.utils.translation import gettext as _

from base.deeds import Refusal, deed
from base.models import Person
from consult.journal import apply, create, delete, update
from consult.models import Enclosure, KeypadPosition
from consult.radio_models import RadioPath


@deed(locks="row")
def radio_set(*, by: Person, row: KeypadPosition, enclosure: Enclosure, **values: Any) -> RadioPath:
    """Describe the way from a position to a place of receivers, anew or over what was there."""
    if enclosure.project_id != row.project_id:
        raise Refusal(_("That place belongs to another project."))
    path = RadioPath.objects.filter(keypad_position=row, enclosure=enclosure).first()
    if path is None:
        path = RadioPath(
            project_id=row.project_id, keypad_position=row, enclosure=enclosure, **values
        )
        changes = [create(path)]
    else:
        changes = [update(path, **values)]
    about = f"{row.code} – {enclosure.name}"
    apply(project=row.project, by=by, title="radio_set", about=about, changes=changes)
    return path


@deed(locks="path", removes=True)
def radio_remove(*, by: Person, path: RadioPath) -> None:
    """Say nothing of this way any more."""
    about = f"{path.keypad_position.code} – {path.enclosure.name}"
    changes = [delete(path)]
    apply(project=path.project, by=by, title="radio_remove", about=about, changes=changes)
