"""What several pages of the consultation share: fetching through the user, answering a deed."""

import uuid
from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _

from base.asked import by_key
from base.deeds import Refusal, Stale
from base.requests import deed_key, seen_version
from consult.models import Project


def project_of(request: HttpRequest, project_id: uuid.UUID) -> Project:
    """The project, for somebody who may see it; else no such page. The library of patterns is one."""
    return get_object_or_404(Project.objects.for_user(request.user).with_people(), pk=project_id)


def row_of(request: HttpRequest, model: Any, row_id: uuid.UUID, *related: str) -> Any:
    """A row of a design, through the user, with its project."""
    rows = model.objects.for_user(request.user)
    if not rows.query.where and rows.query.can_filter():  # all rows of the table
        found = by_key(model, "project", *related).first(row_id)
        if found is None:
            raise Http404
        return found
    return get_object_or_404(rows.select_related("project", *related), pk=row_id)


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


def differing(form: forms.Form, row: Any) -> list[tuple[Any, ...]]:
    """Where the row as stored differs from what was typed.

    Label, the stored value in words, the field, the stored and the typed value as the field takes
    them, and the typed value in words. Where two fields make one value, label and stored value only.
    """
    found = []
    for name, typed in form.cleaned_data.items():
        stored = getattr(row, name, None)
        if stored != typed and not (stored in (None, "") and typed in (None, "")):
            shown = getattr(row, f"get_{name}_display", None)
            label, in_words = _label(form, row, name), shown() if shown else stored
            field = form.fields.get(name)
            found.append(
                (label, in_words)
                if field is None
                else (
                    label,
                    in_words,
                    name,
                    _as_typed(field, stored),
                    _as_typed(field, typed),
                    _in_words(field, typed),
                )
            )
    return found


def _as_typed(field: forms.Field, value: Any) -> str:
    """A value as the control of its field takes it."""
    if hasattr(value, "normalize"):
        value = f"{value.normalize():f}"
    value = field.prepare_value(value) if hasattr(field, "prepare_value") else value
    return "" if value is None else str(getattr(value, "pk", value))


def _in_words(field: forms.Field, value: Any) -> str:
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if value is None or hasattr(value, "pk"):
        return "" if value is None else str(value)
    return str(dict(getattr(field, "choices", ())).get(value, value))


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
