"""The rules of selling, factors of access, wording of letters, and hours as worked."""

import uuid
from collections.abc import Callable
from decimal import Decimal
from typing import Any

from django import forms
from django.db.models import Sum
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from base.deeds import Refusal
from base.models import MailText
from base.outbox import KINDS, preview, wording
from base.requests import deed_key, seen_version
from catalogue.kinds import Kind
from catalogue.models import Supplier
from consult import client_view
from consult.models import Project
from consult.views.shared import deed_page, press, project_of
from quoting import words
from quoting.drafting import draft_of
from quoting.forms_rules import (
    FactorForm,
    HoursForm,
    RulesForm,
    SellingRuleForm,
    WordingForm,
)
from quoting.labour import ACCESS, ACCESS_ABOVE, FINISHES
from quoting.models import AccessFactor, ActualHours, Quote, QuotingRules, SellingRule
from quoting.overview import labour_of
from quoting.services import rules as services


@require_http_methods(["GET", "HEAD", "POST"])
def rules(request: HttpRequest) -> HttpResponse:
    return deed_page(
        request,
        form=_rules_form(request.POST or None),
        deed=services.rules_change,
        onward=lambda _done: reverse("quoting:rules"),
        template="quoting/rules.html",
        context=_rules_page(request),
        said=_("Saved."),
        seen_rules=seen_version(request) or 0,
    )


def _rules_form(data: QueryDict | None = None) -> RulesForm:
    row = QuotingRules.objects.current()
    return RulesForm(data, initial={name: getattr(row, name) for name in RulesForm.base_fields})


def _rules_page(request: HttpRequest, **more: object) -> dict[str, object]:
    """All but the one form of the rules. What goods are sold by tells costs: only with no client."""
    row = QuotingRules.objects.current()
    factors = list(AccessFactor.objects.all())
    shows_costs = not client_view.is_client_there(request)
    return {
        "factors": factors,
        "usual": _usual(factors),
        "factor_form": FactorForm(),
        "ways": _ways() if shows_costs else [],
        "way_form": SellingRuleForm(places=_places(), initial=_from_today()),
        "kinds": {str(kind): str(name) for kind, name in Kind.choices},
        "is_client_there": not shows_costs,
        "letters": KINDS.values(),
        "may_change": request.user.is_manager,
        "version": 0 if row._state.adding else row.version,
        **more,
    }


def _set(
    request: HttpRequest, *, form: forms.Form, name: str, deed: Callable[..., Any], onward: str
) -> HttpResponse:
    """One of the smaller forms of the rules: done and left, or shown again with what was typed."""
    if form.is_valid():
        try:
            deed(by=request.user, key=deed_key(request), **form.cleaned_data)
        except Refusal as refusal:
            form.add_error(None, str(refusal))
        else:
            return redirect(reverse("quoting:rules") + onward)
    page = _rules_page(request, **{name: form}, form=_rules_form(), theirs=[])
    return render(request, "quoting/rules.html", page)


def _usual(factors: list[AccessFactor]) -> list[tuple[str, Decimal | None, Decimal]]:
    """The factors of common practice that hold where the business has none of its own."""
    own = {row.what for row in factors}
    name = dict(AccessFactor.What.choices)
    found = [(str(name[what]), None, factor) for what, factor in FINISHES if what not in own]
    if own & {"height", "above"}:
        return found
    heights = [(str(name["height"]), height, factor) for height, factor in ACCESS]
    return [*heights, (str(name["above"]), None, ACCESS_ABOVE), *found]


def _ways() -> list[tuple[SellingRule, bool, bool]]:
    """Every rule of selling, the newest of each place first: is it valid today, is it to come."""
    today = timezone.localdate()
    found, begun = [], set()
    for row in SellingRule.objects.all():
        place, is_to_come = (row.scope, row.about), row.from_day > today
        found.append((row, not is_to_come and place not in begun, is_to_come))
        if not is_to_come:
            begun.add(place)
    return found


def _from_today() -> dict[str, object]:
    return {"from_day": timezone.localdate().isoformat()}


def _places() -> list[tuple[str, list[tuple[str, str]]]]:
    """On what a rule of selling may be, but for single products: grouped choices, `scope|about`."""
    names = Supplier.objects.order_by("name").values_list("name", flat=True)
    return [
        (_("Kinds"), [(f"kind|{kind}", str(name)) for kind, name in Kind.choices]),
        (_("Suppliers"), [(f"supplier|{name}", name) for name in names]),
    ]


@require_POST
def selling_rule_set(request: HttpRequest) -> HttpResponse:
    form = SellingRuleForm(request.POST, places=_places())
    deed = services.selling_rule_set
    return _set(request, form=form, name="way_form", deed=deed, onward="#ways")


@require_POST
def selling_rule_remove(request: HttpRequest, rule_id: uuid.UUID) -> HttpResponse:
    row = get_object_or_404(SellingRule, pk=rule_id)
    onward = reverse("quoting:rules") + "#ways"
    return press(request, deed=services.selling_rule_remove, onward=onward, row=row)


@require_POST
def factor_set(request: HttpRequest) -> HttpResponse:
    form = FactorForm(request.POST)
    deed = services.factor_set
    return _set(request, form=form, name="factor_form", deed=deed, onward="#factors")


@require_POST
def factor_remove(request: HttpRequest, factor_id: uuid.UUID) -> HttpResponse:
    row = get_object_or_404(AccessFactor, pk=factor_id)
    onward = reverse("quoting:rules") + "#factors"
    return press(request, deed=services.factor_remove, onward=onward, row=row)


@require_http_methods(["GET", "HEAD", "POST"])
def wording_page(request: HttpRequest, name: str) -> HttpResponse:
    """The wording of a kind of letter with a preview; 'see it' shows without keeping."""
    kind = KINDS.get(name)
    if kind is None:
        raise Http404
    subject, body = wording(kind)
    form = WordingForm(request.POST or None, initial={"subject": subject, "body": body})
    if request.method == "POST" and form.is_valid():
        subject, body = form.cleaned_data["subject"], form.cleaned_data["body"]
        if "keep" in request.POST:
            try:
                services.wording_set(
                    by=request.user, name=name, key=deed_key(request), **form.cleaned_data
                )
            except Refusal as refusal:
                form.add_error(None, str(refusal))
            else:
                return redirect("quoting:wording", name)
    context = {
        "kind": kind,
        "form": form,
        "letter": preview(kind, subject, body),
        "is_own": MailText.objects.filter(name=name).exists(),
        "may_change": request.user.is_manager,
    }
    return render(request, "quoting/wording.html", context)


@require_POST
def wording_drop(request: HttpRequest, name: str) -> HttpResponse:
    onward = reverse("quoting:wording", args=[name]) if name in KINDS else reverse("quoting:rules")
    return press(request, deed=services.wording_drop, onward=onward, name=name)


# --- hours as worked ------------------------------------------------------------------------------
@require_safe
def hours(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    return _hours(request, project_of(request, project_id), HoursForm(initial=_today()))


def _today() -> dict[str, object]:
    return {"day": timezone.localdate().isoformat()}


def _hours(request: HttpRequest, project: Project, form: HoursForm) -> HttpResponse:
    """Hours by operation: by the norm today, and as they were worked."""
    labour = labour_of(draft_of(Quote(project=project)))
    normed = dict(zip(labour.operations, labour.by_operation, strict=True))
    found = ActualHours.objects.filter(project=project)
    worked = dict(found.order_by().values_list("operation").annotate(Sum("hours")))
    zero = Decimal(0)
    rows = [
        (
            words.operation(name),
            normed.get(name, zero),
            worked.get(name, zero),
            worked.get(name, zero) - normed.get(name, zero),
        )
        for name in dict.fromkeys([*normed, *worked])
    ]
    context = {
        "project": project,
        "rows": rows,
        "normed": sum(normed.values(), zero),
        "worked": sum(worked.values(), zero),
        "entries": found.select_related("by"),
        "form": form,
    }
    return render(request, "quoting/hours.html", context)


@require_POST
def hours_add(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    project = project_of(request, project_id)
    form = HoursForm(request.POST)
    if not form.is_valid():
        return _hours(request, project, form)
    onward = reverse("quoting:hours", args=[project.pk])
    return press(
        request, deed=services.hours_add, onward=onward, project=project, **form.cleaned_data
    )


@require_POST
def hours_remove(request: HttpRequest, hours_id: uuid.UUID) -> HttpResponse:
    mine = Project.objects.for_user(request.user)
    row = get_object_or_404(ActualHours, pk=hours_id, project__in=mine)
    onward = reverse("quoting:hours", args=[row.project_id])
    return press(request, deed=services.hours_remove, onward=onward, row=row)
