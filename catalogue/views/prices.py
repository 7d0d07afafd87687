"""Prices of a product, from a day on."""

import uuid

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from base.deeds import Refusal
from catalogue import services
from catalogue.forms import PriceForm
from catalogue.models import ProductPrice
from catalogue.services import Price
from catalogue.views.products import product_page
from catalogue.views.shared import must_keep, object_to, press, product_of, sent, today


@require_POST
def price_set(request: HttpRequest, product_id: uuid.UUID) -> HttpResponse:
    must_keep(request)
    product = product_of(product_id)
    form = PriceForm(request.POST)
    if form.is_valid():
        try:
            services.set_price(
                product=product, price=Price(**form.cleaned_data), today=today(), **sent(request)
            )
        except Refusal as refusal:
            object_to(form, refusal)
        else:
            messages.success(request, _("The price is set."))
            return redirect(product)
    return product_page(request, product_of(product_id), price_form=form)


@require_POST
def price_remove(request: HttpRequest, product_id: uuid.UUID, price_id: uuid.UUID) -> HttpResponse:
    product = product_of(product_id)
    price = get_object_or_404(ProductPrice, pk=price_id, product=product)
    return press(
        request,
        deed=lambda: services.remove_price(
            product=product, price=price, today=today(), **sent(request)
        ),
        onward=product.get_absolute_url(),
        said=_("The price to come is taken back."),
    )
