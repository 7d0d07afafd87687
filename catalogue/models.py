"""What can be sold, and done: products with their technical data, suppliers, prices, labour."""

from __future__ import annotations

import datetime
import uuid
from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from base.keys import OwnKey, Versioned
from base.models import StoredFile
from catalogue.kinds import (
    DimmingCurve,
    Edge,
    Grade,
    Kind,
    LoadKind,
    LoadNature,
    Operation,
    Phase,
    TaxClass,
    Unit,
)


def amount(verbose_name: Any, **options: Any) -> models.DecimalField:
    """Money with room for four decimals of a unit price."""
    return models.DecimalField(verbose_name, max_digits=14, decimal_places=4, **options)


def measure(verbose_name: Any, *, decimals: int = 2, **options: Any) -> models.DecimalField:
    """A physical figure that may be unknown, never negative."""
    options.setdefault("validators", [MinValueValidator(0)])
    return models.DecimalField(
        verbose_name, max_digits=10, decimal_places=decimals, null=True, blank=True, **options
    )


class Supplier(Versioned):
    name = models.CharField(_("name"), max_length=120, unique=True)
    account = models.CharField(_("our account"), max_length=60, blank=True)
    order_email = models.EmailField(_("orders go to"), blank=True)
    lead_days = models.PositiveSmallIntegerField(_("lead time, working days"), default=10)
    minimum_order = amount(_("minimum order"), default=0)
    carriage = amount(_("carriage"), default=0)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Family(Versioned):
    """Variants of one thing: finishes, lengths, colour temperatures, beams."""

    name = models.CharField(_("name"), max_length=120, unique=True)

    class Meta:
        verbose_name_plural = "families"
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class ProductQuerySet(models.QuerySet["Product"]):
    def sold(self) -> ProductQuerySet:
        return self.filter(is_discontinued=False)

    def with_everything(self) -> ProductQuerySet:
        """A product with all its technical rows, in a constant number of queries."""
        return self.select_related(
            "supplier",
            "family",
            "replaced_by",
            "picture",
            "fitting",
            "driver",
            "receiver",
            "keypad__engraving_product",
        ).prefetch_related("feeds", "prices", "parts__part", "receiver__limits")

    def for_search(self) -> ProductQuerySet:
        """What the line of a product in the search is made of."""
        return self.select_related("fitting").prefetch_related("feeds")

    def for_list(self) -> ProductQuerySet:
        """What a row of the list shows."""
        return self.select_related(
            "supplier", "fitting", "driver", "receiver", "keypad"
        ).prefetch_related("feeds", "prices")

    def in_order(self, ids: Sequence[uuid.UUID]) -> list[Product]:
        """The products of these keys, in the order of the keys; missing ones are left out."""
        found = {product.pk: product for product in self.filter(pk__in=ids)}
        return [found[pk] for pk in ids if pk in found]

    def in_order_with_feeds(self, ids: Sequence[uuid.UUID]) -> list[Product]:
        """As `in_order`, with all feeds, in one query: prefetching them would ask a second one."""
        names = [field.attname for field in Product._meta.concrete_fields]
        of_feed = [field.attname for field in Feed._meta.concrete_fields]
        rows = self.filter(pk__in=ids).order_by("feeds__number")
        found: dict[uuid.UUID, tuple[Product, list[Feed]]] = {}
        for row in rows.values_list(*names, *(f"feeds__{name}" for name in of_feed)):
            product = Product.from_db(self.db, names, row[: len(names)])
            product, feeds = found.setdefault(product.pk, (product, []))
            feed = Feed.from_db(self.db, of_feed, row[len(names) :])
            if feed.pk is not None:
                feed.product = product
                feeds.append(feed)
        for product, feeds in found.values():
            fetched = product.feeds.all()
            fetched._result_cache, fetched._prefetch_done = feeds, True
            product._prefetched_objects_cache = {"feeds": fetched}
        return [found[pk][0] for pk in ids if pk in found]


class Product(Versioned):
    """A sellable thing. Each variant is a product of its own."""

    kind = models.CharField(_("kind"), max_length=20, choices=Kind)
    reference = models.CharField(_("reference"), max_length=60, unique=True)
    name = models.CharField(_("name"), max_length=160)
    client_name = models.CharField(
        _("name for the client"),
        max_length=160,
        blank=True,
        help_text=_("Printed instead of the name where a client reads."),
    )
    description = models.TextField(_("description"), blank=True, max_length=2000)
    family = models.ForeignKey(
        Family,
        verbose_name=_("family"),
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="products",
    )
    finish = models.CharField(_("finish"), max_length=60, blank=True)
    series = models.CharField(_("series"), max_length=60, blank=True)
    picture = models.ForeignKey(
        StoredFile, verbose_name=_("picture"), null=True, blank=True, on_delete=models.PROTECT
    )
    unit = models.CharField(_("sold by the"), max_length=10, choices=Unit, default=Unit.PIECE)
    sold_length_m = measure(_("sold length"), decimals=3)
    pack_size = models.PositiveIntegerField(
        _("pack size"), default=1, validators=[MinValueValidator(1)]
    )
    cut_step_m = measure(_("cut step"), decimals=4)
    waste_share = models.DecimalField(
        _("waste"),
        max_digits=4,
        decimal_places=3,
        default=0,
        validators=[MinValueValidator(0), MaxValueValidator(1)],
    )
    order_multiple = models.PositiveIntegerField(
        _("ordered in multiples of"), default=1, validators=[MinValueValidator(1)]
    )
    phase = models.CharField(_("phase"), max_length=12, choices=Phase, default=Phase.SECOND_FIX)
    supplier = models.ForeignKey(
        Supplier,
        verbose_name=_("supplier"),
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="products",
    )
    supplier_code = models.CharField(_("supplier's code"), max_length=60, blank=True)
    lead_days = models.PositiveSmallIntegerField(
        _("lead time, working days"), null=True, blank=True
    )
    tax_class = models.CharField(
        _("tax class"), max_length=10, choices=TaxClass, default=TaxClass.STANDARD
    )
    is_made_to_order = models.BooleanField(_("made to order"), default=False)
    is_discontinued = models.BooleanField(_("discontinued"), default=False)
    replaced_by = models.ForeignKey(
        "self",
        verbose_name=_("replaced by"),
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="replaces",
    )

    objects = ProductQuerySet.as_manager()

    class Meta:
        ordering = ["kind", "name", "reference"]
        indexes = [
            models.Index(fields=["kind", "is_discontinued"], name="product_kind_sold"),
            models.Index(
                fields=["is_discontinued", "kind", "name", "reference", "id"],
                name="product_page_of_kind",
            ),
            models.Index(
                fields=["is_discontinued", "name", "reference", "id"], name="product_page"
            ),
        ]
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=Kind.values), name="product_kind_known"),
            models.CheckConstraint(condition=Q(unit__in=Unit.values), name="product_unit_known"),
            models.CheckConstraint(
                condition=Q(pack_size__gte=1, order_multiple__gte=1), name="product_packs_positive"
            ),
            models.CheckConstraint(
                condition=Q(waste_share__gte=0, waste_share__lte=1), name="product_waste_is_a_share"
            ),
            models.CheckConstraint(
                condition=Q(replaced_by__isnull=True) | Q(is_discontinued=True),
                name="product_replaced_only_when_discontinued",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} ({self.reference})"

    def get_absolute_url(self) -> str:
        return reverse("catalogue:product", args=[self.pk])

    @property
    def shown_name(self) -> str:
        return self.client_name or self.name

    def price_on(self, day: datetime.date) -> ProductPrice | None:
        """The newest price that is not after the day. Reads self.prices: prefetch them first."""
        valid = [price for price in self.prices.all() if price.from_day <= day]
        return max(valid, key=lambda price: price.from_day, default=None)


class SearchText(models.Model):
    """What the search reads of a product. Kept by catalogue.search; made anew from the product."""

    product = models.OneToOneField(Product, on_delete=models.CASCADE, related_name="search_text")
    text = models.TextField()

    def __str__(self) -> str:
        return self.text[:60]


class SearchWord(models.Model):
    """A word that stands in the catalogue, so that a mistyped one can be mended."""

    word = models.CharField(max_length=40, unique=True)

    def __str__(self) -> str:
        return self.word


class ProductPrice(OwnKey):
    """Cost and sell from a day on. The price of a day is the newest that is not after it."""

    product = models.ForeignKey(Product, on_delete=models.PROTECT, related_name="prices")
    from_day = models.DateField(_("from"))
    cost = amount(_("cost"))
    sell = amount(_("sell"))

    class Meta:
        ordering = ["-from_day"]
        constraints = [
            models.UniqueConstraint(fields=["product", "from_day"], name="price_once_a_day"),
            models.CheckConstraint(
                condition=Q(cost__gte=0, sell__gte=0), name="price_not_negative"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.product_id} {self.from_day}"


class FittingData(OwnKey):
    """Of a fitting, lamp, tape or blind: what holds for the whole piece."""

    product = models.OneToOneField(Product, on_delete=models.PROTECT, related_name="fitting")
    ip_code = models.CharField(_("IP"), max_length=4, default="20")
    recess_depth_mm = measure(_("recess depth"), decimals=0)
    cut_out_mm = measure(_("cut-out"), decimals=0)
    fire_minutes = models.PositiveSmallIntegerField(
        _("fire rating, minutes"), null=True, blank=True
    )
    can_be_covered = models.BooleanField(_("insulation may cover it"), null=True, blank=True)
    weight_kg = measure(_("weight"), decimals=2)
    leakage_ma = measure(_("standing leakage to earth"), decimals=2)
    lowest_level = models.PositiveSmallIntegerField(
        _("lowest steady level, %"), null=True, blank=True, validators=[MaxValueValidator(100)]
    )
    dimming_curve = models.CharField(
        _("dimming curve"), max_length=12, choices=DimmingCurve, blank=True
    )
    protection_class = models.CharField(
        _("protection class"),
        max_length=3,
        blank=True,
        choices=[("I", "I"), ("II", "II"), ("III", "III")],
    )
    lamp_cap = models.CharField(_("lamp cap"), max_length=12, blank=True)
    lamp_count = models.PositiveSmallIntegerField(_("lamps"), default=0)

    def __str__(self) -> str:
        return f"{self.product_id}"


class Feed(OwnKey):
    """One separately driven part of a piece: a fitting has one, an up and down light two."""

    product = models.ForeignKey(Product, on_delete=models.PROTECT, related_name="feeds")
    number = models.PositiveSmallIntegerField(default=1)
    name = models.CharField(_("name"), max_length=60, blank=True)
    watts = measure(_("power, W (or W per metre)"), decimals=3)
    source_lm = measure(_("light of the source, lm (or lm per metre)"), decimals=1)
    luminaire_lm = measure(_("light that leaves the fitting, lm (or lm per metre)"), decimals=1)
    cct_k = models.PositiveIntegerField(_("colour temperature, K"), null=True, blank=True)
    cct_to_k = models.PositiveIntegerField(_("to, K"), null=True, blank=True)
    cri = models.PositiveSmallIntegerField(
        _("colour rendering, Ra"), null=True, blank=True, validators=[MaxValueValidator(100)]
    )
    beam_deg = measure(_("beam angle"), decimals=1)
    load_kinds = models.JSONField(_("may be driven as"), default=list)
    load_nature = models.CharField(
        _("load nature"), max_length=10, choices=LoadNature, default=LoadNature.LED
    )
    edge = models.CharField(_("dimming edge"), max_length=10, choices=Edge, blank=True)
    supply_v = measure(_("supply, V"), decimals=1)
    forward_v = measure(_("forward voltage, V"), decimals=1)
    current_ma = models.PositiveIntegerField(_("current, mA"), null=True, blank=True)
    power_factor = models.DecimalField(
        _("power factor"),
        max_digits=3,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(1)],
    )
    driver_place = models.CharField(
        _("driver"),
        max_length=10,
        default="built-in",
        choices=[
            ("built-in", _("built in, or none needed")),
            ("in-box", _("comes in the box")),
            ("apart", _("ordered apart")),
        ],
    )
    max_run_m = measure(_("longest run from one feed, m"), decimals=2)
    ohm_per_m = measure(_("resistance out and back, ohm per metre"), decimals=4)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["product", "number"], name="feed_number_once"),
            models.CheckConstraint(
                condition=Q(watts__isnull=True) | Q(watts__gte=0), name="feed_watts_not_negative"
            ),
        ]

    def __str__(self) -> str:
        return self.name or f"{self.number}"


class DriverData(OwnKey):
    """A power supply: constant voltage or constant current."""

    product = models.OneToOneField(Product, on_delete=models.PROTECT, related_name="driver")
    supply_v = measure(_("output, V"), decimals=1)
    current_ma = models.PositiveIntegerField(_("output, mA"), null=True, blank=True)
    forward_from_v = measure(_("forward voltage from, V"), decimals=1)
    forward_to_v = measure(_("forward voltage to, V"), decimals=1)
    rating_w = models.DecimalField(
        _("rating, W"), max_digits=8, decimal_places=2, validators=[MinValueValidator(0)]
    )
    min_load_w = models.DecimalField(
        _("minimum load, W"),
        max_digits=8,
        decimal_places=2,
        default=0,
        validators=[MinValueValidator(0)],
    )
    efficiency = models.DecimalField(
        _("efficiency"),
        max_digits=4,
        decimal_places=3,
        default=Decimal("0.880"),
        validators=[MinValueValidator(0), MaxValueValidator(1)],
    )
    dimmed_by = models.JSONField(_("is dimmed by"), default=list)
    per_device = models.JSONField(_("pieces per protective device"), default=dict, blank=True)
    ip_code = models.CharField(_("IP"), max_length=4, default="20")
    modules = models.PositiveSmallIntegerField(
        _("room it takes, modules"), null=True, blank=True, validators=[MaxValueValidator(100)]
    )
    width_mm = measure(_("width"), decimals=0)
    depth_mm = measure(_("depth"), decimals=0)
    length_mm = measure(_("length"), decimals=0)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(supply_v__isnull=False, current_ma__isnull=True)
                | Q(supply_v__isnull=True, current_ma__isnull=False),
                name="driver_voltage_or_current",
            ),
            models.CheckConstraint(condition=Q(rating_w__gt=0), name="driver_rating_positive"),
            models.CheckConstraint(
                condition=Q(efficiency__gt=0, efficiency__lte=1),
                name="driver_efficiency_is_a_share",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.product_id}"


class ReceiverData(OwnKey):
    """A radio-controlled unit that feeds circuits."""

    product = models.OneToOneField(Product, on_delete=models.PROTECT, related_name="receiver")
    outputs = models.PositiveSmallIntegerField(
        _("outputs"), validators=[MinValueValidator(1), MaxValueValidator(64)]
    )
    unit_max_w = measure(_("most watts over all outputs"), decimals=1)
    supply_v = measure(_("fed by a driver of, V"), decimals=1)
    ip_code = models.CharField(_("IP"), max_length=4, default="20")
    modules = models.PositiveSmallIntegerField(_("room it takes, modules"), default=1)
    needs_neutral = models.BooleanField(_("needs a neutral"), default=True)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(outputs__gte=1), name="receiver_has_outputs")
        ]

    def __str__(self) -> str:
        return f"{self.product_id}"


class ReceiverLimit(OwnKey):
    """What one output may carry of one load kind and nature. No row means not known: not used."""

    receiver = models.ForeignKey(ReceiverData, on_delete=models.CASCADE, related_name="limits")
    load_kind = models.CharField(_("load kind"), max_length=20, choices=LoadKind)
    load_nature = models.CharField(
        _("load nature"), max_length=10, choices=LoadNature, default=LoadNature.LED
    )
    min_w = models.DecimalField(
        _("from, W"), max_digits=8, decimal_places=2, default=0, validators=[MinValueValidator(0)]
    )
    max_w = models.DecimalField(
        _("to, W"), max_digits=8, decimal_places=2, validators=[MinValueValidator(0)]
    )
    max_pieces = models.PositiveSmallIntegerField(_("pieces at most"), null=True, blank=True)
    edge = models.CharField(_("edge"), max_length=10, choices=Edge, blank=True)

    class Meta:
        ordering = ["load_kind", "load_nature"]
        constraints = [
            models.UniqueConstraint(
                fields=["receiver", "load_kind", "load_nature"], name="limit_once"
            ),
            models.CheckConstraint(
                condition=Q(min_w__gte=0, max_w__gte=models.F("min_w")), name="limit_min_below_max"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.load_kind} {self.min_w}–{self.max_w} W"


class KeypadData(OwnKey):
    """A wall control."""

    product = models.OneToOneField(Product, on_delete=models.PROTECT, related_name="keypad")
    scene_buttons = models.PositiveSmallIntegerField(_("scene buttons"))
    has_dimming = models.BooleanField(_("dimming buttons are extra"), default=False)
    has_off = models.BooleanField(_("an off button is extra"), default=False)
    gangs = models.PositiveSmallIntegerField(_("gangs"), default=1)
    back_box_mm = models.PositiveSmallIntegerField(_("back box depth, mm"), default=35)
    is_battery = models.BooleanField(_("runs on a battery"), default=False)
    radio_range_m = models.PositiveSmallIntegerField(
        _("radio range in the open, m"), null=True, blank=True, validators=[MinValueValidator(1)]
    )
    engraving_chars = models.PositiveSmallIntegerField(
        _("characters per engraved button"), default=0
    )
    engraving_product = models.ForeignKey(
        Product,
        verbose_name=_("engraving is ordered as"),
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
    )

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(scene_buttons__gte=1), name="keypad_has_buttons")
        ]

    def __str__(self) -> str:
        return f"{self.product_id}"


class Part(OwnKey):
    """What a product needs with it."""

    class Per(models.TextChoices):
        PIECE = "piece", _("piece")
        METRE = "metre", _("metre")
        RUN = "run", _("run")
        CIRCUIT = "circuit", _("circuit")
        END = "end", _("end")

    product = models.ForeignKey(Product, on_delete=models.PROTECT, related_name="parts")
    part = models.ForeignKey(Product, on_delete=models.PROTECT, related_name="part_of")
    per = models.CharField(_("per"), max_length=10, choices=Per, default=Per.PIECE)
    quantity = models.DecimalField(
        _("quantity"), max_digits=8, decimal_places=3, default=1, validators=[MinValueValidator(0)]
    )

    class Meta:
        ordering = ["part__name"]
        constraints = [
            models.UniqueConstraint(fields=["product", "part", "per"], name="part_once"),
            models.CheckConstraint(condition=Q(quantity__gt=0), name="part_quantity_positive"),
            models.CheckConstraint(
                condition=~Q(product=models.F("part")), name="part_is_another_product"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} × {self.part_id} per {self.per}"


class LabourNorm(OwnKey):
    """Minutes for an operation on one piece or metre of a kind, or per scene, unit, visit."""

    class Per(models.TextChoices):
        PIECE = "piece", _("piece")
        METRE = "metre", _("metre")
        CIRCUIT = "circuit", _("circuit")
        SCENE = "scene", _("scene")
        BUTTON = "button", _("button")
        VISIT = "visit", _("visit")

    operation = models.CharField(_("operation"), max_length=20, choices=Operation)
    kind = models.CharField(_("kind"), max_length=20, choices=Kind, blank=True)
    per = models.CharField(_("per"), max_length=10, choices=Per, default=Per.PIECE)
    minutes = models.DecimalField(
        _("minutes"), max_digits=8, decimal_places=2, validators=[MinValueValidator(0)]
    )
    grade = models.CharField(_("grade"), max_length=20, choices=Grade, default=Grade.ELECTRICIAN)
    from_day = models.DateField(_("from"), default=datetime.date(2020, 1, 1))
    source = models.CharField(
        _("where the figure comes from"),
        max_length=160,
        default="common practice, no source",
    )

    class Meta:
        ordering = ["operation", "kind", "-from_day"]
        constraints = [
            models.UniqueConstraint(
                fields=["operation", "kind", "per", "grade", "from_day"], name="norm_once_a_day"
            ),
            models.CheckConstraint(condition=Q(minutes__gte=0), name="norm_not_negative"),
        ]

    def __str__(self) -> str:
        return f"{self.operation} {self.kind} {self.minutes} min per {self.per}"


class LabourRate(OwnKey):
    """Money per hour by grade, from a day on."""

    grade = models.CharField(_("grade"), max_length=20, choices=Grade)
    from_day = models.DateField(_("from"))
    cost = amount(_("cost per hour"))
    sell = amount(_("sell per hour"))

    class Meta:
        ordering = ["grade", "-from_day"]
        constraints = [
            models.UniqueConstraint(fields=["grade", "from_day"], name="labour_rate_once_a_day"),
            models.CheckConstraint(
                condition=Q(cost__gte=0, sell__gte=0), name="labour_rate_not_negative"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.grade} {self.from_day}"


class TaxRate(OwnKey):
    """The rate of a tax class, a share, from a day on. No share means exempt."""

    tax_class = models.CharField(_("tax class"), max_length=10, choices=TaxClass)
    from_day = models.DateField(_("from"))
    share = models.DecimalField(
        _("rate"),
        max_digits=6,
        decimal_places=5,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(1)],
    )

    class Meta:
        ordering = ["tax_class", "-from_day"]
        constraints = [
            models.UniqueConstraint(fields=["tax_class", "from_day"], name="tax_rate_once_a_day"),
            models.CheckConstraint(
                condition=Q(share__isnull=True) | Q(share__gte=0, share__lte=1),
                name="tax_rate_is_a_share",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.tax_class} {self.share}"


class CatalogueEdition(models.Model):
    """One row: the number that every deed on the catalogue raises. See catalogue.edition."""

    number = models.PositiveBigIntegerField(default=0)

    def __str__(self) -> str:
        return f"{self.number}"


class PhotometricFile(OwnKey):
    """A photometric file of a product, or of one of its feeds. What it says is read from its bytes."""

    class Format(models.TextChoices):
        IES = "ies", _("IES LM-63")
        LDT = "ldt", _("EULUMDAT")

    product = models.ForeignKey(Product, on_delete=models.PROTECT, related_name="photometric_files")
    feed_number = models.PositiveSmallIntegerField(_("feed"), default=1)
    format = models.CharField(_("format"), max_length=3, choices=Format)
    name = models.CharField(_("file"), max_length=160)
    file = models.ForeignKey(StoredFile, on_delete=models.PROTECT, related_name="+")
    warnings = models.JSONField(default=list, editable=False)
    attached_at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        ordering = ["feed_number"]
        constraints = [
            models.UniqueConstraint(
                fields=["product", "feed_number"], name="photometric_file_once_a_feed"
            )
        ]

    def __str__(self) -> str:
        return self.name


# Last, since its rows hang from the ones above.
import catalogue.bench_models  # noqa: E402, F401
