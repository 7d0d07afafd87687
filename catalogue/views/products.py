"""The list of products, one product, and suggestions while somebody types."""

import uuid

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe
from django.views.decorators.vary import vary_on_headers

from catalogue import facts, search
from catalogue.forms import CopyForm, DiscontinueForm, FindForm, PictureForm, PriceForm
from catalogue.kinds import Kind
from catalogue.models import Product
from catalogue.showing import shows_prices
from catalogue.uses import projects_using
from catalogue.views.shared import product_of, today

PAGE = 50
SUGGESTED = 12


@require_safe
@vary_on_headers("HX-Request")
def products(request: HttpRequest) -> HttpResponse:
    """The list: by words, kind and state, fifty at a time."""
    form = FindForm(request.GET)
    form.is_valid()
    asked = {name: form.cleaned_data.get(name, "") for name in form.fields}
    context = {"find": form, **_listed(asked, request.GET.get("page"))}
    context |= {"shows_prices": shows_prices(request), "today": today()}
    for product in context["page"]:
        product.price_today = product.price_on(context["today"])
        product.brief = facts.brief(product)
    template = "catalogue/products.html" + ("#rows" if request.htmx else "")
    return render(request, template, context)


def _listed(asked: dict[str, str], page: str | None) -> dict[str, object]:
    is_discontinued = asked["state"] == "discontinued"
    kinds = [asked["kind"]] if asked["kind"] else []
    found = None
    if search.split(asked["q"]):
        found = search.search(asked["q"], kinds=kinds, is_discontinued=is_discontinued)
        listed = Paginator(found.ids, PAGE).get_page(page)
    else:
        rows = Product.objects.filter(is_discontinued=is_discontinued)
        rows = rows.filter(kind__in=kinds) if kinds else rows
        # Keys alone, which the index holds: a late page would else read every row before it.
        keys = rows.order_by("name", "reference").values_list("pk", flat=True)
        listed = Paginator(keys, PAGE).get_page(page)
    listed.object_list = Product.objects.for_list().in_order(list(listed.object_list))
    return {"page": listed, "found": found, "asked": asked}


@require_safe
def product(request: HttpRequest, product_id: uuid.UUID) -> HttpResponse:
    return product_page(request, product_of(product_id))


def product_page(request: HttpRequest, product: Product, **bound: object) -> HttpResponse:
    """One product with all that is known of it. `bound` are forms that were refused."""
    day = today()
    keeps = request.user.keeps_prices
    current = product.price_on(day)
    context = {
        "product": product,
        "keeps": keeps,
        "basics": facts.basics(product),
        "technical": facts.technical(product),
        "feeds": facts.feeds(product),
        "limits": product.receiver.limits.all() if product.kind == Kind.RECEIVER else [],
        "price": current,
        "prices": [
            (price, price == current, price.from_day > day) for price in product.prices.all()
        ],
        "shows_prices": keeps or shows_prices(request),
        "uses": projects_using(product),
        "part_of": [part.product for part in product.part_of.select_related("product")],
        "price_form": PriceForm(initial={"from_day": day}),
        "copy_form": CopyForm(initial={"name": product.name}),
        "discontinue_form": DiscontinueForm(),
        "picture_form": PictureForm(),
        **bound,
    }
    return render(request, "catalogue/product.html", context)


@require_safe
def suggest(request: HttpRequest) -> HttpResponse:
    """A region of products to choose from: ?q=words&kinds=fitting,tape&field=product.

    The chosen one is sent as the field's value, its key. Never a cost.
    """
    kinds = [kind for kind in request.GET.get("kinds", "").split(",") if kind in Kind.values]
    field = request.GET.get("field", "product")
    field = field if field.replace("-", "_").isidentifier() else "product"
    words = request.GET.get("q", "")[:200]
    found = search.find(words, kinds=kinds, limit=SUGGESTED) if search.split(words) else []
    for each in found:
        each.price_today = each.price_on(today())
        each.brief = facts.brief(each)
    context = {
        "found": found,
        "words": words,
        "field": field,
        "shows_prices": shows_prices(request),
    }
    return render(request, "catalogue/suggest.html", context)
