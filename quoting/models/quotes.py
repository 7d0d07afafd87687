"""Quotes and what a person typed into their drafts. What can be derived is not kept here."""

from __future__ import annotations

import datetime
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django.apps import apps
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.db.models.functions import Coalesce
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from base.keys import Versioned
from base.models import Person
from catalogue.kinds import TaxClass
from consult.models import Option, Project, Room

if TYPE_CHECKING:
    from quoting.models.issues import Revision


class NumberSeries(models.Model):
    """The last number given of a series. Locked while an issue is made, so that none is missing."""

    name = models.CharField(max_length=40, unique=True)
    last = models.PositiveIntegerField(default=0)

    class Meta:
        verbose_name_plural = "number series"

    def __str__(self) -> str:
        return f"{self.name} {self.last}"


class QuoteQuerySet(models.QuerySet["Quote"]):
    def for_user(self, user: Any) -> QuoteQuerySet:
        return self if getattr(user, "is_active", False) else self.none()

    def with_issues(self) -> QuoteQuerySet:
        """Quotes with their project, client, issues and events, in a constant number of queries.

        The payloads of the issues are left in the database.
        """
        issues = models.QuerySet(apps.get_model("quoting", "Revision")).defer("offer", "internal")
        rows = self.select_related("project__client", "created_by", "varies")
        return rows.defer("varies__offer", "varies__internal").prefetch_related(
            models.Prefetch("revisions", queryset=issues.order_by("-order")), "revisions__events"
        )

    def with_state(self, *, on: datetime.date) -> QuoteQuerySet:
        """With `state_now`, as `state()` says it, and `stands_at`: the gross total that counts.

        Of a variation only the difference to what was ordered before it counts.
        """
        acceptances = apps.get_model("quoting", "Acceptance").objects
        revisions = apps.get_model("quoting", "Revision").objects
        events = apps.get_model("quoting", "RevisionEvent").objects
        latest = revisions.filter(quote=models.OuterRef("pk")).order_by("-order")
        said = self.annotate(
            latest_id=models.Subquery(latest.values("pk")[:1]),
            latest_until=models.Subquery(latest.values("valid_until")[:1]),
            ordered_at=Coalesce(
                models.Subquery(latest.values("acceptance__at")[:1]), models.Value(timezone.now())
            ),
        )
        earlier = acceptances.filter(
            Q(revision=models.OuterRef("varies"))
            | Q(revision__quote__varies=models.OuterRef("varies")),
            at__lt=models.OuterRef("ordered_at"),
        ).order_by("-at")
        said = said.annotate(
            stands_at=Coalesce(
                models.Subquery(latest.values("acceptance__gross_total")[:1]),
                models.Subquery(latest.values("gross_total")[:1]),
            )
            - Coalesce(
                models.Subquery(earlier.values("gross_total")[:1]), models.Value(Decimal(0))
            ),
        )
        ended = [
            models.When(
                models.Exists(events.filter(revision=models.OuterRef("latest_id"), kind=kind)),
                then=models.Value(kind),
            )
            for kind in ("accepted", "declined", "withdrawn", "superseded")
        ]
        return said.annotate(
            state_now=models.Case(
                models.When(latest_id=None, then=models.Value("draft")),
                *ended,
                models.When(latest_until__lt=on, then=models.Value("expired")),
                default=models.Value("issued"),
                output_field=models.CharField(),
            )
        )

    def matching(self, words: str) -> QuoteQuerySet:
        """Quotes whose number, title, project or client has every one of these words."""
        found = self
        for word in words.split():
            found = found.filter(
                Q(number__icontains=word)
                | Q(title__icontains=word)
                | Q(project__name__icontains=word)
                | Q(project__client__name__icontains=word)
            )
        return found


class Delivery(models.TextChoices):
    """Whose work the fixing and the connecting is. The control is always programmed by us."""

    SUPPLY_AND_INSTALL = "supply_and_install", _("supply and install")
    SUPPLY_ONLY = "supply_only", _("supply only")
    CLIENTS_ELECTRICIAN = "clients_electrician", _("install by the client's electrician")


class SellBy(models.TextChoices):
    LIST = "list", _("the catalogue's sell price")
    MARGIN = "margin", _("a margin on the cost")
    MARKUP = "markup", _("a mark-up on the cost")


class DealPlace(models.TextChoices):
    PREMISES = "premises", _("in our rooms")
    DISTANCE = "distance", _("at a distance: by mail, telephone or web")
    OFF_PREMISES = "off_premises", _("away from our rooms, as at the client's house")


class Quote(Versioned):
    """An offer made from a project."""

    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="quotes")
    number = models.CharField(_("number"), max_length=20, null=True, unique=True, editable=False)
    title = models.CharField(_("title"), max_length=120, blank=True)
    is_open = models.BooleanField(default=True, editable=False)
    discount_share = models.DecimalField(
        _("discount in all"),
        max_digits=5,
        decimal_places=4,
        default=Decimal(0),
        validators=[MinValueValidator(0), MaxValueValidator(1)],
    )
    deposit_share = models.DecimalField(
        _("deposit"),
        max_digits=4,
        decimal_places=3,
        default=Decimal(0),
        validators=[MinValueValidator(0), MaxValueValidator(1)],
    )
    delivery_share = models.DecimalField(
        _("on delivery"),
        max_digits=4,
        decimal_places=3,
        default=Decimal(0),
        validators=[MinValueValidator(0), MaxValueValidator(1)],
    )
    validity_days = models.PositiveSmallIntegerField(
        _("holds for, days"), default=30, validators=[MinValueValidator(1), MaxValueValidator(365)]
    )
    priced_on = models.DateField(
        _("prices of"), null=True, blank=True, help_text=_("Empty: the prices of the day of issue.")
    )
    message = models.TextField(_("message to the client"), max_length=4000, blank=True)
    assumptions = models.TextField(_("assumed in this quote"), max_length=4000, blank=True)
    exclusions = models.TextField(_("not part of this quote"), max_length=4000, blank=True)
    delivery = models.CharField(
        _("what is offered"),
        max_length=20,
        choices=Delivery,
        default=Delivery.SUPPLY_AND_INSTALL,
    )
    is_occupied = models.BooleanField(
        _("the house is lived in during the work"),
        default=False,
        help_text=_("Then the minutes of fixing are multiplied by the factor for it."),
    )
    sell_by = models.CharField(
        _("products are sold by"), max_length=10, choices=SellBy, default=SellBy.LIST
    )
    sell_share = models.DecimalField(
        _("margin or mark-up"), max_digits=5, decimal_places=4, null=True, blank=True
    )
    commission_share = models.DecimalField(
        _("commission"),
        max_digits=5,
        decimal_places=4,
        default=Decimal(0),
        validators=[MinValueValidator(0), MaxValueValidator(1)],
        help_text=_("Of the total without tax. For us alone: no client ever sees it."),
    )
    commission_to = models.CharField(_("commission goes to"), max_length=120, blank=True)
    trade_share = models.DecimalField(
        _("trade discount"),
        max_digits=5,
        decimal_places=4,
        default=Decimal(0),
        validators=[MinValueValidator(0), MaxValueValidator(1)],
    )
    trade_to = models.CharField(_("trade discount goes to"), max_length=120, blank=True)
    is_consumer = models.BooleanField(_("the client is a consumer"), default=True)
    deal_place = models.CharField(
        _("where the deal is made"), max_length=12, choices=DealPlace, blank=True
    )
    follow_up_on = models.DateField(_("ask again on"), null=True, blank=True)
    varies = models.ForeignKey(
        "quoting.Revision",
        verbose_name=_("variation of"),
        null=True,
        editable=False,
        on_delete=models.PROTECT,
        related_name="variations",
        help_text=_("The accepted issue that this quote changes; it stays as it was accepted."),
    )
    effect_on_dates = models.CharField(_("effect on dates"), max_length=300, blank=True)
    created_by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    created_at = models.DateTimeField(default=timezone.now, editable=False)

    objects = QuoteQuerySet.as_manager()

    class Meta:
        ordering = ["-created_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(discount_share__gte=0, discount_share__lte=1),
                name="quote_discount_is_a_share",
            ),
            models.CheckConstraint(
                condition=Q(deposit_share__gte=0, deposit_share__lte=1),
                name="quote_deposit_is_a_share",
            ),
            models.CheckConstraint(
                condition=Q(delivery_share__gte=0, delivery_share__lte=1),
                name="quote_delivery_is_a_share",
            ),
            models.CheckConstraint(
                condition=Q(commission_share__gte=0, commission_share__lte=1),
                name="quote_commission_is_a_share",
            ),
            models.CheckConstraint(
                condition=Q(trade_share__gte=0, trade_share__lte=1),
                name="quote_trade_discount_is_a_share",
            ),
        ]

    def __str__(self) -> str:
        return self.number or str(_("Draft"))

    def get_absolute_url(self) -> str:
        return reverse("quoting:quote", args=[self.pk])

    @property
    def latest(self) -> Revision | None:
        """The newest issue. Reads self.revisions: fetch with_issues() first."""
        revisions = list(self.revisions.all())
        return revisions[0] if revisions else None

    def state(self, *, on: datetime.date) -> str:
        """draft, or the state of the newest issue. Reads revisions and events."""
        return self.latest.state(on=on) if self.latest else "draft"


class QuoteRow(Versioned):
    """A row of a quote's draft."""

    quote = models.ForeignKey(Quote, on_delete=models.PROTECT, related_name="%(class)ss")

    class Meta:
        abstract = True

    def lock_first(self) -> models.Model | None:
        return Quote(pk=self.quote_id)


class ManualLine(QuoteRow):
    """A line that a person adds, beside those derived from the design."""

    room = models.ForeignKey(
        Room,
        verbose_name=_("room"),
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
        help_text=_("Empty: for the whole job."),
    )
    option = models.ForeignKey(
        Option,
        verbose_name=_("comes with an option only"),
        null=True,
        blank=True,
        on_delete=models.SET_NULL,  # what came with an option that goes is there in any case
        related_name="+",
    )
    description = models.CharField(_("what"), max_length=300)
    quantity = models.DecimalField(_("quantity"), max_digits=10, decimal_places=3, default=1)
    unit_price = models.DecimalField(
        _("price each"), max_digits=14, decimal_places=4, validators=[MinValueValidator(0)]
    )
    unit_cost = models.DecimalField(
        _("cost each"),
        max_digits=14,
        decimal_places=4,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
    )
    tax_class = models.CharField(
        _("tax class"), max_length=10, choices=TaxClass, default=TaxClass.STANDARD
    )
    tax_treatment = models.CharField(_("treated otherwise"), max_length=16, blank=True)
    tax_reason = models.CharField(_("evidence held"), max_length=300, blank=True)
    is_credit = models.BooleanField(_("a credit"), default=False)
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["position", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(quantity__gt=0) | Q(quantity__lt=0, is_credit=True),
                name="manual_line_negative_only_as_credit",
            ),
            models.CheckConstraint(
                condition=Q(unit_price__gte=0), name="manual_line_price_positive"
            ),
        ]

    def __str__(self) -> str:
        return self.description


class QuoteOverride(QuoteRow):
    """A derived value that a person overruled, with the derived value as it was then."""

    class Field(models.TextChoices):
        QUANTITY = "quantity", _("quantity")
        UNIT_PRICE = "unit_price", _("price each")
        DISCOUNT = "discount", _("discount")
        DESCRIPTION = "description", _("description")
        TAX_TREATMENT = "tax_treatment", _("tax treatment")

    key = models.CharField(max_length=300)
    field = models.CharField(_("field"), max_length=20, choices=Field)
    value = models.CharField(_("value"), max_length=300)
    derived_seen = models.CharField(max_length=300)
    reason = models.CharField(_("reason"), max_length=300)
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["key", "field"]
        constraints = [
            models.UniqueConstraint(fields=["quote", "key", "field"], name="override_once")
        ]

    def __str__(self) -> str:
        return f"{self.key} {self.field}"


class QuoteDiscount(QuoteRow):
    """A discount on all lines of a room, of a kind of product or of a supplier.

    A line takes one discount: its own where it was overruled, else its room's, else its kind's,
    else its supplier's.
    """

    class Scope(models.TextChoices):
        ROOM = "room", _("a room")
        KIND = "kind", _("a kind of product")
        SUPPLIER = "supplier", _("a supplier")

    scope = models.CharField(_("on"), max_length=10, choices=Scope)
    about = models.CharField(_("which"), max_length=120)
    share = models.DecimalField(_("discount"), max_digits=5, decimal_places=4)
    reason = models.CharField(_("reason"), max_length=300)
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["scope", "about"]
        constraints = [
            models.UniqueConstraint(fields=["quote", "scope", "about"], name="discount_once"),
            models.CheckConstraint(
                condition=Q(share__gt=0, share__lte=1), name="discount_is_a_share"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.scope} {self.about}"
