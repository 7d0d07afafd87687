"""Issues of quotes, links to them, and what clients answer.

An issue (`Revision`) is only ever inserted: its two payloads are bytes with a seal over them, and
its state is the sum of its events.
"""

from __future__ import annotations

import datetime

from django.db import models
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from base.keys import OwnKey, Versioned
from base.models import Person, StoredFile
from quoting.models.quotes import Quote


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
    email = models.EmailField(_("e-mail"), blank=True)
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
    role = models.CharField(_("for whom"), max_length=120, blank=True)
    terms_version = models.CharField(max_length=40)
    offer_sha256 = models.CharField(max_length=64)
    options = models.JSONField(default=list)
    asks_early_start = models.BooleanField(null=True)  # None: it was not asked
    gross_total = models.DecimalField(max_digits=16, decimal_places=4)
    address = models.GenericIPAddressField(null=True)
    at = models.DateTimeField(default=timezone.now)

    def __str__(self) -> str:
        return self.name


class Question(Versioned):
    """What a client asks about an issue, a room of it or a line, and what the office answers."""

    revision = models.ForeignKey(Revision, on_delete=models.PROTECT, related_name="questions")
    link = models.ForeignKey(Link, null=True, on_delete=models.PROTECT, related_name="+")
    about = models.CharField(max_length=300, blank=True)  # key of a room or a line
    about_name = models.CharField(max_length=320, blank=True)  # its name when it was asked
    text = models.TextField(_("question"), max_length=2000)
    asked_at = models.DateTimeField(default=timezone.now)
    answer = models.TextField(_("answer"), max_length=4000, blank=True)
    answered_by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    answered_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["asked_at"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(answer="", answered_at=None)
                | (~models.Q(answer="") & models.Q(answered_at__isnull=False)),
                name="question_answered_with_its_time",
            )
        ]

    def __str__(self) -> str:
        return self.text[:60]
