"""What several pages of the consultation share: fetching through the user, answering a deed."""

import uuid
from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from base.deeds import Refusal, Stale
from base.requests import deed_key, seen_version
from consult.models import Project


def project_of(request: HttpRequest, project_id: uuid.UUID) -> Project:
    """The project, for somebody who may see it; else no such page."""
    return get_object_or_404(
        Project.objects.for_user(request.user).with_people(), pk=project_id, is_library=False
    )


def row_of(request: HttpRequest, model: Any, row_id: uuid.UUID, *related: str) -> Any:
    """A row of a design, through the user, with its project."""
    rows = model.objects.for_user(request.user).select_related("project", *related)
    return get_object_or_404(rows, pk=row_id)


def deed_page(
    request: HttpRequest,
    *,
    form: forms.Form,
    deed: Callable[..., Any],
    onward: Callable[[Any], str],
    template: str,
    context: dict[str, Any],
    said: str = "",
    versioned: bool = False,
    **given: Any,
) -> HttpResponse:
    """A page with one form and one deed: shown, refused with what was typed, or done and left."""
    theirs: list[tuple[str, Any]] = []
    if request.method == "POST" and form.is_valid():
        seen = {"seen": seen_version(request)} if versioned else {}
        try:
            done = deed(
                by=request.user, key=deed_key(request), **seen, **given, **form.cleaned_data
            )
        except Stale as stale:
            theirs = differing(form, stale.row)
            context = {**context, "version": stale.row.version}
            form.add_error(None, str(stale))
        except Refusal as refusal:
            form.add_error(None, str(refusal))
        else:
            if said:
                messages.success(request, said)
            return redirect(onward(done))
    return render(request, template, {**context, "form": form, "theirs": theirs})


def press(
    request: HttpRequest, *, deed: Callable[..., Any], onward: str, said: str = "", **given: Any
) -> HttpResponse:
    """A deed without a form: done or refused with a sentence, then on to a page."""
    try:
        deed(by=request.user, key=deed_key(request), **given)
    except Refusal as refusal:
        messages.error(request, str(refusal))
    else:
        if said:
            messages.success(request, said)
    return redirect(onward)


def differing(form: forms.Form, row: Any) -> list[tuple[str, Any]]:
    """Where the row as stored differs from what was typed: label and stored value."""
    found = []
    for name, typed in form.cleaned_data.items():
        stored = getattr(row, name, None)
        if stored != typed and not (stored in (None, "") and typed in (None, "")):
            shown = getattr(row, f"get_{name}_display", None)
            found.append((_label(form, row, name), shown() if shown else stored))
    return found


def _label(form: forms.Form, row: Any, name: str) -> Any:
    """As the form calls it; where two of its fields make one value of the row, as the row does."""
    if name in form.fields:
        return form.fields[name].label
    return row._meta.get_field(name).verbose_name


def typed(row: Any, form_class: type[forms.Form]) -> dict[str, Any]:
    """What a form shows of a row, numbers without trailing zeros."""
    values = {}
    for name in form_class.base_fields:
        value = getattr(row, name, None)
        if hasattr(value, "normalize"):
            value = f"{value.normalize():f}"
        values[name] = value
    return values
