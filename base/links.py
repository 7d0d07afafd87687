"""The link by which somebody chooses their own password."""

from allauth.account.forms import default_token_generator
from allauth.account.utils import user_pk_to_url_str
from django.http import HttpRequest
from django.urls import reverse

from base.models import Person


def password_link(request: HttpRequest, person: Person) -> str:
    """A link that works once and for the days that PASSWORD_RESET_TIMEOUT allows."""
    path = reverse(
        "account_reset_password_from_key",
        kwargs={
            "uidb36": user_pk_to_url_str(person),
            "key": default_token_generator.make_token(person),
        },
    )
    return request.build_absolute_uri(path)
