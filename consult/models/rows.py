"""What rows of a design share."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from base.keys import Versioned
from consult.models.people import Project


def metres(verbose_name: Any, *, most: int = 100, **options: Any) -> models.DecimalField:
    options.setdefault("null", True)
    options.setdefault("blank", True)
    return models.DecimalField(
        verbose_name,
        max_digits=7,
        decimal_places=3,
        validators=[MinValueValidator(0), MaxValueValidator(most)],
        **options,
    )


def reflectance(verbose_name: Any) -> models.DecimalField:
    """A share of light sent back, 0 to 0.95; empty where nobody said."""
    return models.DecimalField(
        verbose_name,
        max_digits=3,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(Decimal("0.95"))],
    )


class DesignRowQuerySet(models.QuerySet[Any]):
    def for_user(self, user: Any) -> DesignRowQuerySet:
        return self if getattr(user, "is_active", False) else self.none()


class DesignRow(Versioned):
    """A row of one project's design."""

    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="+")

    objects = DesignRowQuerySet.as_manager()

    class Meta:
        abstract = True

    def lock_first(self) -> models.Model | None:
        return Project(pk=self.project_id)


class OptionGroup(DesignRow):
    """What the client may choose together: any of them, or one of several."""

    name = models.CharField(_("name"), max_length=120)
    is_one_of = models.BooleanField(_("one of several"), default=False)
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["position", "name"]

    def __str__(self) -> str:
        return self.name


class Option(DesignRow):
    group = models.ForeignKey(OptionGroup, on_delete=models.PROTECT, related_name="options")
    name = models.CharField(_("name"), max_length=120)
    is_in = models.BooleanField(_("taken unless the client says otherwise"), default=False)
    is_by_switches = models.BooleanField(
        _("ordinary switches in place of scene control"), default=False, editable=False
    )
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["position", "name"]

    def __str__(self) -> str:
        return self.name


def option_key() -> models.ForeignKey[Any, Any]:
    return models.ForeignKey(
        Option,
        verbose_name=_("only with the option"),
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
    )
