"""Middleware of our own."""

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.middleware.gzip import GZipMiddleware
from django.shortcuts import resolve_url

from base import precedence


def move_whole_page_to_login(
    get_response: Callable[[HttpRequest], HttpResponseBase],
) -> Callable[[HttpRequest], HttpResponseBase]:
    """An expired session moves the whole page to the log-in, not the region that asked."""

    def middleware(request: HttpRequest) -> HttpResponseBase:
        response = get_response(request)
        location = response.headers.get("Location", "")
        if (
            response.status_code == 302
            and request.headers.get("HX-Request") == "true"
            and location.split("?")[0] == resolve_url(settings.LOGIN_URL)
        ):
            page = request.headers.get("HX-Current-URL", "/")
            path = "/" + page.split("/", 3)[3] if page.count("/") >= 3 else "/"
            moved = HttpResponse(status=200)
            moved["HX-Redirect"] = f"{resolve_url(settings.LOGIN_URL)}?next={path}"
            return moved
        return response

    return middleware


def let_edits_go_first(
    get_response: Callable[[HttpRequest], HttpResponseBase],
) -> Callable[[HttpRequest], HttpResponseBase]:
    """Requests that only read stand aside for those that change something (`base.precedence`).

    Files may come slowly over a poor line: nobody stands aside for them.
    """

    def middleware(request: HttpRequest) -> HttpResponseBase:
        if request.method in {"GET", "HEAD"}:
            with precedence.patient():
                return get_response(request)
        if request.content_type == "multipart/form-data":
            return get_response(request)
        with precedence.first():
            return get_response(request)

    return middleware


class SendTextCompressed(GZipMiddleware):
    """Pages and parts of pages go compressed; files, pictures and documents go as they are.

    A response gets a random length besides, so that its size tells nothing of the secrets in it.
    """

    def process_response(
        self, request: HttpRequest, response: HttpResponseBase
    ) -> HttpResponseBase:
        kind = response.headers.get("Content-Type", "").partition(";")[0]
        if kind not in {"text/html", "application/json"}:
            return response
        return super().process_response(request, response)
