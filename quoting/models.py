"""What is promised: quotes, their issues, links to them, and what clients answer.

An issue (`Revision`) is only ever inserted: its two payloads are bytes with a seal over them, and
its state is the sum of its events. What can be derived (the lines of a draft) is not kept here.
"""

from __future__ import annotations

import datetime
from decimal import Decimal
from typing import Any

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from base.keys import OwnKey, Versioned
from base.models import Person, StoredFile
from catalogue.kinds import TaxClass
from consult.models import Project, Room


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
        """Quotes with their project, client, issues and events, in a constant number of queries."""
        return self.select_related("project__client", "created_by").prefetch_related(
            "revisions__events"
        )


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
    validity_days = models.PositiveSmallIntegerField(
        _("holds for, days"), default=30, validators=[MinValueValidator(1), MaxValueValidator(365)]
    )
    priced_on = models.DateField(
        _("prices of"), null=True, blank=True, help_text=_("Empty: the prices of the day of issue.")
    )
    message = models.TextField(_("message to the client"), max_length=4000, blank=True)
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


class Revision(OwnKey):
    """An issue of a quote. Inserted once, never changed."""

    quote = models.ForeignKey(Quote, on_delete=models.PROTECT, related_name="revisions")
    letter = models.CharField(max_length=3)
    order = models.PositiveIntegerField()
    number = models.CharField(max_length=20)
    issued_at = models.DateTimeField()
    issued_by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    valid_until = models.DateField()
    gross_total = models.DecimalField(max_digits=16, decimal_places=4)
    currency = models.CharField(max_length=3)
    offer = models.BinaryField()
    internal = models.BinaryField()
    offer_sha256 = models.CharField(max_length=64, db_index=True)
    previous_seal = models.CharField(max_length=64, blank=True)
    seal = models.CharField(max_length=64, unique=True)

    class Meta:
        ordering = ["-order"]
        constraints = [
            models.UniqueConstraint(fields=["quote", "order"], name="revision_order_once"),
            models.UniqueConstraint(fields=["number", "letter"], name="revision_name_once"),
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.letter}"

    def get_absolute_url(self) -> str:
        return reverse("quoting:revision", args=[self.pk])

    def state(self, *, on: datetime.date) -> str:
        """issued, accepted, declined, withdrawn, superseded or expired. Reads self.events."""
        kinds = {event.kind for event in self.events.all()}
        for kind in ("accepted", "declined", "withdrawn", "superseded"):
            if kind in kinds:
                return kind
        return "expired" if on > self.valid_until else "issued"


class RevisionEvent(OwnKey):
    """Something that happened to an issue. Its state is the sum of these."""

    class Kind(models.TextChoices):
        ISSUED = "issued", _("issued")
        ACCEPTED = "accepted", _("accepted")
        DECLINED = "declined", _("declined")
        WITHDRAWN = "withdrawn", _("withdrawn")
        SUPERSEDED = "superseded", _("superseded")

    revision = models.ForeignKey(Revision, on_delete=models.PROTECT, related_name="events")
    kind = models.CharField(max_length=12, choices=Kind)
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    note = models.CharField(max_length=1000, blank=True)

    class Meta:
        ordering = ["at"]
        constraints = [models.UniqueConstraint(fields=["revision", "kind"], name="event_once")]

    def __str__(self) -> str:
        return self.kind


class RevisionFile(OwnKey):
    """A document of an issue, kept with its digest."""

    class Kind(models.TextChoices):
        PROPOSAL = "proposal", _("proposal")
        PACK = "pack", _("electrician's pack")
        CERTIFICATE = "certificate", _("certificate of acceptance")

    revision = models.ForeignKey(Revision, on_delete=models.PROTECT, related_name="files")
    kind = models.CharField(max_length=12, choices=Kind)
    file = models.ForeignKey(StoredFile, on_delete=models.PROTECT, related_name="+")
    sha256 = models.CharField(max_length=64)
    made_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["kind"]
        constraints = [
            models.UniqueConstraint(fields=["revision", "kind"], name="revision_file_once")
        ]

    def __str__(self) -> str:
        return self.kind


class Link(Versioned):
    """A capability address: whoever has it may see one issue."""

    class Audience(models.TextChoices):
        CLIENT = "client", _("client")
        ELECTRICIAN = "electrician", _("electrician")

    revision = models.ForeignKey(Revision, on_delete=models.PROTECT, related_name="links")
    audience = models.CharField(_("for"), max_length=12, choices=Audience, default=Audience.CLIENT)
    for_whom = models.CharField(_("name"), max_length=120)
    expires_at = models.DateTimeField(_("works until"))
    revoked_at = models.DateTimeField(null=True, editable=False)
    created_by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    created_at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        ordering = ["-created_at"]

    def __str__(self) -> str:
        return self.for_whom

    def works(self, *, at: datetime.datetime) -> bool:
        return self.revoked_at is None and at < self.expires_at


class LinkSecret(OwnKey):
    """One secret of a link, kept as its SHA-256 only. A resend mints another."""

    link = models.ForeignKey(Link, on_delete=models.PROTECT, related_name="secrets")
    digest = models.CharField(max_length=64, unique=True)
    created_at = models.DateTimeField(default=timezone.now)

    def __str__(self) -> str:
        return self.digest[:8]


class LinkVisit(models.Model):
    """A page of a link was opened. Not more is kept than when and which."""

    link = models.ForeignKey(Link, on_delete=models.PROTECT, related_name="visits")
    at = models.DateTimeField(default=timezone.now)
    page = models.CharField(max_length=40)

    class Meta:
        ordering = ["-at"]

    def __str__(self) -> str:
        return self.page


class Acceptance(OwnKey):
    """A client's yes, bound to the bytes of the offer."""

    revision = models.OneToOneField(Revision, on_delete=models.PROTECT, related_name="acceptance")
    link = models.ForeignKey(Link, null=True, on_delete=models.PROTECT, related_name="+")
    name = models.CharField(_("name"), max_length=120)
    terms_version = models.CharField(max_length=40)
    offer_sha256 = models.CharField(max_length=64)
    options = models.JSONField(default=list)
    gross_total = models.DecimalField(max_digits=16, decimal_places=4)
    address = models.GenericIPAddressField(null=True)
    at = models.DateTimeField(default=timezone.now)

    def __str__(self) -> str:
        return self.name
