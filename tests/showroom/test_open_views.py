"""Everything is closed by default. Opening a view shows here."""

import pytest
from django.urls import URLPattern, URLResolver, get_resolver

OPEN = {
    # Health, for whatever watches the process.
    "health_live",
    "health_ready",
    # The log-in and the way back to a lost password.
    "account_login",
    "account_logout",
    "account_signup",
    "account_inactive",
    "account_reset_password",
    "account_reset_password_done",
    "account_reset_password_from_key",
    "account_reset_password_from_key_done",
    "account_confirm_email",
    "account_email_verification_sent",
    "account_confirm_login_code",
    # The business's mark and the look of this device, for the log-in and the links.
    "base:mark",
    "base:look",
    # What a link opens, by its secret.
    "quoting:offer",
    "consult:visit_form",
    "consult:visit_wishes",
    "consult:visit_room_add",
    "consult:visit_room_remove",
    "consult:visit_files_add",
    "consult:visit_file_remove",
    "consult:visit_send",
    "consult:visit_calendar",
    "quoting:offer_document",
    "quoting:offer_picture",
    "quoting:offer_receipt",
    "quoting:offer_accept",
    "quoting:offer_ask",
    "quoting:offer_decline",
}


def _views(resolver, prefix=""):
    for entry in resolver.url_patterns:
        if isinstance(entry, URLResolver):
            space = f"{prefix}{entry.namespace}:" if entry.namespace else prefix
            yield from _views(entry, space)
        elif isinstance(entry, URLPattern):
            yield f"{prefix}{entry.name}", entry.callback


def test_only_these_views_are_open():
    found = {
        name for name, view in _views(get_resolver()) if not getattr(view, "login_required", True)
    }
    assert found <= OPEN, found - OPEN
    expected = {"health_live", "health_ready", "base:mark", "quoting:offer", "quoting:offer_accept"}
    assert expected <= found
    assert "consult:visit_calendar" in found


@pytest.mark.django_db
def test_a_stranger_is_sent_to_the_log_in_from_every_plain_page(client):
    for path in ("/", "/projects/", "/clients/", "/quotes/", "/business/", "/style/"):
        answer = client.get(path)
        assert answer.status_code == 302, path
        assert answer["Location"].startswith("/account/login/"), path
