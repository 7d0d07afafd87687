"""For whom and what: clients, projects, rooms, circuits, scenes, keypad positions.

Every row of a design hangs from its project directly, so that a whole design is read in a constant
number of queries and a stranger's row is never found. Foreign keys protect: a row goes only by a
deed that removes what hangs from it first, and the journal remembers both.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from base.keys import OwnKey, Versioned
from base.models import Person
from catalogue.kinds import LoadKind
from catalogue.models import Feed, Product
from consult.kinds import (
    Above,
    AfterPowerCut,
    Along,
    Arrangement,
    ButtonDoes,
    Dampness,
    DriverPlace,
    EnclosureKind,
    FixedKind,
    HowSure,
    Joists,
    KindOfWork,
    Laid,
    Layer,
    Nation,
    NeutralAt,
    ObjectKind,
    ResidualType,
    RoomUse,
    ScalesBy,
    Stage,
    Trade,
    Wall,
)


def metres(verbose_name: Any, *, most: int = 100, **options: Any) -> models.DecimalField:
    options.setdefault("null", True)
    options.setdefault("blank", True)
    return models.DecimalField(
        verbose_name,
        max_digits=7,
        decimal_places=3,
        validators=[MinValueValidator(0), MaxValueValidator(most)],
        **options,
    )


def reflectance(verbose_name: Any) -> models.DecimalField:
    """A share of light sent back, 0 to 0.95; empty where nobody said."""
    return models.DecimalField(
        verbose_name,
        max_digits=3,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(Decimal("0.95"))],
    )


def fixed_shapes() -> list[models.CheckConstraint]:
    """One CHECK for each kind of fixed choice: what it names is there, and nothing else is."""
    references = ("circuit", "other_circuit", "keypad_position", "enclosure", "product", "count")
    shapes = {
        "receiver": {"circuit", "product"},
        "together": {"circuit", "other_circuit"},
        "driver": {"circuit", "product"},
        "units": {"enclosure", "product", "count"},
        "keypad": {"keypad_position", "product"},
        "look": set(),
    }
    found = []
    for kind, named in shapes.items():
        shape = Q(**{f"{name}__isnull": name not in named for name in references})
        look = ~Q(series="", finish="") if kind == "look" else Q(series="", finish="")
        found.append(
            models.CheckConstraint(
                condition=~Q(kind=kind) | (shape & look), name=f"fixed_{kind}_names_its_own"
            )
        )
    return [
        *found,
        models.CheckConstraint(condition=Q(kind__in=list(shapes)), name="fixed_kind_known"),
    ]


class ClientQuerySet(models.QuerySet["Client"]):
    def for_user(self, user: Any) -> ClientQuerySet:
        """All clients for somebody who works here, none for anybody else."""
        return self if getattr(user, "is_active", False) else self.none()

    def with_projects(self) -> ClientQuerySet:
        return self.prefetch_related("people", "projects")


class Client(Versioned):
    name = models.CharField(_("name"), max_length=160)
    email = models.EmailField(_("e-mail"), blank=True)
    phone = models.CharField(_("telephone"), max_length=40, blank=True)
    address = models.TextField(_("address"), max_length=600, blank=True)
    note = models.TextField(_("note for us"), max_length=4000, blank=True)
    created_at = models.DateTimeField(default=timezone.now, editable=False)

    objects = ClientQuerySet.as_manager()

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("consult:client", args=[self.pk])


class ClientPerson(Versioned):
    client = models.ForeignKey(Client, on_delete=models.PROTECT, related_name="people")
    name = models.CharField(_("name"), max_length=120)
    email = models.EmailField(_("e-mail"), blank=True)
    phone = models.CharField(_("telephone"), max_length=40, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class ProjectQuerySet(models.QuerySet["Project"]):
    def for_user(self, user: Any) -> ProjectQuerySet:
        """All projects for somebody who works here, none for anybody else."""
        return self if getattr(user, "is_active", False) else self.none()

    def jobs(self) -> ProjectQuerySet:
        """Projects of clients, without the library of patterns."""
        return self.filter(is_library=False)

    def with_people(self) -> ProjectQuerySet:
        return self.select_related("client", "designer")


class Project(Versioned):
    client = models.ForeignKey(
        Client,
        verbose_name=_("client"),
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="projects",
    )
    name = models.CharField(_("name"), max_length=160)
    site_address = models.TextField(_("site address"), max_length=600, blank=True)
    nation = models.CharField(
        _("nation of the site"), max_length=20, choices=Nation, default=Nation.ENGLAND
    )
    kind_of_work = models.CharField(
        _("kind of work"), max_length=20, choices=KindOfWork, default=KindOfWork.RENOVATION
    )
    stage = models.CharField(_("stage"), max_length=20, choices=Stage, default=Stage.ENQUIRY)
    designer = models.ForeignKey(
        Person,
        verbose_name=_("designer"),
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="projects",
    )
    idea = models.TextField(
        _("the idea"),
        max_length=4000,
        blank=True,
        help_text=_("What the light is to do, in words the client will read."),
    )
    wiring_has_earth = models.BooleanField(
        _("kept wiring: an earth at the points"), null=True, blank=True
    )
    wiring_neutral_at = models.CharField(
        _("kept wiring: neutral"), max_length=8, blank=True, choices=NeutralAt
    )
    wiring_has_report = models.BooleanField(
        _("kept wiring: test report seen"), null=True, blank=True
    )
    is_library = models.BooleanField(default=False, editable=False)
    created_at = models.DateTimeField(default=timezone.now, editable=False)
    changed_at = models.DateTimeField(default=timezone.now, editable=False)

    objects = ProjectQuerySet.as_manager()

    class Meta:
        ordering = ["-changed_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(is_library=True) | Q(client__isnull=False), name="project_has_client"
            )
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("consult:project", args=[self.pk])

    def room_list(self) -> models.QuerySet[Room]:
        """Rooms in house order with their floors: one query."""
        return Room.objects.filter(project=self).select_related("floor")


class DesignRowQuerySet(models.QuerySet[Any]):
    def for_user(self, user: Any) -> DesignRowQuerySet:
        return self if getattr(user, "is_active", False) else self.none()


class DesignRow(Versioned):
    """A row of one project's design."""

    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="+")

    objects = DesignRowQuerySet.as_manager()

    class Meta:
        abstract = True

    def lock_first(self) -> models.Model | None:
        return Project(pk=self.project_id)


class OptionGroup(DesignRow):
    """What the client may choose together: any of them, or one of several."""

    name = models.CharField(_("name"), max_length=120)
    is_one_of = models.BooleanField(_("one of several"), default=False)
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["position", "name"]

    def __str__(self) -> str:
        return self.name


class Option(DesignRow):
    group = models.ForeignKey(OptionGroup, on_delete=models.PROTECT, related_name="options")
    name = models.CharField(_("name"), max_length=120)
    is_in = models.BooleanField(_("taken unless the client says otherwise"), default=False)
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["position", "name"]

    def __str__(self) -> str:
        return self.name


def option_key() -> models.ForeignKey[Any, Any]:
    return models.ForeignKey(
        Option,
        verbose_name=_("only with the option"),
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
    )


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
    words = models.CharField(
        _("in words"),
        max_length=300,
        blank=True,
        help_text=_("What it feels like, for the client."),
    )
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["position", "name"]

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


class FixedChoice(DesignRow):
    """A choice of the plan that somebody overruled. What each kind names is held by one CHECK."""

    kind = models.CharField(_("what is fixed"), max_length=10, choices=FixedKind)
    circuit = models.ForeignKey(
        Circuit,
        verbose_name=_("circuit"),
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="fixed_choices",
    )
    other_circuit = models.ForeignKey(
        Circuit,
        verbose_name=_("and circuit"),
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
    )
    keypad_position = models.ForeignKey(
        KeypadPosition,
        verbose_name=_("position"),
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="fixed_choices",
    )
    enclosure = models.ForeignKey(
        Enclosure,
        verbose_name=_("place"),
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="fixed_choices",
    )
    product = models.ForeignKey(
        Product,
        verbose_name=_("product"),
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
    )
    count = models.PositiveSmallIntegerField(_("number"), null=True, blank=True)
    series = models.CharField(_("series"), max_length=60, blank=True)
    finish = models.CharField(_("finish"), max_length=60, blank=True)
    reason = models.CharField(_("reason"), max_length=300)
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["kind", "id"]
        constraints = [
            *fixed_shapes(),
            models.CheckConstraint(condition=~Q(reason=""), name="fixed_has_a_reason"),
            models.CheckConstraint(
                condition=Q(other_circuit__isnull=True) | ~Q(circuit=models.F("other_circuit")),
                name="fixed_two_circuits_differ",
            ),
            models.UniqueConstraint(
                fields=["circuit", "kind"],
                condition=Q(kind__in=["receiver", "driver"]),
                name="fixed_once_for_a_circuit",
            ),
            models.UniqueConstraint(
                fields=["circuit", "other_circuit"],
                condition=Q(kind="together"),
                name="fixed_pair_once",
            ),
            models.UniqueConstraint(
                fields=["enclosure", "product"],
                condition=Q(kind="units"),
                name="fixed_units_once_in_a_place",
            ),
            models.UniqueConstraint(
                fields=["keypad_position"], condition=Q(kind="keypad"), name="fixed_keypad_once"
            ),
            models.UniqueConstraint(
                fields=["project"], condition=Q(kind="look"), name="fixed_look_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}: {self.reason}"


class SetAside(DesignRow):
    """A finding that somebody looked at and put aside, with the reason and the values of then.

    `values_sha256` is the digest of the finding's values: with other values the finding is shown again.
    """

    rule = models.CharField(max_length=60)
    about = models.CharField(max_length=80, blank=True)
    values_sha256 = models.CharField(max_length=64)
    reason = models.CharField(_("reason"), max_length=300)
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    on = models.DateField(default=timezone.localdate)

    class Meta:
        verbose_name_plural = "set aside"
        ordering = ["rule", "about"]
        constraints = [
            models.UniqueConstraint(fields=["project", "rule", "about"], name="set_aside_once"),
            models.CheckConstraint(condition=~Q(reason=""), name="set_aside_has_a_reason"),
        ]

    def __str__(self) -> str:
        return f"{self.rule}: {self.reason}"


class SwitchingPiece(Versioned):
    """Which product of the catalogue prices a piece of ordinary switching, such as a two-gang plate."""

    code = models.CharField(max_length=30, unique=True)
    product = models.ForeignKey(Product, on_delete=models.PROTECT, related_name="+")
    led_w = models.PositiveSmallIntegerField(
        _("carries, W of LED a gang"), null=True, blank=True, validators=[MinValueValidator(1)]
    )

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return f"{self.code} {self.product_id}"


class JournalEntry(OwnKey):
    """One act: what it changed, row by row, before and after. Never altered but for its undoing."""

    class Kind(models.TextChoices):
        ACT = "act", _("did")
        UNDO = "undo", _("took back")
        REDO = "redo", _("did again")

    class State(models.TextChoices):
        DONE = "done", _("stands")
        UNDONE = "undone", _("taken back")
        ABANDONED = "abandoned", _("taken back for good")

    project = models.ForeignKey(
        Project, null=True, on_delete=models.PROTECT, related_name="journal"
    )
    number = models.PositiveIntegerField()
    kind = models.CharField(max_length=6, choices=Kind, default=Kind.ACT)
    of = models.ForeignKey("self", null=True, on_delete=models.PROTECT, related_name="turns")
    state = models.CharField(max_length=10, choices=State, default=State.DONE)
    person = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    done_at = models.DateTimeField(default=timezone.now)
    title = models.CharField(max_length=60)
    about = models.CharField(max_length=200, blank=True)
    schema = models.PositiveSmallIntegerField(default=1)
    changes = models.JSONField()

    class Meta:
        verbose_name_plural = "journal entries"
        ordering = ["-number"]
        constraints = [
            models.UniqueConstraint(fields=["project", "number"], name="journal_number_once")
        ]
        indexes = [models.Index(fields=["project", "kind", "state"], name="journal_turns")]

    def __str__(self) -> str:
        return f"{self.number} {self.title}"


# Last, since its rows hang from the ones above.
import consult.brief_models  # noqa: E402
import consult.presence_models  # noqa: E402
import consult.radio_models  # noqa: E402, F401
