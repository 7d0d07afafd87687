"""Around a design: the brief, who takes part, appointments, notes, and what a client tells beforehand.

The brief, the parties and the notes are part of the project's journal and can be taken back.
Appointments and what comes in by a link are not: an invitation that was sent cannot be unsent, and
what a client wrote is theirs.
"""

from __future__ import annotations

import datetime
from typing import Any

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from base.keys import OwnKey
from base.models import Outbox, Person, StoredFile
from consult.brief_kinds import AppointmentKind, PartyRole, VisitFileKind
from consult.kinds import RoomUse
from consult.models import DesignRow, DesignRowQuerySet, Project, Room


# --- the brief ----------------------------------------------------------------------------------
class Brief(DesignRow):
    """What a client wants, as far as it is no part of the design itself. At most one of a project."""

    rooms_wished = models.TextField(_("rooms it is about"), max_length=4000, blank=True)
    wishes = models.TextField(_("wishes"), max_length=8000, blank=True)
    budget_guide = models.DecimalField(
        _("budget guide"),
        max_digits=14,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
    )
    budget_words = models.CharField(_("about the budget"), max_length=300, blank=True)
    first_fix_on = models.DateField(_("first fix from"), null=True, blank=True)
    second_fix_on = models.DateField(_("second fix from"), null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["project"], name="brief_once"),
            models.CheckConstraint(
                condition=Q(budget_guide__isnull=True) | Q(budget_guide__gte=0),
                name="brief_budget_not_below_zero",
            ),
            models.CheckConstraint(
                condition=Q(first_fix_on__isnull=True)
                | Q(second_fix_on__isnull=True)
                | Q(second_fix_on__gte=models.F("first_fix_on")),
                name="brief_fixes_in_order",
            ),
        ]

    def __str__(self) -> str:
        return str(_("Brief"))


class Party(DesignRow):
    """Somebody who takes part in a project, in one role."""

    role = models.CharField(_("role"), max_length=20, choices=PartyRole)
    name = models.CharField(_("name"), max_length=120)
    firm = models.CharField(_("firm"), max_length=120, blank=True)
    email = models.EmailField(_("e-mail"), blank=True)
    phone = models.CharField(_("telephone"), max_length=40, blank=True)
    note = models.CharField(_("note for us"), max_length=300, blank=True)

    class Meta:
        verbose_name_plural = "parties"
        ordering = ["role", "name"]
        constraints = [
            models.CheckConstraint(condition=Q(role__in=PartyRole.values), name="party_role_known")
        ]

    def __str__(self) -> str:
        return self.name


# --- notes --------------------------------------------------------------------------------------
class Note(DesignRow):
    """A note for us, with photos: of a room, or of the job where there is no room."""

    room = models.ForeignKey(
        Room,
        verbose_name=_("room"),
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="notes",
    )
    text = models.TextField(_("note"), max_length=4000, blank=True)
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    written_at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        ordering = ["-written_at"]
        indexes = [models.Index(fields=["project", "-written_at"], name="note_latest")]

    def __str__(self) -> str:
        return self.text[:60] or str(_("Photos"))


class NotePhoto(DesignRow):
    note = models.ForeignKey(Note, on_delete=models.PROTECT, related_name="photos")
    file = models.ForeignKey(StoredFile, on_delete=models.PROTECT, related_name="+")
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    position = models.PositiveSmallIntegerField(default=1)

    class Meta:
        ordering = ["position"]

    def __str__(self) -> str:
        return f"{self.width_px} × {self.height_px}"


# --- appointments -------------------------------------------------------------------------------
class AppointmentQuerySet(DesignRowQuerySet):
    def coming(self, *, at: datetime.datetime) -> AppointmentQuerySet:
        """Those that stand and are not over: an hour's grace, since people are late."""
        return self.filter(
            cancelled_at__isnull=True, starts_at__gt=at - datetime.timedelta(hours=1)
        )

    def with_people(self) -> AppointmentQuerySet:
        return self.select_related("project__client", "colleague").prefetch_related("mails__letter")


class Appointment(DesignRow):
    """A time agreed with a client. Its key is its UID in calendars, so that it never changes."""

    kind = models.CharField(
        _("what"), max_length=14, choices=AppointmentKind, default=AppointmentKind.CONSULTATION
    )
    starts_at = models.DateTimeField(_("begins"))
    minutes = models.PositiveSmallIntegerField(
        _("lasts, minutes"),
        default=90,
        validators=[MinValueValidator(5), MaxValueValidator(1440)],
    )
    place = models.CharField(_("place"), max_length=300, blank=True)
    guest = models.CharField(_("with"), max_length=160)
    guest_email = models.EmailField(_("their e-mail"), blank=True)
    colleague = models.ForeignKey(
        Person, verbose_name=_("from us"), on_delete=models.PROTECT, related_name="appointments"
    )
    words = models.TextField(_("words on the invitation"), max_length=2000, blank=True)
    sequence = models.PositiveIntegerField(default=0, editable=False)
    cancelled_at = models.DateTimeField(null=True, editable=False)
    changed_at = models.DateTimeField(default=timezone.now, editable=False)
    created_at = models.DateTimeField(default=timezone.now, editable=False)

    objects = AppointmentQuerySet.as_manager()

    class Meta:
        ordering = ["starts_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(minutes__gte=5, minutes__lte=1440), name="appointment_has_length"
            )
        ]
        indexes = [models.Index(fields=["starts_at"], name="appointment_by_time")]

    def __str__(self) -> str:
        return str(self.get_kind_display())

    def get_absolute_url(self) -> str:
        return reverse("consult:appointment", args=[self.pk])

    @property
    def uid(self) -> str:
        return str(self.pk)

    @property
    def ends_at(self) -> datetime.datetime:
        return self.starts_at + datetime.timedelta(minutes=self.minutes)

    @property
    def is_cancelled(self) -> bool:
        return self.cancelled_at is not None

    def mails_now(self) -> list[AppointmentMail]:
        """The invitations of the appointment as it now is. Reads self.mails."""
        return [mail for mail in self.mails.all() if mail.sequence == self.sequence]


class AppointmentMail(OwnKey):
    """One invitation to one address; its letter in the outbox says what became of it."""

    appointment = models.ForeignKey(Appointment, on_delete=models.PROTECT, related_name="mails")
    sequence = models.PositiveIntegerField()
    address = models.EmailField()
    letter = models.ForeignKey(Outbox, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-sequence", "address"]
        constraints = [
            models.UniqueConstraint(
                fields=["appointment", "sequence", "address"], name="appointment_mail_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.address} ({self.sequence})"


# --- before the visit ---------------------------------------------------------------------------
class VisitLinkQuerySet(DesignRowQuerySet):
    def with_answers(self) -> VisitLinkQuerySet:
        return self.prefetch_related("rooms", "files__file", "openings")

    def came_in(self) -> VisitLinkQuerySet:
        """Sent by the client and not put away since."""
        return self.filter(sent_at__isnull=False).filter(
            Q(settled_at__isnull=True) | Q(settled_at__lt=models.F("sent_at"))
        )


class VisitLink(DesignRow):
    """A capability address: whoever has it tells, before the visit, about rooms and wishes."""

    for_whom = models.CharField(_("name"), max_length=120)
    expires_at = models.DateTimeField(_("works until"))
    revoked_at = models.DateTimeField(null=True, editable=False)
    wishes = models.TextField(_("wishes"), max_length=8000, blank=True)
    sent_at = models.DateTimeField(null=True, editable=False)
    settled_at = models.DateTimeField(null=True, editable=False)
    created_by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    created_at = models.DateTimeField(default=timezone.now, editable=False)

    objects = VisitLinkQuerySet.as_manager()

    class Meta:
        ordering = ["-created_at"]

    def __str__(self) -> str:
        return self.for_whom

    def lock_first(self) -> models.Model | None:
        """Its own row is enough: what a client writes must not wait for work on the design."""
        return None

    def works(self, *, at: datetime.datetime) -> bool:
        return self.revoked_at is None and at < self.expires_at

    @property
    def waits(self) -> bool:
        """Sent, and not put away since."""
        return self.sent_at is not None and (
            self.settled_at is None or self.settled_at < self.sent_at
        )


class VisitSecret(OwnKey):
    """One secret of such an address, kept as its SHA-256 only."""

    link = models.ForeignKey(VisitLink, on_delete=models.PROTECT, related_name="secrets")
    digest = models.CharField(max_length=64, unique=True)
    created_at = models.DateTimeField(default=timezone.now)

    def __str__(self) -> str:
        return self.digest[:8]


class VisitOpening(models.Model):
    """The address was opened. Not more is kept than when."""

    link = models.ForeignKey(VisitLink, on_delete=models.PROTECT, related_name="openings")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["-at"]

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d %H:%M}"


class VisitRoom(OwnKey):
    """A room as the client names it."""

    link = models.ForeignKey(VisitLink, on_delete=models.PROTECT, related_name="rooms")
    name = models.CharField(_("room"), max_length=80)
    use = models.CharField(_("use"), max_length=20, choices=RoomUse, default=RoomUse.OTHER)
    wish = models.CharField(_("wish"), max_length=600, blank=True)
    added_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["added_at", "id"]
        constraints = [models.UniqueConstraint(fields=["link", "name"], name="visit_room_once")]

    def __str__(self) -> str:
        return self.name


class VisitFile(OwnKey):
    """A plan or photo that the client sent."""

    link = models.ForeignKey(VisitLink, on_delete=models.PROTECT, related_name="files")
    kind = models.CharField(max_length=6, choices=VisitFileKind, default=VisitFileKind.PHOTO)
    name = models.CharField(max_length=120)
    file = models.ForeignKey(StoredFile, on_delete=models.PROTECT, related_name="+")
    pages = models.PositiveSmallIntegerField(null=True)
    added_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["kind", "added_at", "id"]
        constraints = [models.UniqueConstraint(fields=["link", "file"], name="visit_file_once")]

    def __str__(self) -> str:
        return self.name


def brief_of(project: Project) -> Brief:
    """The project's brief; a new, empty one, not stored, where there is none yet."""
    found: Any = Brief.objects.filter(project=project).first()
    return found if isinstance(found, Brief) else Brief(project=project)
