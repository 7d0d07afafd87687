"""What lies between a keypad and the receivers it commands by radio."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from consult.models import DesignRow, Enclosure, KeypadPosition


def walls(verbose_name: object) -> models.PositiveSmallIntegerField[int, int]:
    return models.PositiveSmallIntegerField(
        verbose_name, default=0, validators=[MaxValueValidator(20)]
    )


class RadioPath(DesignRow):
    """The way of radio from one keypad to one place of receivers, as somebody looked at it."""

    keypad_position = models.ForeignKey(
        KeypadPosition, on_delete=models.PROTECT, related_name="radio_paths"
    )
    enclosure = models.ForeignKey(Enclosure, on_delete=models.PROTECT, related_name="radio_paths")
    distance_m = models.DecimalField(
        _("distance"),
        max_digits=5,
        decimal_places=1,
        validators=[MinValueValidator(0), MaxValueValidator(500)],
    )
    light_walls = walls(_("light walls between"))
    masonry_walls = walls(_("masonry walls between"))
    timber_floors = walls(_("timber floors between"))
    concrete_floors = walls(_("concrete floors between"))
    has_metal_box = models.BooleanField(_("a metal box or plate at either end"), default=False)
    has_foil_board = models.BooleanField(_("foil-backed board between"), default=False)
    has_mirror = models.BooleanField(_("a mirror between"), default=False)
    has_steel = models.BooleanField(_("steel between"), default=False)

    class Meta:
        ordering = ["keypad_position", "enclosure"]
        constraints = [
            models.UniqueConstraint(fields=["keypad_position", "enclosure"], name="radio_path_once")
        ]

    def __str__(self) -> str:
        return f"{self.keypad_position} – {self.enclosure}"
