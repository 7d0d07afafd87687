"""What is added to a draft in one press: the evening visit, one tax treatment for many lines."""

import uuid

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from base.deeds import Refusal
from base.requests import deed_key
from quoting.forms import EveningForm, TreatmentForm
from quoting.services import quotes as services
from quoting.services import treatments
from quoting.views.quotes import quote_of, quote_page


@require_POST
def evening_add(request: HttpRequest, quote_id: uuid.UUID) -> HttpResponse:
    """The evening visit as a line of the whole job."""
    row = quote_of(request, quote_id)
    form = EveningForm(request.POST)
    if form.is_valid():
        try:
            services.evening_add(
                by=request.user, quote=row, key=deed_key(request), **form.cleaned_data
            )
        except Refusal as refusal:
            form.add_error(None, str(refusal))
        else:
            return redirect(row)
    return render(request, "quoting/quote.html", {**quote_page(request, row), "evening_form": form})


@require_POST
def treatment_set(request: HttpRequest, quote_id: uuid.UUID) -> HttpResponse:
    """Treat many lines alike for tax."""
    row = quote_of(request, quote_id)
    form = TreatmentForm(request.POST)
    if form.is_valid():
        try:
            treatments.treatment_set(
                by=request.user, quote=row, key=deed_key(request), **form.cleaned_data
            )
        except Refusal as refusal:
            form.add_error(None, str(refusal))
        else:
            return redirect(row.get_absolute_url() + "#treatments")
    page = {**quote_page(request, row), "treatment_form": form}
    return render(request, "quoting/quote.html", page)
