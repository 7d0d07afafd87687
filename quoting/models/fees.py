"""The design fee of a project, and money that came in for it. What came in is only ever inserted."""

from __future__ import annotations

from decimal import Decimal

from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from base.keys import OwnKey, Versioned
from base.models import Person
from consult.models import Project
from quoting.models.paying import Paper


class Treatment(models.TextChoices):
    """How the fee is treated for tax: the business decides, the app records."""

    STANDARD = "standard", _("standard rate")
    REDUCED = "reduced", _("reduced rate")
    ZERO = "zero", _("zero rate")
    EXEMPT = "exempt", _("exempt")
    REVERSE_CHARGE = "reverse_charge", _("reverse charge")
    OUTSIDE = "outside", _("outside the scope of the tax")


class DesignFee(Versioned):
    """What a business asks for a design, apart from any quote. At most one of a project."""

    project = models.OneToOneField(Project, on_delete=models.PROTECT, related_name="design_fee")
    words = models.CharField(_("what it is for"), max_length=300)
    net = models.DecimalField(_("amount without tax"), max_digits=14, decimal_places=4)
    tax_treatment = models.CharField(
        _("tax treatment"), max_length=16, choices=Treatment, default=Treatment.STANDARD
    )
    is_credited = models.BooleanField(_("it is credited on order"), default=False)
    #: How it is asked for: share of it as text and when, in order; empty where in one sum.
    parts = models.JSONField(default=list)
    agreed_in = models.CharField(_("where that was agreed"), max_length=300, blank=True)
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(net__gt=0), name="design_fee_above_nothing")
        ]

    def __str__(self) -> str:
        return self.words


class FeePayment(OwnKey):
    """A design fee, or a part of it, that came in, with what it was then; or what takes that back.

    ``gross`` is ``net`` and ``tax``. ``tax_rate`` None: no tax at all. With ``undoes``, ``how`` is
    the reason.
    """

    fee = models.ForeignKey(DesignFee, on_delete=models.PROTECT, related_name="payments")
    part = models.PositiveSmallIntegerField(default=0)  # which of its parts, from 0
    words = models.CharField(max_length=300)
    currency = models.CharField(max_length=3)
    net = models.DecimalField(max_digits=14, decimal_places=4)
    tax_treatment = models.CharField(max_length=16)
    tax_rate = models.DecimalField(max_digits=6, decimal_places=5, null=True)
    tax = models.DecimalField(max_digits=14, decimal_places=4)
    day = models.DateField(_("day"))
    how = models.CharField(_("how it came"), max_length=120)
    undoes = models.OneToOneField(
        "self", null=True, on_delete=models.PROTECT, related_name="undone_by"
    )
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(net__gt=0, tax__gte=0), name="fee_payment_above_nothing"
            )
        ]

    def __str__(self) -> str:
        return f"{self.day} {self.words}"

    @property
    def gross(self) -> Decimal:
        return self.net + self.tax

    @property
    def has_receipt(self) -> bool:
        """Whether its receipt is made and kept already. Reads self.receipt."""
        return getattr(self, "receipt", None) is not None


class FeeReceipt(Paper):
    """The receipt of a design fee, or of its taking back."""

    payment = models.OneToOneField(FeePayment, on_delete=models.PROTECT, related_name="receipt")

    def __str__(self) -> str:
        return str(self.payment)
