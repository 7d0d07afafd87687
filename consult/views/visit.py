"""What this visit shows: prices or none, and whether the client is there."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

from consult import client_view


@require_POST
def visit(request: HttpRequest) -> HttpResponse:
    """Show or hide prices for the visit; say that the client is away, or there again."""
    prices, client = request.POST.get("prices"), request.POST.get("client")
    if prices in {"show", "hide"}:
        client_view.show_prices(request, shown=prices == "show")
    if client in {"there", "away"}:
        client_view.say_client_is_there(request, is_there=client == "there")
    onward = request.POST.get("next", "")
    if not url_has_allowed_host_and_scheme(onward, {request.get_host()}):
        onward = "/projects/"
    return redirect(onward)
