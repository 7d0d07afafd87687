"""What people decided about the plan: fixed choices, findings set aside, switching pieces."""

from __future__ import annotations

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from base.keys import Versioned
from base.models import Person
from catalogue.models import Product
from consult.kinds import (
    FixedKind,
)
from consult.models.circuits import Circuit
from consult.models.house import Enclosure
from consult.models.playing import KeypadPosition
from consult.models.rows import DesignRow


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
