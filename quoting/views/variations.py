"""What a variation costs besides: goods that go back, labour in vain."""

import uuid
from collections.abc import Callable
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from base.deeds import Refusal
from base.requests import deed_key
from quoting.drafting import draft_of
from quoting.forms_variations import in_vain_form, restocking_form
from quoting.models import Quote
from quoting.services import variations as services
from quoting.varied_draft import varied
from quoting.views.quotes import quote_of, quote_page


@require_POST
def restocking_add(request: HttpRequest, quote_id: uuid.UUID) -> HttpResponse:
    row = quote_of(request, quote_id)
    form = restocking_form(varied(draft_of(row)), request.POST)
    return _added(request, row, form, "restocking_form", services.restocking_add)


@require_POST
def in_vain_add(request: HttpRequest, quote_id: uuid.UUID) -> HttpResponse:
    row = quote_of(request, quote_id)
    form = in_vain_form(varied(draft_of(row)), request.POST)
    return _added(request, row, form, "in_vain_form", services.in_vain_add)


def _added(
    request: HttpRequest, row: Quote, form: forms.Form, name: str, deed: Callable[..., Any]
) -> HttpResponse:
    """The line added, or the page again with what was typed."""
    if form.is_valid():
        try:
            deed(by=request.user, quote=row, key=deed_key(request), **form.cleaned_data)
        except Refusal as refusal:
            form.add_error(None, str(refusal))
        else:
            return redirect(row.get_absolute_url() + "#varied")
    return render(request, "quoting/quote.html", {**quote_page(request, row), name: form})
