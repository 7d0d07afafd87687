"""What comes on together: circuits and their fittings."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from catalogue.kinds import LoadKind
from catalogue.models import Feed, Product
from consult.kinds import (
    AfterPowerCut,
    Arrangement,
    DriverPlace,
    Laid,
    Layer,
    ScalesBy,
    Trade,
    Wall,
)
from consult.models.house import Enclosure, Room, RoomObject
from consult.models.rows import DesignRow, metres, option_key


class Circuit(DesignRow):
    """What comes on together."""

    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="circuits")
    number = models.PositiveIntegerField(editable=False)
    code = models.CharField(_("code"), max_length=16, editable=False)
    name = models.CharField(_("name"), max_length=120)
    layer = models.CharField(_("layer"), max_length=12, choices=Layer, default=Layer.AMBIENT)
    load_kind = models.CharField(
        _("driven as"), max_length=20, choices=LoadKind, default=LoadKind.SWITCHED
    )
    enclosure = models.ForeignKey(
        Enclosure,
        verbose_name=_("receiver is kept in"),
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
    )
    cable_length_m = metres(_("cable from the enclosure"), most=500)
    cable_mm2 = models.DecimalField(
        _("conductor"), max_digits=3, decimal_places=1, null=True, blank=True
    )
    cable_laid = models.CharField(_("cable laid"), max_length=3, blank=True, choices=Laid)
    cable_bunched = models.PositiveSmallIntegerField(
        _("loaded circuits bunched together"),
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(5)],
    )
    cable_ambient_c = models.PositiveSmallIntegerField(
        _("warmest place on its way"), null=True, blank=True, validators=[MaxValueValidator(40)]
    )
    driver_place = models.CharField(
        _("its drivers stand"), max_length=8, blank=True, choices=DriverPlace
    )
    driver_has_access = models.BooleanField(_("drivers can be reached"), null=True, blank=True)
    driver_is_ventilated = models.BooleanField(_("drivers have air"), null=True, blank=True)
    low_trim = models.PositiveSmallIntegerField(
        _("never dimmed below"), null=True, blank=True, validators=[MaxValueValidator(100)]
    )
    high_trim = models.PositiveSmallIntegerField(
        _("never brighter than"), null=True, blank=True, validators=[MaxValueValidator(100)]
    )
    after_power_cut = models.CharField(
        _("after a power cut"), max_length=10, blank=True, choices=AfterPowerCut
    )
    is_existing = models.BooleanField(_("wiring is there already"), default=False)
    note = models.TextField(_("note for us"), max_length=2000, blank=True)
    option = option_key()
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["room__floor__position", "room__position", "position", "number"]
        constraints = [
            models.UniqueConstraint(fields=["project", "code"], name="circuit_code_once"),
            models.UniqueConstraint(fields=["room", "number"], name="circuit_number_once"),
            models.CheckConstraint(
                condition=Q(low_trim__isnull=True)
                | Q(high_trim__isnull=True)
                | Q(low_trim__lte=models.F("high_trim")),
                name="circuit_trims_in_order",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.name}"


class CircuitFitting(DesignRow):
    """Pieces, or pieces of a length, of one product on a circuit; or a placeholder with an allowance."""

    circuit = models.ForeignKey(Circuit, on_delete=models.PROTECT, related_name="fittings")
    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="fittings")
    product = models.ForeignKey(
        Product,
        verbose_name=_("product"),
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
    )
    feed = models.ForeignKey(
        Feed,
        verbose_name=_("feed"),
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
    )
    same_pieces_as = models.ForeignKey(
        "self",
        verbose_name=_("another feed of the pieces in"),
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="other_feeds",
    )
    lamp = models.ForeignKey(
        Product,
        verbose_name=_("lamp"),
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
    )
    placeholder = models.CharField(_("placeholder"), max_length=120, blank=True)
    allowance = models.DecimalField(
        _("allowance each"),
        max_digits=14,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
    )
    placeholder_w = models.DecimalField(
        _("power each, W"),
        max_digits=8,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
    )
    placeholder_lm = models.DecimalField(
        _("light each, lm"),
        max_digits=9,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
    )
    lamp_cap = models.CharField(_("lamp cap"), max_length=12, blank=True)
    pieces = models.PositiveIntegerField(
        _("pieces"), default=1, validators=[MinValueValidator(1), MaxValueValidator(9999)]
    )
    length_m = metres(_("length of each"), most=500)
    supplied_by = models.CharField(
        _("supplied by"), max_length=12, choices=Trade, default=Trade.SHOWROOM
    )
    installed_by = models.CharField(
        _("installed by"), max_length=12, choices=Trade, default=Trade.SHOWROOM
    )
    connected_by = models.CharField(
        _("connected by"), max_length=12, choices=Trade, default=Trade.SHOWROOM
    )
    arrangement = models.CharField(
        _("arranged"), max_length=12, choices=Arrangement, default=Arrangement.POINTS
    )
    over = models.ForeignKey(
        RoomObject,
        verbose_name=_("hangs over"),
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="hung_over",
    )
    mounting_height_m = metres(_("mounting height"), most=30)
    wall = models.CharField(_("along the wall"), max_length=5, blank=True, choices=Wall)
    offset_m = metres(_("off the wall"))
    tilt_deg = models.PositiveSmallIntegerField(
        _("tilted from straight down"), null=True, blank=True, validators=[MaxValueValidator(180)]
    )
    fixing_kg = models.DecimalField(
        _("the fixing carries"),
        max_digits=7,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
    )
    is_fed_both_ends = models.BooleanField(_("fed from both ends"), default=False)
    note = models.CharField(_("note for us"), max_length=300, blank=True)
    scales_by = models.CharField(
        _("in a pattern, the number follows"), max_length=10, blank=True, choices=ScalesBy
    )
    option = option_key()
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["position", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(product__isnull=False, placeholder="")
                | (Q(product__isnull=True) & ~Q(placeholder="")),
                name="fitting_product_or_placeholder",
            ),
            models.CheckConstraint(condition=Q(pieces__gte=1), name="fitting_has_pieces"),
            models.CheckConstraint(
                condition=Q(length_m__isnull=True) | Q(length_m__gt=0),
                name="fitting_length_positive",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.pieces} × {self.placeholder or self.product_id}"
