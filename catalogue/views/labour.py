"""Labour norms, hourly rates and tax rates: each from a day on."""

import uuid
from dataclasses import dataclass
from typing import Any

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from catalogue import services
from catalogue.forms import NO_SOURCE, NormForm, RateForm, TaxForm
from catalogue.models import LabourNorm, LabourRate, TaxRate
from catalogue.views.shared import deed_page, must_keep, press, sent, today


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """One kind of dated row: its model, its form, and what its pages are called."""

    model: Any
    form: type[forms.Form]
    title: Promise
    adds: Promise


SUBJECTS: dict[str, Subject] = {
    "norms": Subject(
        model=LabourNorm,
        form=NormForm,
        title=gettext_lazy("Labour norms"),
        adds=gettext_lazy("Set a labour norm"),
    ),
    "rates": Subject(
        model=LabourRate,
        form=RateForm,
        title=gettext_lazy("Hourly rates"),
        adds=gettext_lazy("Set an hourly rate"),
    ),
    "taxes": Subject(
        model=TaxRate,
        form=TaxForm,
        title=gettext_lazy("Tax rates"),
        adds=gettext_lazy("Set a tax rate"),
    ),
}


def _subject(what: str) -> Subject:
    if what not in SUBJECTS:
        raise Http404
    return SUBJECTS[what]


@require_safe
def dated(request: HttpRequest, what: str) -> HttpResponse:
    """The rows of a subject, the one valid today marked. For people who keep prices only."""
    must_keep(request)
    subject = _subject(what)
    names = services.DATED_NAMES[subject.model]
    day = today()
    valid: set[tuple[Any, ...]] = set()
    rows = []
    for row in subject.model.objects.order_by(*names, "-from_day"):
        key = tuple(getattr(row, name) for name in names)
        is_valid = row.from_day <= day and key not in valid
        valid |= {key} if is_valid else set()
        rows.append((row, is_valid, row.from_day >= day))
    context = {"what": what, "subject": subject, "rows": rows, "today": day, "no_source": NO_SOURCE}
    return render(request, f"catalogue/{what}.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def dated_set(request: HttpRequest, what: str) -> HttpResponse:
    subject = _subject(what)
    first = {
        "from_day": today(),
        **{
            name: request.GET.get(name, "")
            for name in subject.form.base_fields
            if name in request.GET
        },
    }
    return deed_page(
        request,
        form=subject.form(request.POST or None, initial=first),
        deed=lambda fields: services.set_from_day(
            model=subject.model, fields=fields, today=today(), **sent(request, versioned=False)
        ),
        onward=lambda _row: reverse("catalogue:dated", args=[what]),
        template="catalogue/small_form.html",
        context={"title": subject.adds, "up": what, "version": None},
        said=_("It holds from that day on."),
    )


@require_POST
def dated_take_back(request: HttpRequest, what: str, row_id: uuid.UUID) -> HttpResponse:
    must_keep(request)
    row = get_object_or_404(_subject(what).model, pk=row_id)
    return press(
        request,
        deed=lambda: services.take_back(row=row, today=today(), **sent(request, versioned=False)),
        onward=reverse("catalogue:dated", args=[what]),
        said=_("It is taken back."),
    )
