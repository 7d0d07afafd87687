"""The rules of selling, factors of access, wording of letters, and hours as worked."""

import uuid
from decimal import Decimal

from django.db.models import Sum
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from base.deeds import Refusal
from base.models import MailText
from base.outbox import KINDS, preview, wording
from base.requests import deed_key, seen_version
from consult.models import Project
from consult.views.shared import deed_page, press, project_of
from quoting import words
from quoting.drafting import draft_of
from quoting.forms_rules import FactorForm, HoursForm, RulesForm, WordingForm
from quoting.labour import ACCESS, ACCESS_ABOVE, FINISHES
from quoting.models import AccessFactor, ActualHours, Quote, QuotingRules
from quoting.overview import labour_of
from quoting.services import rules as services


@require_http_methods(["GET", "HEAD", "POST"])
def rules(request: HttpRequest) -> HttpResponse:
    row = QuotingRules.objects.current()
    initial = {name: getattr(row, name) for name in RulesForm.base_fields}
    form = RulesForm(request.POST or None, initial=initial)
    factors = list(AccessFactor.objects.all())
    context = {
        "factors": factors,
        "usual": _usual(factors),
        "factor_form": FactorForm(),
        "letters": KINDS.values(),
        "may_change": request.user.is_manager,
        "version": 0 if row._state.adding else row.version,
    }
    return deed_page(
        request,
        form=form,
        deed=services.rules_change,
        onward=lambda _done: reverse("quoting:rules"),
        template="quoting/rules.html",
        context=context,
        said=_("Saved."),
        seen_rules=seen_version(request) or 0,
    )


def _usual(factors: list[AccessFactor]) -> list[tuple[str, Decimal | None, Decimal]]:
    """The factors of common practice that hold where the business has none of its own."""
    own = {row.what for row in factors}
    name = dict(AccessFactor.What.choices)
    found = [(str(name[what]), None, factor) for what, factor in FINISHES if what not in own]
    if own & {"height", "above"}:
        return found
    heights = [(str(name["height"]), height, factor) for height, factor in ACCESS]
    return [*heights, (str(name["above"]), None, ACCESS_ABOVE), *found]


@require_POST
def factor_set(request: HttpRequest) -> HttpResponse:
    form = FactorForm(request.POST)
    if not form.is_valid():
        raise_in_words = next(iter(form.errors.values()))[0]
        return press(request, deed=refusing(raise_in_words), onward=reverse("quoting:rules"))
    onward = reverse("quoting:rules") + "#factors"
    return press(request, deed=services.factor_set, onward=onward, **form.cleaned_data)


def refusing(sentence: str):  # type: ignore[no-untyped-def]
    """A deed that only says why not."""

    def refuse(**_given: object) -> None:
        raise Refusal(sentence)

    return refuse


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
