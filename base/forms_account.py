"""Log-in and passwords, in our own words."""

from typing import Any

from allauth.account import forms as account
from django.utils.translation import gettext_lazy as _


class LogInForm(account.LoginForm):  # type: ignore[misc]
    """The link to a new password stands beside the button, so the field needs no help."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _plain(self)
        self.fields["login"].label = _("E-mail")
        self.fields["password"].help_text = ""


class ResetForm(account.ResetPasswordForm):  # type: ignore[misc]
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _plain(self)
        self.fields["email"].label = _("E-mail")


class ChooseForm(account.ResetPasswordKeyForm):  # type: ignore[misc]
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _plain(self)


class ChangeForm(account.ChangePasswordForm):  # type: ignore[misc]
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _plain(self)


def _plain(form: Any) -> None:
    """No placeholders: they vanish when needed, and repeat the label."""
    for field in form.fields.values():
        field.widget.attrs.pop("placeholder", None)
