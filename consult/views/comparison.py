"""Scene control against ordinary switches, room group by room group; prices only where opened."""

import uuid
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from base.models import Business
from base.requests import deed_key
from catalogue.models import ProductPrice
from consult import words
from consult.comparison import compare, costs
from consult.derived import planned, read_house
from consult.forms.plan import PiecesForm
from consult.models import Project, SwitchingPiece
from consult.plan_cost import money
from consult.planning import minor
from consult.services import switching as services
from consult.views.shared import project_of


def _context(project: Project, *, with_money: bool) -> dict[str, Any]:
    house = read_house(project)
    plan = planned(house)
    pieces = list(SwitchingPiece.objects.select_related("product"))
    led_w = next((float(row.led_w) for row in pieces if row.led_w), None)
    rows = compare(house, plan, led_w=led_w)
    context = {
        "project": project,
        "rows": [(each, None) for each in rows],
        "with_money": with_money,
        "offers_switches": any(each.is_by_switches for each in house.design.options),
    }
    if with_money:
        business = Business.objects.current()
        prices = _prices(pieces, business.currency)
        context["rows"] = [
            (each, _money(costs(house, plan, each, prices), business)) for each in rows
        ]
    return context


def _prices(pieces: list[SwitchingPiece], currency: str) -> dict[str, int]:
    day = timezone.localdate()
    found = ProductPrice.objects.filter(
        product__in=[row.product_id for row in pieces], from_day__lte=day
    ).order_by("from_day")
    sells = {price.product_id: price.sell for price in found}
    return {
        row.code: minor(sells[row.product_id], currency)
        for row in pieces
        if row.product_id in sells
    }


def _money(sides: Any, business: Business) -> dict[str, Any] | None:
    if sides is None:
        return None
    return {
        "switches": money(sides.conventional_minor, business),
        "planned": money(sides.planned_minor, business),
        "cheaper": sides.cheaper,
        "unpriced": [words.piece(code) for code in sides.unpriced],
    }


@require_safe
def comparison(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    context = _context(project_of(request, project_id), with_money=False)
    return render(request, "consult/comparison.html", context)


@require_POST
def comparison_cost(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    """The same page with what both ways sell for: only on a press."""
    context = _context(project_of(request, project_id), with_money=True)
    return render(request, "consult/comparison.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def pieces(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    """Which products of the catalogue price plates, dimmers and boxes."""
    project = project_of(request, project_id)
    back = reverse("consult:comparison", args=[project.pk])
    codes = {code: str(label) for code, label in words.PIECES.items()}
    suggested = {code: product.pk for code, product in services.suggestions().items()}
    form = PiecesForm(request.POST or None, codes=codes, suggested=suggested)
    if request.method == "POST" and form.is_valid():
        values = dict(form.cleaned_data)
        services.pieces_set(
            by=request.user, key=deed_key(request), led_w=values.pop("led_w"), products=values
        )
        return redirect(back)
    context = {"project": project, "form": form, "back": back}
    context["title"] = _("Pieces of ordinary switching")
    return render(request, "consult/house_form.html", context)
