"""How mail leaves is told by the environment: SMTP, or a provider's interface by django-anymail."""

import pytest
from anymail.backends.base import AnymailBaseBackend, BasePayload
from anymail.message import AnymailRecipientStatus
from anymail.utils import get_anymail_setting
from django.core.exceptions import ImproperlyConfigured
from django.core.mail import EmailMessage

from base import outbox
from base.models import Outbox
from showroom.settings import mailer_options
from tests.base.test_outbox import a_letter, hello  # noqa: F401 - a fixture

SENT: list[tuple[str, dict]] = []


class Payload(BasePayload):
    def init_payload(self):
        self.told = {}

    def set_to(self, addresses):
        self.told["to"] = [each.addr_spec for each in addresses]

    def set_subject(self, subject):
        self.told["subject"] = subject

    def set_extra_headers(self, headers):
        self.told["message_id"] = headers["Message-ID"]

    def set_from_email(self, email): ...

    def set_text_body(self, body): ...

    def set_reply_to(self, emails): ...

    def set_attachments(self, attachments): ...


class EmailBackend(AnymailBaseBackend):
    """A provider's interface as django-anymail speaks them, without the network."""

    esp_name = "Sample"

    def __init__(self, **kwargs):
        self.api_key = get_anymail_setting("api_key", esp_name="Sample", kwargs=kwargs)
        super().__init__(**kwargs)

    def build_message_payload(self, message, defaults):
        return Payload(message, defaults, self)

    def post_to_esp(self, payload, message):
        SENT.append((self.api_key, payload.told))
        return payload.told

    def parse_recipient_status(self, response, payload, message):
        status = AnymailRecipientStatus(message_id="1", status="queued")
        return dict.fromkeys(response["to"], status)


@pytest.mark.django_db
def test_a_letter_goes_through_a_provider_named_in_the_environment(settings):
    given = {
        "MAILER_BACKEND": "tests.base.test_mail_backends.EmailBackend",
        "MAILER_OPTIONS": '{"api_key": "secret"}',
    }
    options = mailer_options(given)
    settings.MAILERS = {"default": {"BACKEND": given["MAILER_BACKEND"], "OPTIONS": options}}
    SENT.clear()
    row = a_letter()
    assert outbox.deliver_due() == 1
    ((key, told),) = SENT
    assert key == "secret"
    assert told == {
        "to": ["ida@house.example"], "subject": "For Ida", "message_id": row.message_id,
    }  # fmt: skip
    assert Outbox.objects.get().state == "sent"


def test_a_provider_without_its_key_says_so(settings):
    settings.MAILERS = {
        "default": {"BACKEND": "tests.base.test_mail_backends.EmailBackend", "OPTIONS": {}}
    }
    with pytest.raises(ImproperlyConfigured, match=r"(?i)api_key"):
        EmailMessage("s", "b", to=["ida@house.example"]).send()


def test_smtp_takes_its_own_settings_and_the_console_none():
    smtp = {"MAILER_BACKEND": "django.core.mail.backends.smtp.EmailBackend", "MAILER_HOST": "m"}
    assert mailer_options(smtp) == {
        "host": "m", "port": 587, "username": "", "password": "", "use_tls": True,
    }  # fmt: skip
    assert mailer_options({}) == {}


@pytest.mark.parametrize("text", ["api_key=1", "[1]", '"x"'])
def test_options_that_are_no_json_object_are_refused_at_the_start(text):
    with pytest.raises(ImproperlyConfigured, match="MAILER_OPTIONS"):
        mailer_options({"MAILER_OPTIONS": text})
