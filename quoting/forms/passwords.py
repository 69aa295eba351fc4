"""What is typed by somebody who has lost his password."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth.forms import SetPasswordForm
from django.core.validators import MaxLengthValidator

from quoting.forms.accounts import LONGEST_PASSWORD, PASSWORD_HELP


class LostPasswordForm(forms.Form):
    """The address that somebody signs in with."""

    email = forms.EmailField(
        label="E-mail",
        max_length=254,
        help_text="The one that you sign in with.",
        widget=forms.EmailInput(attrs={"autocomplete": "username", "autocapitalize": "none", "spellcheck": "false"}),
    )


class ChosenPasswordForm(SetPasswordForm):  # type: ignore[type-arg]
    """A new password, twice."""

    error_messages = {"password_mismatch": "The two passwords differ. Type the new one once more."}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        new, again = self.fields["new_password1"], self.fields["new_password2"]
        new.label, new.help_text = "New password", PASSWORD_HELP
        again.label, again.help_text = "New password, once more", ""
        for field in (new, again):
            # the door takes no longer one, so a longer one would lock its owner out
            field.validators.append(MaxLengthValidator(LONGEST_PASSWORD))
            field.widget.attrs["maxlength"] = str(LONGEST_PASSWORD)
