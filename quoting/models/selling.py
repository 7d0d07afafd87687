"""The business's own rules of selling, approvals of what goes beyond them, and hours as worked.

All figures here are the business's own: none has a source.
"""

from __future__ import annotations

import datetime
from decimal import Decimal
from typing import Any

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from base.keys import OwnKey, Versioned
from base.models import Person
from catalogue.kinds import Operation
from consult.models import Project
from quoting.models.quotes import Quote


def share_field(verbose_name: Any, **options: Any) -> models.DecimalField[Any, Any]:
    return models.DecimalField(
        verbose_name,
        max_digits=5,
        decimal_places=4,
        validators=[MinValueValidator(0), MaxValueValidator(1)],
        **options,
    )


class QuotingRulesManager(models.Manager["QuotingRules"]):
    def current(self) -> QuotingRules:
        """The one set of rules; plain values, not kept yet, where nobody has set any."""
        return self.first() or QuotingRules()


class QuotingRules(Versioned):
    """What the business allows and likes. One row."""

    class TasteRounding(models.TextChoices):
        NEAREST = "nearest", _("to the nearest")
        UP = "up", _("up to the next")

    class PackGoes(models.TextChoices):
        AT_ONCE = "at_once", _("at once")
        DEPOSIT = "deposit", _("when the first stage is paid")

    limit_designer = share_field(_("designers may give"), default=Decimal("0.05"))
    limit_office = share_field(_("the office may give"), default=Decimal("0.10"))
    limit_manager = share_field(_("managers may give"), default=Decimal("1"))
    minimum_margin = share_field(_("least margin"), null=True, blank=True)
    target_margin = share_field(_("margin aimed at"), null=True, blank=True)
    taste_step = models.DecimalField(
        _("prices go in steps of"), max_digits=9, decimal_places=3, null=True, blank=True
    )
    taste_ending = models.DecimalField(
        _("and end in"), max_digits=9, decimal_places=3, default=Decimal(0)
    )
    taste_rounding = models.CharField(
        _("rounded"), max_length=8, choices=TasteRounding, default=TasteRounding.NEAREST
    )
    numbers_by_year = models.BooleanField(
        _("numbers begin anew each year"),
        default=True,
        help_text=_("Otherwise they run on without an end."),
    )
    call_out_hours = models.DecimalField(
        _("least hours of a job"),
        max_digits=5,
        decimal_places=2,
        default=Decimal(0),
        validators=[MinValueValidator(0), MaxValueValidator(100)],
    )
    hours_per_day = models.DecimalField(
        _("hours of a working day"),
        max_digits=4,
        decimal_places=2,
        default=Decimal(8),
        validators=[MinValueValidator(1), MaxValueValidator(24)],
    )
    crew = models.PositiveSmallIntegerField(
        _("people who work together"),
        default=1,
        validators=[MinValueValidator(1), MaxValueValidator(20)],
        help_text=_("The hours of a job are everybody's; so many share its days."),
    )
    remind_days = models.PositiveSmallIntegerField(
        _("ask again after"), default=7, validators=[MinValueValidator(1), MaxValueValidator(90)]
    )
    delivery_share = share_field(_("due on delivery"), default=Decimal(0))
    pack_goes = models.CharField(
        _("the electrician's pack goes out"),
        max_length=8,
        choices=PackGoes,
        default=PackGoes.AT_ONCE,
    )
    assumptions = models.TextField(_("assumed in every quote"), max_length=4000, blank=True)
    exclusions = models.TextField(_("not part of any quote"), max_length=4000, blank=True)

    objects = QuotingRulesManager()

    class Meta:
        verbose_name_plural = "quoting rules"
        constraints = [
            models.CheckConstraint(
                condition=Q(taste_step=None)
                | Q(taste_step__gt=0, taste_ending__gte=0, taste_ending__lt=models.F("taste_step")),
                name="taste_ends_within_its_step",
            )
        ]

    def __str__(self) -> str:
        return str(_("Rules of selling"))

    def limit_of(self, role: str) -> Decimal:
        return {
            "manager": self.limit_manager,
            "office": self.limit_office,
            "designer": self.limit_designer,
        }.get(role, Decimal(0))


class SellingRuleQuerySet(models.QuerySet["SellingRule"]):
    def on(self, day: datetime.date) -> dict[tuple[str, str], SellingRule]:
        """What is in force on a day by scope and what it is on: the newest rule not after it."""
        begun = self.filter(from_day__lte=day).order_by("from_day")
        newest = {(row.scope, row.about): row for row in begun}
        return {place: row for place, row in newest.items() if row.sell_by != row.SellBy.NONE}


class SellingRule(Versioned):
    """How a product, a kind of product or what a supplier brings is sold from a day on, in every quote.

    A product's own rule comes first, then its kind's, then its supplier's; what has none is sold as
    its quote says. A rule holds until the next of the same place; one may say that there is none.
    """

    class Scope(models.TextChoices):
        PRODUCT = "product", _("a product")
        KIND = "kind", _("a kind of product")
        SUPPLIER = "supplier", _("a supplier")

    class SellBy(models.TextChoices):
        MARGIN = "margin", _("a margin on the cost")
        MARKUP = "markup", _("a mark-up on the cost")
        LIST = "list", _("the catalogue's sell price")
        NONE = "none", _("no rule of its own any more")

    scope = models.CharField(_("on"), max_length=10, choices=Scope)
    about = models.CharField(_("which"), max_length=120)  # reference, kind or supplier's name
    sell_by = models.CharField(_("sold by"), max_length=10, choices=SellBy)
    share = models.DecimalField(
        _("margin or mark-up"), max_digits=5, decimal_places=4, null=True, blank=True
    )
    from_day = models.DateField(_("from"), default=datetime.date(2020, 1, 1))

    objects = SellingRuleQuerySet.as_manager()

    class Meta:
        ordering = ["scope", "about", "-from_day"]
        constraints = [
            models.UniqueConstraint(
                fields=["scope", "about", "from_day"], name="selling_rule_once_a_day"
            ),
            models.CheckConstraint(
                condition=Q(sell_by__in=["list", "none"], share=None)
                | Q(sell_by="margin", share__gte=0, share__lt=1)
                | Q(sell_by="markup", share__gte=0),
                name="selling_rule_has_its_share",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.scope} {self.about} {self.from_day}"


class AccessFactor(Versioned):
    """What the minutes of fixing are multiplied by: by ceiling height, by finish, in a house lived in."""

    class What(models.TextChoices):
        HEIGHT = "height", _("ceiling up to")
        ABOVE = "above", _("ceiling higher than all of these")
        OCCUPIED = "occupied", _("a house lived in")
        PLASTER = "plaster", _("fixed into plasterboard and skim")
        LATH = "lath", _("fixed into lath and plaster")
        TIMBER = "timber", _("fixed into timber boards")
        TILED = "tiled", _("fixed into tiles")
        MASONRY = "masonry", _("fixed into brick or stone")
        CONCRETE = "concrete", _("fixed into concrete")

    what = models.CharField(_("where"), max_length=10, choices=What)
    up_to_m = models.DecimalField(
        _("height"),
        max_digits=5,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(50)],
    )
    factor = models.DecimalField(
        _("factor"),
        max_digits=5,
        decimal_places=3,
        validators=[MinValueValidator(Decimal("0.1")), MaxValueValidator(20)],
    )

    class Meta:
        ordering = ["what", "up_to_m"]
        constraints = [
            models.UniqueConstraint(fields=["what", "up_to_m"], name="access_factor_once"),
            # Absent values differ to a database: what has no height needs a rule of its own.
            models.UniqueConstraint(
                fields=["what"],
                condition=models.Q(up_to_m__isnull=True),
                name="access_without_height_once",
            ),
            models.CheckConstraint(
                condition=Q(what="height", up_to_m__isnull=False)
                | (~Q(what="height") & Q(up_to_m=None)),
                name="access_height_where_it_counts",
            ),
            models.CheckConstraint(condition=Q(factor__gt=0), name="access_factor_above_nothing"),
        ]

    def __str__(self) -> str:
        return f"{self.get_what_display()} {self.up_to_m or ''}".strip()


class QuoteApproval(OwnKey):
    """A manager let a quote pass as it stood: which findings, why, when. Only ever inserted."""

    quote = models.ForeignKey(Quote, on_delete=models.PROTECT, related_name="approvals")
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)
    reason = models.CharField(_("reason"), max_length=300)
    findings_sha256 = models.CharField(max_length=64)  # of the findings as they were shown
    findings = models.JSONField(default=list)

    class Meta:
        ordering = ["-at"]

    def __str__(self) -> str:
        return self.reason


class ActualHours(Versioned):
    """Hours as they were worked, entered after the job, to stand beside the norm."""

    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="+")
    operation = models.CharField(_("operation"), max_length=20, choices=Operation)
    hours = models.DecimalField(
        _("hours"),
        max_digits=7,
        decimal_places=2,
        validators=[MinValueValidator(0), MaxValueValidator(10_000)],
    )
    day = models.DateField(_("day"))
    note = models.CharField(_("note"), max_length=200, blank=True)
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-day", "operation"]

    def __str__(self) -> str:
        return f"{self.get_operation_display()} {self.hours}"
