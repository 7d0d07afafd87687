"""The house: floors, rooms with what stands in them, places for hardware."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from base.keys import Versioned
from consult.kinds import (
    Above,
    Along,
    Dampness,
    EnclosureKind,
    Finish,
    HowSure,
    Joists,
    ObjectKind,
    ResidualType,
    RoomUse,
    Wall,
)
from consult.models.rows import DesignRow, metres, option_key, reflectance

WALLS = [(key, words) for key, words in Wall.choices if key]


class Enclosure(DesignRow):
    """Where receivers live."""

    name = models.CharField(_("name"), max_length=120)
    kind = models.CharField(
        _("kind"), max_length=12, choices=EnclosureKind, default=EnclosureKind.CUPBOARD
    )
    modules = models.PositiveSmallIntegerField(
        _("room for, modules"),
        null=True,
        blank=True,
        validators=[MinValueValidator(1)],
        help_text=_("Empty: no limit known."),
    )
    dampness = models.CharField(_("place"), max_length=10, choices=Dampness, default=Dampness.DRY)
    protective_device = models.CharField(
        _("protective device"), max_length=6, blank=True, help_text=_("Such as B6 or C10.")
    )
    fed_from = models.CharField(_("board, way and isolation point"), max_length=120, blank=True)
    rcd_ma = models.PositiveSmallIntegerField(
        _("residual-current device"), null=True, blank=True, validators=[MinValueValidator(1)]
    )
    rcd_type = models.CharField(_("its type"), max_length=2, blank=True, choices=ResidualType)
    fault_loop_ohm = models.DecimalField(
        _("earth-fault loop, measured where it is fed"),
        max_digits=6,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
    )
    spare_percent = models.PositiveSmallIntegerField(
        _("outputs kept spare"), default=0, validators=[MaxValueValidator(100)]
    )
    heat_allowance_w = models.DecimalField(
        _("heat it gives off at most"),
        max_digits=7,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(1)],
    )
    has_access = models.BooleanField(_("can be reached and opened"), null=True, blank=True)
    is_ventilated = models.BooleanField(_("ventilated"), null=True, blank=True)
    is_shielded = models.BooleanField(_("metal or foil round it"), default=False)
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["position", "name"]

    def __str__(self) -> str:
        return self.name


class Floor(DesignRow):
    name = models.CharField(_("name"), max_length=80)
    code = models.CharField(
        _("code"),
        max_length=3,
        help_text=_("Starts every circuit code of the floor, such as 0 or L."),
    )
    position = models.PositiveIntegerField(default=0)
    last_room_number = models.PositiveIntegerField(default=0, editable=False)
    default_enclosure = models.ForeignKey(
        Enclosure,
        verbose_name=_("receivers are kept in"),
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
    )

    class Meta:
        ordering = ["position", "name"]
        constraints = [models.UniqueConstraint(fields=["project", "code"], name="floor_code_once")]

    def __str__(self) -> str:
        return self.name


class RoomGroup(DesignRow):
    """Rooms that share scenes."""

    name = models.CharField(_("name"), max_length=80)
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["position", "name"]

    def __str__(self) -> str:
        return self.name


class Room(DesignRow):
    floor = models.ForeignKey(Floor, on_delete=models.PROTECT, related_name="rooms")
    group = models.ForeignKey(
        RoomGroup,
        verbose_name=_("shares scenes with"),
        on_delete=models.PROTECT,
        related_name="rooms",
    )
    number = models.PositiveIntegerField(_("number"), editable=False)
    name = models.CharField(_("name"), max_length=80)
    use = models.CharField(_("use"), max_length=20, choices=RoomUse, default=RoomUse.OTHER)
    length_m = metres(_("length"))
    width_m = metres(_("width"))
    height_m = metres(_("height"), most=30)
    eaves_m = metres(_("height at its lowest side"), most=30)
    floor_m2 = models.DecimalField(
        _("floor area"),
        max_digits=8,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(10_000)],
    )
    round_m = metres(_("way round the walls"), most=1000)
    void_mm = models.PositiveIntegerField(
        _("ceiling void"), null=True, blank=True, validators=[MaxValueValidator(5000)]
    )
    dampness = models.CharField(_("place"), max_length=10, choices=Dampness, default=Dampness.DRY)
    above = models.CharField(_("above it"), max_length=12, blank=True, choices=Above)
    fire_minutes = models.PositiveSmallIntegerField(
        _("the ceiling resists fire for, minutes"), null=True, blank=True
    )
    joists = models.CharField(_("joists"), max_length=10, blank=True, choices=Joists)
    joists_along = models.CharField(_("joists run"), max_length=1, blank=True, choices=Along)
    joist_centres_mm = models.PositiveSmallIntegerField(
        _("joist centres"), null=True, blank=True, validators=[MinValueValidator(100)]
    )
    joist_first_mm = models.PositiveSmallIntegerField(
        _("wall to the middle of the first joist"), null=True, blank=True
    )
    board_layers = models.PositiveSmallIntegerField(
        _("layers of board"), null=True, blank=True, validators=[MinValueValidator(1)]
    )
    ceiling_finish = models.CharField(_("ceiling of"), max_length=10, blank=True, choices=Finish)
    wall_finish = models.CharField(_("walls of"), max_length=10, blank=True, choices=Finish)
    is_way_out = models.BooleanField(_("a way out of the house"), default=False)
    enclosure = models.ForeignKey(
        Enclosure,
        verbose_name=_("receivers are kept in"),
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
    )
    floor_reflectance = reflectance(_("floor reflects"))
    walls_reflectance = reflectance(_("walls reflect"))
    ceiling_reflectance = reflectance(_("ceiling reflects"))
    note = models.TextField(_("note for us"), max_length=4000, blank=True)
    option = option_key()
    position = models.PositiveIntegerField(default=0)
    last_circuit_number = models.PositiveIntegerField(default=0, editable=False)

    class Meta:
        ordering = ["floor__position", "position", "number"]
        constraints = [
            models.UniqueConstraint(fields=["floor", "number"], name="room_number_once"),
            models.CheckConstraint(
                condition=(Q(length_m__isnull=True) | Q(length_m__gt=0))
                & (Q(width_m__isnull=True) | Q(width_m__gt=0))
                & (Q(height_m__isnull=True) | Q(height_m__gt=0)),
                name="room_has_no_zero_size",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("consult:room", args=[self.pk])


class RoomObject(DesignRow):
    """What light and rules depend on. Room frame: origin in a corner, metres, z up."""

    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="objects_in_room")
    kind = models.CharField(_("what"), max_length=20, choices=ObjectKind)
    name = models.CharField(_("name"), max_length=80, blank=True)
    x_m = metres(_("from the left wall"))
    y_m = metres(_("from the front wall"))
    z_m = metres(_("above the floor"), most=30)
    width_m = metres(_("width"))
    depth_m = metres(_("depth"))
    height_m = metres(_("height"), most=30)

    class Meta:
        ordering = ["kind", "name"]

    def __str__(self) -> str:
        return self.name or self.get_kind_display()


class Opening(DesignRow):
    """What a room is open to: a part of its walls without a door. One row is seen from both rooms.

    The place on the wall, as the width and the height, may be unknown: then the rooms are open to
    each other, and the light is worked out as behind a wall.
    """

    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="openings_from")
    other = models.ForeignKey(
        Room,
        verbose_name=_("open to"),
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="openings_to",
    )
    wall = models.CharField(_("in the"), max_length=5, blank=True, choices=WALLS)
    from_m = metres(_("begins"))
    width_m = metres(_("width"))
    low_m = metres(_("lower edge above the floor"), most=30)
    height_m = metres(_("height"), most=30)
    other_wall = models.CharField(_("there in the"), max_length=5, blank=True, choices=WALLS)
    other_from_m = metres(_("begins there"))

    class Meta:
        ordering = ["room", "wall", "from_m"]
        constraints = [
            models.CheckConstraint(
                condition=Q(other__isnull=True) | ~Q(other=models.F("room")),
                name="opening_leads_elsewhere",
            )
        ]

    def __str__(self) -> str:
        """Both rooms. Reads self.room and self.other."""
        return f"{self.room} – {self.other}" if self.other else str(self.room)


class TargetLevel(Versioned):
    """What the business asks of a use of rooms, in place of the guide that the house starts with."""

    use = models.CharField(_("use"), max_length=20, choices=RoomUse, unique=True)
    low_lx = models.PositiveIntegerField(
        _("from"), validators=[MinValueValidator(1), MaxValueValidator(20_000)]
    )
    high_lx = models.PositiveIntegerField(
        _("to"), validators=[MinValueValidator(1), MaxValueValidator(20_000)]
    )
    plane_m = metres(_("counted at"), most=3)
    source = models.CharField(_("source"), max_length=200)
    certainty = models.CharField(
        _("how sure"), max_length=16, choices=HowSure, default=HowSure.COMMON_PRACTICE
    )

    class Meta:
        ordering = ["use"]
        constraints = [
            models.CheckConstraint(
                condition=Q(low_lx__gte=1, low_lx__lte=models.F("high_lx")),
                name="target_levels_in_order",
            )
        ]

    def __str__(self) -> str:
        return self.get_use_display()
