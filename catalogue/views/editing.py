"""Adding, changing, copying and discontinuing a product."""

import uuid

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from base.deeds import Refusal, Stale
from catalogue import facts, services
from catalogue.forms import CopyForm, DiscontinueForm, PictureForm
from catalogue.forms_product import ProductForms
from catalogue.kinds import Kind
from catalogue.models import Product
from catalogue.sheet import sheet_of
from catalogue.views.products import product_page
from catalogue.views.shared import must_keep, object_to, press, product_of, sent, today

PICTURE_MOST_B = 20 * 1024 * 1024


@require_safe
def product_kinds(request: HttpRequest) -> HttpResponse:
    """What kind of product is to be added."""
    must_keep(request)
    return render(request, "catalogue/kinds.html", {"kinds": Kind.choices})


@require_http_methods(["GET", "HEAD", "POST"])
def product_add(request: HttpRequest, kind: str) -> HttpResponse:
    must_keep(request)
    if kind not in Kind.values:
        raise Http404
    typed = ProductForms(kind=kind, data=request.POST if request.method == "POST" else None)
    if request.method == "POST" and typed.is_valid():
        try:
            added = services.add_product(sheet=typed.sheet(), **sent(request, versioned=False))
        except services.Objections as refusal:
            typed.object_to(refusal.problems)
        except Refusal as refusal:
            typed.basics.add_error(None, str(refusal))
        else:
            messages.success(request, _("%(name)s is added.") % {"name": added.name})
            return redirect(added)
    return _form_page(request, typed, kind_name=Kind(kind).label)


@require_http_methods(["GET", "HEAD", "POST"])
def product_edit(request: HttpRequest, product_id: uuid.UUID) -> HttpResponse:
    must_keep(request)
    product = product_of(product_id)
    stored = sheet_of(product)
    data = request.POST if request.method == "POST" else None
    typed = ProductForms(kind=product.kind, data=data, sheet=stored)
    context: dict[str, object] = {"product": product, "version": product.version}
    if request.method == "POST" and typed.is_valid():
        try:
            services.change_product(product=product, sheet=typed.sheet(), **sent(request))
        except Stale as stale:
            typed.basics.add_error(None, str(stale))
            now = sheet_of(product_of(product_id))
            context |= {"version": stale.row.version}
            context |= {"theirs": facts.differences(typed.sheet(), now)}
        except services.Objections as refusal:
            typed.object_to(refusal.problems)
        except Refusal as refusal:
            typed.basics.add_error(None, str(refusal))
        else:
            messages.success(request, _("%(name)s is saved.") % {"name": product.name})
            return redirect(product)
    return _form_page(request, typed, kind_name=product.get_kind_display(), **context)


def _form_page(request: HttpRequest, typed: ProductForms, **context: object) -> HttpResponse:
    whole = {"typed": typed, "product": None, "theirs": [], "version": None, **context}
    return render(request, "catalogue/product_form.html", whole)


@require_POST
def product_copy(request: HttpRequest, product_id: uuid.UUID) -> HttpResponse:
    must_keep(request)
    product = product_of(product_id)
    form = CopyForm(request.POST)
    if form.is_valid():
        try:
            made = services.copy_product(
                product=product, today=today(), **sent(request), **form.cleaned_data
            )
        except Refusal as refusal:
            object_to(form, refusal)
        else:
            messages.success(request, _("This is the copy. Change what differs."))
            return redirect("catalogue:product_edit", made.pk)
    return product_page(request, product, copy_form=form)


@require_POST
def product_discontinue(request: HttpRequest, product_id: uuid.UUID) -> HttpResponse:
    must_keep(request)
    product = product_of(product_id)
    form = DiscontinueForm(request.POST)
    if form.is_valid():
        try:
            services.discontinue(product=product, **sent(request), **form.cleaned_data)
        except Refusal as refusal:
            object_to(form, refusal)
        else:
            messages.success(request, _("%(name)s is discontinued.") % {"name": product.name})
            return redirect(product)
    return product_page(request, product_of(product_id), discontinue_form=form)


@require_POST
def product_sell_again(request: HttpRequest, product_id: uuid.UUID) -> HttpResponse:
    product: Product = product_of(product_id)
    return press(
        request,
        deed=lambda: services.sell_again(product=product, **sent(request)),
        onward=product.get_absolute_url(),
        said=_("%(name)s is sold again.") % {"name": product.name},
    )


@require_POST
def product_picture(request: HttpRequest, product_id: uuid.UUID) -> HttpResponse:
    """Put up another picture, or take it away."""
    must_keep(request)
    product = product_of(product_id)
    form = PictureForm(request.POST, request.FILES)
    content = None
    if "remove" in request.POST or form.is_valid():
        if "remove" not in request.POST:
            content = form.cleaned_data["picture"].read(PICTURE_MOST_B)
        try:
            services.change_picture(product=product, content=content, **sent(request))
        except Refusal as refusal:
            form.add_error("picture", str(refusal))
        else:
            messages.success(request, _("The picture is changed."))
            return redirect(product)
    return product_page(request, product, picture_form=form)
