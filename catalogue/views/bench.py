"""What was tried together on the bench, for everybody who works here."""

import uuid

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from catalogue import bench_services as services
from catalogue.bench_models import BenchTest
from catalogue.forms import BenchForm
from catalogue.forms_product import shown
from catalogue.views.shared import deed_page, press, sent, today


@require_safe
def bench(request: HttpRequest) -> HttpResponse:
    return render(request, "catalogue/bench.html", {"rows": BenchTest.objects.with_names()})


@require_http_methods(["GET", "HEAD", "POST"])
def bench_add(request: HttpRequest) -> HttpResponse:
    """Keep what was tried; a finding opens this with the pair it asks about."""
    initial = {"tried_on": today(), "pieces": 1}
    initial |= {name: request.GET[name] for name in ("load", "receiver") if name in request.GET}
    return deed_page(
        request,
        form=BenchForm(request.POST or None, initial=initial),
        deed=lambda fields: services.add_bench_test(
            fields=fields, today=today(), **sent(request, versioned=False)
        ),
        onward=lambda _row: reverse("catalogue:bench"),
        template="catalogue/bench_form.html",
        context={"title": _("Keep what was tried"), "version": None},
        said=_("It is kept."),
        is_open=True,
    )


@require_http_methods(["GET", "HEAD", "POST"])
def bench_change(request: HttpRequest, test_id: uuid.UUID) -> HttpResponse:
    row = get_object_or_404(BenchTest.objects.with_names(), pk=test_id)
    initial = shown({name: getattr(row, name) for name in BenchForm.base_fields})
    return deed_page(
        request,
        form=BenchForm(request.POST or None, initial=initial),
        deed=lambda fields: services.change_bench_test(
            row=row, fields=fields, today=today(), **sent(request)
        ),
        onward=lambda _row: reverse("catalogue:bench"),
        template="catalogue/bench_form.html",
        context={"title": _("What was tried"), "version": row.version, "row": row},
        said=_("It is kept."),
        is_open=True,
    )


@require_POST
def bench_remove(request: HttpRequest, test_id: uuid.UUID) -> HttpResponse:
    row = get_object_or_404(BenchTest, pk=test_id)
    return press(
        request,
        deed=lambda: services.remove_bench_test(row=row, **sent(request, versioned=False)),
        onward=reverse("catalogue:bench"),
        said=_("It is removed."),
        is_open=True,
    )
