"""What was tried on the bench: a lamp, fitting or driver with a receiver."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from base.keys import Versioned
from base.models import Person
from catalogue.kinds import Edge, Flicker
from catalogue.models import Product


class BenchQuerySet(models.QuerySet["BenchTest"]):
    def with_names(self) -> BenchQuerySet:
        """With both products and who tried them: one query."""
        return self.select_related("load", "receiver", "by")


class BenchTest(Versioned):
    """Two products that were tried together: so many pieces on one output, and what was seen."""

    load = models.ForeignKey(Product, on_delete=models.PROTECT, related_name="tried_with")
    receiver = models.ForeignKey(Product, on_delete=models.PROTECT, related_name="tried_on")
    edge = models.CharField(_("edge"), max_length=10, choices=Edge, blank=True)
    pieces = models.PositiveSmallIntegerField(
        _("pieces on one output"), validators=[MinValueValidator(1)]
    )
    lowest_level = models.PositiveSmallIntegerField(
        _("lowest steady level"), null=True, blank=True, validators=[MaxValueValidator(100)]
    )
    flicker = models.CharField(_("flicker"), max_length=5, choices=Flicker)
    tried_on = models.DateField(_("tried on"))
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    note = models.CharField(_("note"), max_length=300, blank=True)

    objects = BenchQuerySet.as_manager()

    class Meta:
        ordering = ["load__name", "receiver__name", "-tried_on", "-pieces"]
        constraints = [
            models.UniqueConstraint(
                fields=["load", "receiver", "edge", "pieces", "tried_on"], name="bench_test_once"
            ),
            models.CheckConstraint(condition=Q(pieces__gte=1), name="bench_test_of_a_piece"),
        ]

    def __str__(self) -> str:
        return f"{self.pieces} × {self.load} / {self.receiver}"
