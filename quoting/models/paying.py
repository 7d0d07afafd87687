"""Money that came in for an order, and packs that a manager let go before it. Only ever inserted."""

from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from base.keys import OwnKey
from base.models import Person, StoredFile
from quoting.models.issues import Revision


class Payment(OwnKey):
    """Money that came in for an order, or the entry that takes such a one back.

    ``order`` is the issue that was accepted first; what comes in for its variations is kept with
    it. ``amount`` is above 0 also of an entry that takes another back (``undoes``): it counts
    below 0 there, and ``how`` is the reason.
    """

    order = models.ForeignKey(Revision, on_delete=models.PROTECT, related_name="payments")
    amount = models.DecimalField(_("amount"), max_digits=16, decimal_places=4)
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
            models.CheckConstraint(condition=Q(amount__gt=0), name="payment_above_nothing")
        ]

    def __str__(self) -> str:
        return f"{self.day} {self.amount}"


class Paper(OwnKey):
    """A document kept with its digest, made once and never again."""

    file = models.ForeignKey(StoredFile, on_delete=models.PROTECT, related_name="+")
    sha256 = models.CharField(max_length=64)
    made_at = models.DateTimeField(default=timezone.now)

    class Meta:
        abstract = True


class Receipt(Paper):
    """The receipt of a payment, or of its taking back, as the account stood with it."""

    payment = models.OneToOneField(Payment, on_delete=models.PROTECT, related_name="receipt")

    def __str__(self) -> str:
        return str(self.payment)


class PackRelease(OwnKey):
    """A manager let the pack of an order go before its stage was paid: who, when, why."""

    order = models.OneToOneField(Revision, on_delete=models.PROTECT, related_name="pack_release")
    reason = models.CharField(_("reason"), max_length=300)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    def __str__(self) -> str:
        return self.reason
