"""The ground: people and their roles, the business, stored files, deeds done."""

from decimal import Decimal
from typing import ClassVar

from django.contrib.auth.models import AbstractBaseUser, BaseUserManager, PermissionsMixin
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from base.keys import OwnKey, Versioned


class PersonQuerySet(models.QuerySet["Person"]):
    def at_work(self) -> "PersonQuerySet":
        return self.filter(is_active=True).order_by("name")


class PersonManager(BaseUserManager.from_queryset(PersonQuerySet)):  # type: ignore[misc]
    def create_user(self, email: str, password: str | None = None, **fields: object) -> "Person":
        person: Person = self.model(email=self.normalize_email(email).lower(), **fields)
        person.set_password(password)
        person.save()
        return person

    def create_superuser(
        self, email: str, password: str | None = None, **fields: object
    ) -> "Person":
        return self.create_user(email, password, role=Person.Role.MANAGER, **fields)


class Person(AbstractBaseUser, PermissionsMixin, OwnKey):
    """Somebody who works here."""

    class Role(models.TextChoices):
        MANAGER = "manager", _("Manager")
        DESIGNER = "designer", _("Designer")
        OFFICE = "office", _("Office")

    email = models.EmailField(_("e-mail"), unique=True)
    name = models.CharField(_("name"), max_length=120)
    role = models.CharField(_("role"), max_length=20, choices=Role, default=Role.DESIGNER)
    is_active = models.BooleanField(_("may log in"), default=True)
    joined_at = models.DateTimeField(default=timezone.now, editable=False)

    USERNAME_FIELD = "email"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = ["name"]

    objects = PersonManager()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(role__in=["manager", "designer", "office"]),
                name="person_role_known",
            )
        ]

    def __str__(self) -> str:
        return self.name or self.email

    @property
    def is_manager(self) -> bool:
        return self.role == self.Role.MANAGER

    @property
    def keeps_prices(self) -> bool:
        """May change prices, norms and rates of the catalogue."""
        return self.role in {self.Role.MANAGER, self.Role.OFFICE}


class StoredFile(OwnKey):
    """Bytes kept once under their own SHA-256."""

    sha256 = models.CharField(max_length=64, unique=True, editable=False)
    media_type = models.CharField(max_length=100)
    size = models.PositiveBigIntegerField()
    file = models.FileField(upload_to="files", max_length=200)
    stored_at = models.DateTimeField(default=timezone.now, editable=False)

    def __str__(self) -> str:
        return f"{self.media_type} {self.sha256[:12]}"


class BusinessManager(models.Manager["Business"]):
    def current(self) -> "Business":
        """The one business of this installation. Made with plain values when there is none yet."""
        return self.select_related("mark").first() or self.create(name=str(_("Our showroom")))


class Business(Versioned):
    """The profile of the one business that uses this installation."""

    class TaxRounding(models.TextChoices):
        DOCUMENT = "document", _("once, on the sum of each rate")
        LINE = "line", _("line by line")

    name = models.CharField(_("name"), max_length=120)
    address = models.TextField(_("address"), blank=True, max_length=600)
    email = models.EmailField(_("e-mail"), blank=True)
    phone = models.CharField(_("telephone"), blank=True, max_length=40)
    mark = models.ForeignKey(
        StoredFile, verbose_name=_("mark"), null=True, blank=True, on_delete=models.PROTECT
    )
    tax_number = models.CharField(_("tax number"), blank=True, max_length=40)
    tax_name = models.CharField(_("name of the tax"), default="VAT", max_length=20)
    currency = models.CharField(_("currency"), max_length=3, default="GBP")
    locale = models.CharField(_("locale"), max_length=12, default="en_GB")
    terms = models.TextField(_("terms"), blank=True, max_length=20_000)
    terms_version = models.PositiveIntegerField(default=1, editable=False)
    quote_validity_days = models.PositiveSmallIntegerField(
        _("a quote holds for"),
        default=30,
        validators=[MinValueValidator(1), MaxValueValidator(365)],
    )
    deposit_share = models.DecimalField(
        _("deposit"),
        max_digits=4,
        decimal_places=3,
        default=0,
        validators=[MinValueValidator(0), MaxValueValidator(1)],
    )
    tax_rounding = models.CharField(
        _("tax is rounded"), max_length=10, choices=TaxRounding, default=TaxRounding.DOCUMENT
    )
    supply_v = models.PositiveSmallIntegerField(
        _("supply voltage"),
        default=230,
        validators=[MinValueValidator(100), MaxValueValidator(400)],
    )
    driver_headroom = models.DecimalField(
        _("driver headroom"),
        max_digits=4,
        decimal_places=3,
        default=Decimal("0.200"),
        validators=[MinValueValidator(0), MaxValueValidator(1)],
    )

    prices_hold_days = models.PositiveSmallIntegerField(
        _("a price is old after"),
        default=365,
        validators=[MinValueValidator(1), MaxValueValidator(3650)],
    )

    objects = BusinessManager()

    class Meta:
        verbose_name_plural = "businesses"
        constraints = [
            models.CheckConstraint(
                condition=models.Q(deposit_share__gte=0, deposit_share__lte=1),
                name="business_deposit_is_a_share",
            ),
            models.CheckConstraint(
                condition=models.Q(driver_headroom__gte=0, driver_headroom__lte=1),
                name="business_headroom_is_a_share",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Deed(models.Model):
    """A deed that came with a key, and what it answered: the same key again has no second effect."""

    person = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="deeds")
    key = models.UUIDField(unique=True)
    name = models.CharField(max_length=120)
    answer = models.JSONField(null=True)
    done_at = models.DateTimeField(default=timezone.now)

    def __str__(self) -> str:
        return self.name


class MailText(Versioned):
    """The business's own wording of a kind of letter. Where there is none, the built-in one holds."""

    name = models.CharField(max_length=40, unique=True, editable=False)
    subject = models.CharField(_("subject"), max_length=200)
    body = models.TextField(_("text"), max_length=6000)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Outbox(OwnKey):
    """A letter to be sent: which kind, about which rows, to whom.

    It is written in the transaction that makes it due, and rendered when it is handed over. The
    Message-ID stays the same through every attempt, so that a receiver sees one letter.
    """

    class State(models.TextChoices):
        WAITING = "waiting", _("waits to be sent")
        HANDING_OVER = "handing_over", _("is being handed over")
        SENT = "sent", _("sent")
        FAILED = "failed", _("could not be sent")
        UNKNOWN = "unknown", _("it is not known whether it was sent")
        CANCELLED = "cancelled", _("not to be sent")

    name = models.CharField(max_length=40)  # the kind of letter
    ids = models.JSONField(default=dict)  # keys of the rows it is about
    about = models.CharField(max_length=64, blank=True, db_index=True)  # row on whose page it shows
    to = models.EmailField(_("to"))
    message_id = models.CharField(max_length=120, unique=True)
    state = models.CharField(max_length=12, choices=State, default=State.WAITING)
    attempts = models.PositiveSmallIntegerField(default=0)
    next_try = models.DateTimeField(default=timezone.now)
    tried_at = models.DateTimeField(null=True)
    sent_at = models.DateTimeField(null=True)
    error = models.CharField(max_length=300, blank=True)
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["-made_at"]
        verbose_name_plural = "outbox"
        indexes = [
            models.Index(
                fields=["next_try"], name="outbox_due", condition=models.Q(state="waiting")
            )
        ]

    def __str__(self) -> str:
        return f"{self.name} {self.to}"
