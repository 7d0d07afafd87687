"""Deeds on the target levels of the business."""

from decimal import Decimal

from django.utils.translation import gettext as _

from base.deeds import Refusal, deed
from base.models import Person
from consult.kinds import HowSure, RoomUse
from consult.models import TargetLevel


def _must_manage(by: Person) -> None:
    if not (by.is_active and by.is_manager):
        raise Refusal(_("Only a manager may change this."))


@deed()
def target_set(
    *,
    by: Person,
    use: str,
    low_lx: int,
    high_lx: int,
    plane_m: Decimal | None,
    source: str,
    certainty: str,
) -> TargetLevel:
    """Set what a use of rooms asks for, in place of the guide."""
    _must_manage(by)
    if use not in RoomUse.values or certainty not in HowSure.values:
        raise Refusal(_("There is no such use of rooms."))
    if not 1 <= low_lx <= high_lx:
        raise Refusal(_("The lower level must be at least 1 lx and not above the upper one."))
    row, _made = TargetLevel.objects.update_or_create(
        use=use,
        defaults={
            "low_lx": low_lx,
            "high_lx": high_lx,
            "plane_m": plane_m,
            "source": source,
            "certainty": certainty,
        },
    )
    return row


@deed()
def target_reset(*, by: Person, use: str) -> None:
    """Go back to the guide."""
    _must_manage(by)
    TargetLevel.objects.filter(use=use).delete()
