"""Drafts: what a design costs, what was overruled, what was added."""

import uuid

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from base.deeds import Refusal
from base.requests import deed_key
from consult import client_view
from consult.derived import planned, planned_now
from consult.models import Project, Room
from consult.views.shared import deed_page, press, project_of, row_of, typed
from quoting import approving
from quoting.discounts import discount_places
from quoting.draft import Draft, DraftLine, label_of
from quoting.drafting import draft_of, with_optional
from quoting.fees import fee_stand
from quoting.forms import (
    DiscountForm,
    EveningForm,
    LineForm,
    OverrideForm,
    QuoteForm,
    TreatmentForm,
)
from quoting.forms_variations import in_vain_form, restocking_form
from quoting.models import ManualLine, Quote, QuoteDiscount, QuoteOverride
from quoting.overview import labour_of, optional_parts, parts_of
from quoting.problems import problem_sentence
from quoting.services import copies
from quoting.services import quotes as services
from quoting.tax_asked import tax_questions
from quoting.trying import trial_stand
from quoting.varied_draft import varied


def quote_of(request: HttpRequest, quote_id: uuid.UUID) -> Quote:
    rows = Quote.objects.for_user(request.user).with_issues()
    return get_object_or_404(rows, pk=quote_id)


@require_safe
def of_project(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    project = project_of(request, project_id)
    context = {"project": project, "rows": _standing(project)}
    return render(request, "quoting/of_project.html", context)


@require_safe
def project_region(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    """Where the quotes of a project stand, for the project's own page."""
    project = project_of(request, project_id)
    context = {"project": project, "rows": _standing(project)}
    return render(request, "quoting/_project_region.html", context)


def _standing(project: Project) -> list[tuple[Quote, str]]:
    """The quotes of a project, each with its state and what it comes to."""
    found = Quote.objects.filter(project=project).with_state(on=timezone.localdate()).with_issues()
    return [(row, row.state_now) for row in found]


@require_POST
def quote_start(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    project = project_of(request, project_id)
    quote = services.quote_start(by=request.user, project=project, key=deed_key(request))
    return redirect(quote)


@require_safe
def room_price(request: HttpRequest, room_id: uuid.UUID) -> HttpResponse:
    """What a room comes to at today's sell prices: for the table, so without any cost.

    By the plan at hand, marked while a better one may follow; with ?exact=1 by the exact one.
    """
    room = row_of(request, Room, room_id)
    trial = trial_stand(room.project)
    if not client_view.shows_prices(request):
        return render(request, "quoting/_room_price_hidden.html", {"room": room, "trial": trial})
    plan_of = planned if "exact" in request.GET else lambda house: planned_now(house)[0]
    draft = draft_of(Quote(project=room.project), plan_of=plan_of)
    total = next((g for g in draft.grouped.groups if g.label == str(room.pk)), None)
    is_pending = not (draft.planned.is_exact or draft.planned.control.is_proven)
    context = {
        "total": total,
        "draft": draft,
        "room": room,
        "is_pending": is_pending,
        "trial": trial,
        "dearer": trial.dearer(draft.priced) if trial else None,
    }
    return render(request, "quoting/_room_price.html", context)


@require_safe
def quote(request: HttpRequest, quote_id: uuid.UUID) -> HttpResponse:
    row = quote_of(request, quote_id)
    context = _quote_page(request, row)
    context["form"] = _form_of(request, row)
    return render(request, "quoting/quote.html", context)


def _form_of(request: HttpRequest, row: Quote) -> QuoteForm:
    with_costs = not client_view.is_client_there(request)
    return QuoteForm(
        initial=typed(row, QuoteForm) | _shares(row),
        with_costs=with_costs,
        is_variation=row.varies_id is not None,
    )


def _shares(row: Quote) -> dict[str, object]:
    names = (
        "discount_share",
        "deposit_share",
        "delivery_share",
        "sell_share",
        "commission_share",
        "trade_share",
        "priced_on",
        "follow_up_on",
    )
    return {name: getattr(row, name) for name in names}


def quote_page(request: HttpRequest, row: Quote) -> dict[str, object]:
    """All of a draft's page, with the form of its terms."""
    return {**_quote_page(request, row), "form": _form_of(request, row)}


def _quote_page(request: HttpRequest, row: Quote) -> dict[str, object]:
    """What the page of a draft shows. Costs only once somebody said that no client is there."""
    draft = with_optional(draft_of(row))
    found = varied(draft) if row.is_open else None
    is_open = not client_view.is_client_there(request)
    beyond = approving.needing_approval(draft, role=request.user.role)
    names = approving.names_of(draft)
    return {
        "quote": row,
        "version": row.version,
        "theirs": [],
        "project": row.project,
        "state": row.state(on=timezone.localdate()),
        "draft": draft,
        "parts": parts_of(draft),
        "optional": optional_parts(draft),
        "opened": request.GET.get("open", ""),
        "labour": labour_of(draft),
        "fee": fee_stand(row.project, currency=draft.business.currency),
        "offers_switches": any(each.is_by_switches for each in draft.house.design.options),
        "discounts": list(QuoteDiscount.objects.filter(quote=row).select_related("by")),
        "is_open": is_open,
        "is_client_there": not is_open,
        "shows_prices": client_view.shows_prices(request),
        "target": draft.terms.rules.target_margin,
        "beyond": [approving.sentence(each, names) for each in beyond] if is_open else [],
        "needs_approval": bool(beyond),
        "approval": approving.approval_of(draft) if beyond else None,
        "digest": approving.digest_of(draft),
        "may_approve": approving.may_approve(request.user),
        "problems": [problem_sentence(problem) for problem in draft.problems],
        "varied": found,
        "tax_questions": list(tax_questions(draft)) if row.is_open else [],
        "treatment_form": TreatmentForm(),
        "evening_form": EveningForm(),
        "restocking_form": restocking_form(found),
        "in_vain_form": in_vain_form(found),
        "line_form": LineForm(quote=row),
        "discount_form": DiscountForm(places=discount_places(draft)),
        "copy_to": Project.objects.for_user(request.user).jobs().order_by("name"),
    }


@require_POST
def quote_change(request: HttpRequest, quote_id: uuid.UUID) -> HttpResponse:
    row = quote_of(request, quote_id)
    return deed_page(
        request,
        form=QuoteForm(
            request.POST,
            with_costs=not client_view.is_client_there(request),
            is_variation=row.varies_id is not None,
        ),
        deed=services.quote_change,
        onward=Quote.get_absolute_url,
        template="quoting/quote.html",
        context=_quote_page(request, row),
        said=_("Saved."),
        versioned=True,
        quote=row,
    )


@require_POST
def quote_discard(request: HttpRequest, quote_id: uuid.UUID) -> HttpResponse:
    row = quote_of(request, quote_id)
    onward = row.project.get_absolute_url()
    try:
        services.quote_discard(by=request.user, quote=row, key=deed_key(request))
    except Refusal as refusal:
        messages.error(request, str(refusal))
        return redirect(row)
    messages.success(request, _("The draft is discarded."))
    return redirect(onward)


# --- lines that a person adds -------------------------------------------------------------------
@require_POST
def line_add(request: HttpRequest, quote_id: uuid.UUID) -> HttpResponse:
    row = quote_of(request, quote_id)
    form = LineForm(request.POST, quote=row)
    if form.is_valid():
        try:
            services.line_add(
                by=request.user, quote=row, key=deed_key(request), **form.cleaned_data
            )
        except Refusal as refusal:
            form.add_error(None, str(refusal))
        else:
            return redirect(row)
    context = _quote_page(request, row)
    context["form"] = _form_of(request, row)
    return render(request, "quoting/quote.html", {**context, "line_form": form})


def _line_of(request: HttpRequest, line_id: uuid.UUID) -> ManualLine:
    mine = Quote.objects.for_user(request.user)
    rows = ManualLine.objects.select_related("quote__project").filter(quote__in=mine)
    return get_object_or_404(rows, pk=line_id)


@require_http_methods(["GET", "HEAD", "POST"])
def line_change(request: HttpRequest, line_id: uuid.UUID) -> HttpResponse:
    line = _line_of(request, line_id)
    form = LineForm(request.POST or None, quote=line.quote, initial=typed(line, LineForm))
    if client_view.is_client_there(request):
        del form.fields["unit_cost"]  # neither shown nor changed while a client may look
    return deed_page(
        request,
        form=form,
        deed=services.line_change,
        onward=lambda _done: line.quote.get_absolute_url(),
        template="quoting/line_form.html",
        context={
            "quote": line.quote,
            "project": line.quote.project,
            "line": line,
            "version": line.version,
            "title": line.description,
            "draft_line": None,
            "line_key": "",
        },
        versioned=True,
        line=line,
    )


@require_POST
def line_remove(request: HttpRequest, line_id: uuid.UUID) -> HttpResponse:
    line = _line_of(request, line_id)
    onward = line.quote.get_absolute_url()
    return press(request, deed=services.line_remove, onward=onward, line=line)


# --- discounts, approval, copies ------------------------------------------------------------------
@require_POST
def discount_set(request: HttpRequest, quote_id: uuid.UUID) -> HttpResponse:
    row = quote_of(request, quote_id)
    form = DiscountForm(request.POST, places=discount_places(draft_of(row)))
    if form.is_valid():
        try:
            services.discount_set(
                by=request.user, quote=row, key=deed_key(request), **form.cleaned_data
            )
        except Refusal as refusal:
            form.add_error(None, str(refusal))
        else:
            return redirect(row)
    context = {**_quote_page(request, row), "discount_form": form}
    context["form"] = _form_of(request, row)
    return render(request, "quoting/quote.html", context)


@require_POST
def discount_remove(request: HttpRequest, discount_id: uuid.UUID) -> HttpResponse:
    mine = Quote.objects.for_user(request.user)
    rows = QuoteDiscount.objects.select_related("quote").filter(quote__in=mine)
    row = get_object_or_404(rows, pk=discount_id)
    onward = row.quote.get_absolute_url()
    return press(request, deed=services.discount_remove, onward=onward, row=row)


@require_POST
def quote_approve(request: HttpRequest, quote_id: uuid.UUID) -> HttpResponse:
    row = quote_of(request, quote_id)
    return press(
        request,
        deed=services.quote_approve,
        onward=row.get_absolute_url(),
        said=_("It may pass as it stands."),
        quote=row,
        reason=request.POST.get("reason", "")[:300],
        shown=request.POST.get("shown", "")[:64],
    )


@require_POST
def quote_copy(request: HttpRequest, quote_id: uuid.UUID) -> HttpResponse:
    row = quote_of(request, quote_id)
    project = project_of(request, key_of(request.POST.get("project")))
    try:
        made = copies.quote_copy(by=request.user, quote=row, project=project, key=deed_key(request))
    except Refusal as refusal:
        messages.error(request, str(refusal))
        return redirect(row)
    messages.success(request, _("Terms, discounts and added lines are copied into this draft."))
    return redirect(made)


def key_of(text: str | None) -> uuid.UUID:
    """The key that was sent; one that no row has where it cannot be read."""
    try:
        return uuid.UUID(text or "")
    except ValueError:
        return uuid.UUID(int=0)


# --- overruling what is derived -----------------------------------------------------------------
def _line_in(draft: Draft, key: str) -> DraftLine | None:
    every = (*draft.lines, *draft.optional)
    return next((line for line in every if line.key == key and line.bill), None)


@require_http_methods(["GET", "HEAD", "POST"])
def override(request: HttpRequest, quote_id: uuid.UUID) -> HttpResponse:
    row = quote_of(request, quote_id)
    line_key = request.POST.get("line", "") or request.GET.get("line", "")
    draft = with_optional(draft_of(row))
    line = _line_in(draft, line_key)
    if line is None:
        messages.error(request, _("This line is no longer in the bill."))
        return redirect(row)
    return deed_page(
        request,
        form=OverrideForm(request.POST or None),
        deed=services.override_set,
        onward=lambda _done: at_part(row, draft, line),
        template="quoting/line_form.html",
        context={
            "quote": row,
            "project": row.project,
            "draft_line": line,
            "derived_price": draft.terms.unit_price(line.bill) if line.bill else None,
            "title": line.description,
            "line_key": line_key,
            "line": None,
            "version": None,
        },
        quote=row,
        line_key=line_key,
    )


def at_part(row: Quote, draft: Draft, line: DraftLine) -> str:
    """The page of the quote, open where the line is."""
    found = (part.label for part in optional_parts(draft) if part.name == line.option)
    label = next(found, label_of(line.section, line.room))
    return f"{row.get_absolute_url()}?open={label}#part-{label}"


def _override_of(request: HttpRequest, override_id: uuid.UUID) -> QuoteOverride:
    mine = Quote.objects.for_user(request.user)
    rows = QuoteOverride.objects.select_related("quote").filter(quote__in=mine)
    return get_object_or_404(rows, pk=override_id)


@require_POST
def override_clear(request: HttpRequest, override_id: uuid.UUID) -> HttpResponse:
    row = _override_of(request, override_id)
    onward = row.quote.get_absolute_url()
    return press(request, deed=services.override_clear, onward=onward, row=row)


@require_POST
def override_keep(request: HttpRequest, override_id: uuid.UUID) -> HttpResponse:
    row = _override_of(request, override_id)
    onward = row.quote.get_absolute_url()
    now = request.POST.get("derived_now", "")[:300]
    return press(request, deed=services.override_keep, onward=onward, row=row, derived_now=now)
