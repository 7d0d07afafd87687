"""Quotes as a list, in columns by state, and by month."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from consult import client_view
from quoting import reports, words
from quoting.models import Quote

PAGE = 50


@require_safe
def quotes(request: HttpRequest) -> HttpResponse:
    """All quotes: found by words, of one state, as a list or in columns by state."""
    today = timezone.localdate()
    typed, state = request.GET.get("q", "").strip(), request.GET.get("state", "")
    found = Quote.objects.for_user(request.user).with_state(on=today).matching(typed).with_issues()
    context = {
        "words": typed,
        "state": state if state in reports.STATES else "",
        "states": [(name, words.state(name)) for name in reports.STATES],
        "as_columns": request.GET.get("view") == "columns",
    }
    if context["as_columns"]:
        context["columns"] = reports.columns(found)
        return render(request, "quoting/quotes.html", context)
    if context["state"]:
        found = found.filter(state_now=state)
    page = Paginator(found, PAGE).get_page(request.GET.get("page"))
    rows = [(row, row.state_now) for row in page]
    return render(request, "quoting/quotes.html", {**context, "page": page, "rows": rows})


@require_safe
def by_month(request: HttpRequest) -> HttpResponse:
    """Conversion by month; margin too, once nobody else is looking."""
    is_open = not client_view.is_client_there(request)
    found = reports.months(today=timezone.localdate())
    most = max((month.issued for month in found), default=0) or 1
    most_sold = max((month.sold for month in found), default=0) or 1
    rows = [
        (
            month,
            f"{100 * month.issued / most:.1f}",
            f"{100 * month.accepted / most:.1f}",
            f"{100 * max(month.sold, 0) / most_sold:.1f}",
            f"{100 * max(month.margin, 0) / most_sold:.1f}",
        )
        for month in found
    ]
    context = {"rows": rows, "is_open": is_open, "is_client_there": not is_open}
    return render(request, "quoting/by_month.html", context)
