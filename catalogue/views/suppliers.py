"""Suppliers and families."""

import uuid

from django.db.models import Count
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from catalogue import services
from catalogue.forms import FamilyForm, SupplierForm
from catalogue.forms_product import shown
from catalogue.models import Family, Supplier
from catalogue.views.shared import deed_page, must_keep, sent


@require_safe
def suppliers(request: HttpRequest) -> HttpResponse:
    """Who we buy from: for people who keep prices only."""
    must_keep(request)
    everybody = Supplier.objects.annotate(count=Count("products")).order_by("name")
    return render(request, "catalogue/suppliers.html", {"suppliers": everybody})


@require_http_methods(["GET", "HEAD", "POST"])
def supplier_add(request: HttpRequest) -> HttpResponse:
    return deed_page(
        request,
        form=SupplierForm(request.POST or None),
        deed=lambda fields: services.add_supplier(fields=fields, **sent(request, versioned=False)),
        onward=lambda _supplier: reverse("catalogue:suppliers"),
        template="catalogue/small_form.html",
        context={"title": _("Add a supplier"), "up": "suppliers", "version": None},
        said=_("The supplier is added."),
    )


@require_http_methods(["GET", "HEAD", "POST"])
def supplier(request: HttpRequest, supplier_id: uuid.UUID) -> HttpResponse:
    must_keep(request)
    row = get_object_or_404(Supplier, pk=supplier_id)
    initial = shown({name: getattr(row, name) for name in SupplierForm.base_fields})
    return deed_page(
        request,
        form=SupplierForm(request.POST or None, initial=initial),
        deed=lambda fields: services.change_supplier(supplier=row, fields=fields, **sent(request)),
        onward=lambda _supplier: reverse("catalogue:suppliers"),
        template="catalogue/small_form.html",
        context={"title": row.name, "up": "suppliers", "version": row.version},
        said=_("The supplier is saved."),
    )


@require_safe
def families(request: HttpRequest) -> HttpResponse:
    """Families with how many variants each has."""
    # Named here: an aggregate drops the order of the model.
    every = Family.objects.annotate(count=Count("products")).order_by("name")
    return render(request, "catalogue/families.html", {"families": every})


@require_http_methods(["GET", "HEAD", "POST"])
def family_add(request: HttpRequest) -> HttpResponse:
    return deed_page(
        request,
        form=FamilyForm(request.POST or None),
        deed=lambda fields: services.add_family(**fields, **sent(request, versioned=False)),
        onward=lambda _family: reverse("catalogue:families"),
        template="catalogue/small_form.html",
        context={"title": _("Add a family"), "up": "families", "version": None},
        said=_("The family is added."),
    )


@require_http_methods(["GET", "HEAD", "POST"])
def family(request: HttpRequest, family_id: uuid.UUID) -> HttpResponse:
    must_keep(request)
    row = get_object_or_404(Family, pk=family_id)
    return deed_page(
        request,
        form=FamilyForm(request.POST or None, initial={"name": row.name}),
        deed=lambda fields: services.rename_family(family=row, **fields, **sent(request)),
        onward=lambda _family: reverse("catalogue:families"),
        template="catalogue/small_form.html",
        context={"title": row.name, "up": "families", "version": row.version},
        said=_("The family is saved."),
    )
