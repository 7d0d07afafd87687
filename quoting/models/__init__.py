"""What is promised: quotes, their issues, links to them, and what clients answer."""

from quoting.models.fees import DesignFee, FeePayment, FeeReceipt
from quoting.models.issues import (
    Acceptance,
    Link,
    LinkSecret,
    LinkVisit,
    Question,
    Revision,
    RevisionEvent,
    RevisionFile,
)
from quoting.models.paying import PackRelease, Payment, Receipt
from quoting.models.quotes import (
    ManualLine,
    NumberSeries,
    Quote,
    QuoteDiscount,
    QuoteOverride,
    QuoteRow,
)
from quoting.models.selling import (
    AccessFactor,
    ActualHours,
    QuoteApproval,
    QuotingRules,
    SellingRule,
)
from quoting.models.trying import Trial

__all__ = [
    "Acceptance",
    "AccessFactor",
    "ActualHours",
    "DesignFee",
    "FeePayment",
    "FeeReceipt",
    "Link",
    "LinkSecret",
    "LinkVisit",
    "ManualLine",
    "NumberSeries",
    "PackRelease",
    "Payment",
    "Question",
    "Quote",
    "QuoteApproval",
    "QuoteDiscount",
    "QuoteOverride",
    "QuoteRow",
    "QuotingRules",
    "Receipt",
    "Revision",
    "RevisionEvent",
    "RevisionFile",
    "SellingRule",
    "Trial",
]
