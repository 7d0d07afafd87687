"""The words of the brief, of appointments and of what a client tells before the visit."""

from django.db import models
from django.utils.translation import gettext_lazy as _


class PartyRole(models.TextChoices):
    """Who takes part in a project."""

    CLIENT = "client", _("client")
    BILLED = "billed", _("is billed")
    SITE_CONTACT = "site-contact", _("site contact")
    BUILDER = "builder", _("builder")
    ARCHITECT = "architect", _("architect")
    INTERIOR_DESIGNER = "interior-designer", _("interior designer")
    ELECTRICIAN = "electrician", _("electrician")
    INTRODUCER = "introducer", _("introducer")


class AppointmentKind(models.TextChoices):
    CONSULTATION = "consultation", _("Consultation")
    SITE_VISIT = "site-visit", _("Visit to the site")
    FIRST_FIX = "first-fix", _("First fix, on site")
    SETTING_UP = "setting-up", _("Setting up the scenes")
    OTHER = "other", _("Appointment")


class VisitFileKind(models.TextChoices):
    PLAN = "plan", _("plan or drawing")
    PHOTO = "photo", _("photo")
