"""What several pages of the catalogue share: who may change it, and answering a deed."""

import uuid
from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from base.deeds import Refusal, Stale
from base.requests import deed_key, seen_version
from catalogue.models import Product
from catalogue.services import Objections


def must_keep(request: HttpRequest) -> None:
    """Only people who keep prices change the catalogue."""
    if not request.user.keeps_prices:
        raise PermissionDenied


def product_of(product_id: uuid.UUID) -> Product:
    return get_object_or_404(Product.objects.with_everything(), pk=product_id)


def object_to(form: forms.Form, refusal: Refusal) -> None:
    """Put a refusal at the field it is about, or over the form."""
    if isinstance(refusal, Objections):
        for problem in refusal.problems:
            form.add_error(
                problem.field if problem.field in form.fields else None, problem.sentence
            )
    else:
        form.add_error(None, str(refusal))


def deed_page(
    request: HttpRequest,
    *,
    form: forms.Form,
    deed: Callable[[dict[str, Any]], Any],
    onward: Callable[[Any], str],
    template: str,
    context: dict[str, Any],
    said: str,
    is_open: bool = False,
) -> HttpResponse:
    """A page with one form and one deed: shown, refused with what was typed, or done and left.

    For people who keep prices; `is_open` where everybody who works here may.
    """
    if not is_open:
        must_keep(request)
    if request.method == "POST" and form.is_valid():
        try:
            done = deed(form.cleaned_data)
        except Refusal as refusal:
            object_to(form, refusal)
            if isinstance(refusal, Stale):
                theirs = [
                    (field.label, getattr(refusal.row, name, ""))
                    for name, field in form.fields.items()
                    if getattr(refusal.row, name, None) != form.cleaned_data.get(name)
                ]
                context = {**context, "theirs": theirs, "version": refusal.row.version}
        else:
            messages.success(request, said)
            return redirect(onward(done))
    return render(request, template, {"theirs": [], **context, "form": form})


def press(
    request: HttpRequest,
    *,
    deed: Callable[[], Any],
    onward: str,
    said: str,
    is_open: bool = False,
) -> HttpResponse:
    """A deed without a form: done, or refused with a sentence; then on to a page."""
    if not is_open:
        must_keep(request)
    try:
        deed()
    except Refusal as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, said)
    return redirect(onward)


def sent(request: HttpRequest, *, versioned: bool = True) -> dict[str, Any]:
    """Who acts, with the key of the request and the version that was seen."""
    who = {"by": request.user, "key": deed_key(request)}
    return {**who, "seen": seen_version(request)} if versioned else who


def today() -> Any:
    return timezone.localdate()
