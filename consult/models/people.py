"""For whom: clients, their people, and the project itself."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from base.keys import Versioned
from base.models import Person
from consult.kinds import (
    KindOfWork,
    Nation,
    NeutralAt,
    Stage,
)


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

    # Whether the version is the number of an act under way already (consult/numbering.py).
    is_numbered = False

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
