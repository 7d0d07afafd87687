"""Photometric files: several at once by their names, or for one product."""

import uuid
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from base.deeds import Refusal
from catalogue import photometric as files
from catalogue.models import PhotometricFile, Product
from catalogue.views.shared import must_keep, press, product_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What became of one file: the row it made, or why it was refused."""

    name: str
    row: PhotometricFile | None = None
    refused: str = ""


@require_http_methods(["GET", "HEAD", "POST"])
def photometric(request: HttpRequest) -> HttpResponse:
    """Drop many files: each goes to the product whose reference its name begins with."""
    must_keep(request)
    outcomes = _taken(request) if request.method == "POST" else []
    return render(request, "catalogue/photometric_files.html", {"outcomes": outcomes})


def _taken(request: HttpRequest) -> list[Outcome]:
    sent = request.FILES.getlist("files")[: files.MOST_FILES]
    products = files.matched([file.name for file in sent])
    found = []
    for file in sent:
        product = products.get(file.name)
        if product is None:
            why = _("No product has a reference that this name begins with.")
            found.append(Outcome(name=file.name, refused=why))
        else:
            found.append(_attached(request, product, file, feed_number=1))
    return found


def _attached(request: HttpRequest, product: Product, file: object, *, feed_number: int) -> Outcome:
    name = str(getattr(file, "name", ""))
    try:
        # One byte more than is read, so that a huge file never comes into memory.
        content = file.read(files.MOST_BYTES + 1)  # type: ignore[attr-defined]
        row = files.attach(
            by=request.user, product=product, name=name, content=content, feed_number=feed_number
        )
    except Refusal as refusal:
        return Outcome(name=name, refused=str(refusal))
    return Outcome(name=name, row=row)


@require_POST
def photometric_attach(
    request: HttpRequest, product_id: uuid.UUID, feed_number: int
) -> HttpResponse:
    must_keep(request)
    product = product_of(product_id)
    outcomes = [
        _attached(request, product, file, feed_number=feed_number)
        for file in request.FILES.getlist("files")[:1]
    ]
    context = {"outcomes": outcomes, "product": product}
    return render(request, "catalogue/photometric_files.html", context)


@require_POST
def photometric_remove(
    request: HttpRequest, product_id: uuid.UUID, feed_number: int
) -> HttpResponse:
    product = product_of(product_id)
    return press(
        request,
        deed=lambda: files.detach(by=request.user, product=product, feed_number=feed_number),
        onward=product.get_absolute_url(),
        said=_("The file is taken away; the light is estimated again."),
    )
