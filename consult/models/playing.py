"""How circuits are played, and from where: scenes, keypad positions, buttons."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from catalogue.models import Product
from consult.kinds import (
    ButtonDoes,
)
from consult.models.circuits import Circuit
from consult.models.house import Room, RoomGroup
from consult.models.rows import DesignRow, metres, option_key


class Scene(DesignRow):
    """A state of a room group, or of the whole house where there is no group."""

    group = models.ForeignKey(
        RoomGroup,
        verbose_name=_("room group"),
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="scenes",
    )
    name = models.CharField(_("name"), max_length=60)
    fade_s = models.DecimalField(
        _("fade, s"),
        max_digits=5,
        decimal_places=1,
        default=2,
        validators=[MinValueValidator(0), MaxValueValidator(3600)],
    )
    hours_a_day = models.DecimalField(
        _("hours a day"),
        max_digits=4,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(24)],
    )
    words = models.CharField(
        _("in words"),
        max_length=300,
        blank=True,
        help_text=_("What it feels like, for the client."),
    )
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["position", "name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(hours_a_day__isnull=True) | Q(hours_a_day__gte=0, hours_a_day__lte=24),
                name="scene_within_a_day",
            )
        ]

    def __str__(self) -> str:
        return self.name


class SceneLevel(DesignRow):
    """The level of one circuit in one scene. No row: the scene leaves the circuit as it is."""

    scene = models.ForeignKey(Scene, on_delete=models.PROTECT, related_name="levels")
    circuit = models.ForeignKey(Circuit, on_delete=models.PROTECT, related_name="levels")
    level = models.PositiveSmallIntegerField(
        _("level"), validators=[MinValueValidator(0), MaxValueValidator(100)]
    )
    cct_k = models.PositiveIntegerField(
        _("colour temperature"),
        null=True,
        blank=True,
        validators=[MinValueValidator(1000), MaxValueValidator(10_000)],
    )
    colour = models.CharField(
        _("colour"),
        max_length=6,
        blank=True,
        validators=[RegexValidator(r"^[0-9a-f]{6}$")],
        help_text=_("Red, green and blue, two hexadecimal digits each."),
    )

    class Meta:
        ordering = ["scene", "circuit"]
        constraints = [
            models.UniqueConstraint(fields=["scene", "circuit"], name="level_once"),
            models.CheckConstraint(
                condition=Q(level__gte=0, level__lte=100), name="level_is_percent"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.level} %"


class KeypadPosition(DesignRow):
    """Where a keypad hangs."""

    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="keypad_positions")
    group = models.ForeignKey(
        RoomGroup,
        verbose_name=_("plays the scenes of"),
        on_delete=models.PROTECT,
        related_name="keypad_positions",
    )
    code = models.CharField(_("code"), max_length=16, editable=False)
    name = models.CharField(_("where"), max_length=120)
    product = models.ForeignKey(
        Product,
        verbose_name=_("keypad"),
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
        help_text=_("Empty: the plan chooses."),
    )
    is_engraved = models.BooleanField(_("engraved"), default=False)
    is_outside = models.BooleanField(_("outside the room, by its door"), default=False)
    height_mm = models.PositiveIntegerField(
        _("height above finished floor"), default=1100, validators=[MaxValueValidator(3000)]
    )
    x_m = metres(_("from the left wall"))
    y_m = metres(_("from the front wall"))
    back_box_mm = models.PositiveSmallIntegerField(
        _("depth of the back box"), null=True, blank=True
    )
    back_box_gangs = models.PositiveSmallIntegerField(
        _("gangs of the back box"), null=True, blank=True, validators=[MinValueValidator(1)]
    )
    option = option_key()
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["room__floor__position", "room__position", "position"]
        constraints = [
            models.UniqueConstraint(fields=["project", "code"], name="position_code_once")
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.name}"


class PositionButton(DesignRow):
    """What a button of a position does."""

    keypad_position = models.ForeignKey(
        KeypadPosition, on_delete=models.PROTECT, related_name="buttons"
    )
    number = models.PositiveSmallIntegerField(
        validators=[MinValueValidator(1), MaxValueValidator(40)]
    )
    does = models.CharField(_("does"), max_length=10, choices=ButtonDoes, default=ButtonDoes.SCENE)
    scene = models.ForeignKey(
        Scene,
        verbose_name=_("scene"),
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
    )
    engraving = models.CharField(_("engraving"), max_length=40, blank=True)

    class Meta:
        ordering = ["keypad_position", "number"]
        constraints = [
            models.UniqueConstraint(fields=["keypad_position", "number"], name="button_once"),
            models.CheckConstraint(
                condition=Q(does="scene", scene__isnull=False)
                | (~Q(does="scene") & Q(scene__isnull=True)),
                name="button_scene_when_it_plays_one",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number}"
