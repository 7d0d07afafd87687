"""Pages go compressed to whoever takes that; documents go as they are."""

import gzip

import pytest
from django.http import HttpResponse
from django.test import RequestFactory
from django.urls import reverse

from base.middleware import SendTextCompressed

pytestmark = pytest.mark.django_db


def test_a_page_goes_compressed_where_that_is_taken(designer_client):
    page = reverse("home")
    plain = designer_client.get(page)
    small = designer_client.get(page, headers={"Accept-Encoding": "gzip"})
    assert "Content-Encoding" not in plain.headers
    assert small["Content-Encoding"] == "gzip"
    assert len(small.content) < len(plain.content) / 2
    assert b"</html>" in gzip.decompress(small.content)


@pytest.mark.parametrize("kind", ["application/pdf", "image/png", "application/octet-stream"])
def test_what_is_no_page_goes_as_it_is(kind):
    body = b"x" * 4000
    answer = SendTextCompressed(lambda request: HttpResponse(body, content_type=kind))(
        RequestFactory().get("/", headers={"Accept-Encoding": "gzip"})
    )
    assert answer.content == body
    assert "Content-Encoding" not in answer.headers
