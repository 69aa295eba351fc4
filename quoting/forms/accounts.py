"""What is typed at the door and on the pages about accounts."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

from quoting.models import User

LONGEST_PASSWORD = 200
PASSWORD_HELP = "At least 15 characters. A few words in a row are good and easy to keep in mind."  # noqa: S105 - no password


class SignInForm(forms.Form):
    """E-mail and password. Whether they are right is said by the view, in one sentence for every way of being wrong."""

    email = forms.EmailField(
        label="E-mail",
        max_length=254,
        widget=forms.EmailInput(attrs={"autocomplete": "username", "autocapitalize": "none", "spellcheck": "false"}),
    )
    password = forms.CharField(
        label="Password",
        strip=False,
        max_length=LONGEST_PASSWORD,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )


class CodeForm(forms.Form):
    """Six digits from a phone, or one of the spare codes."""

    code = forms.CharField(
        label="Code",
        max_length=16,
        help_text="Six digits from your phone, or one of your spare codes.",
        widget=forms.TextInput(attrs={"autocomplete": "one-time-code", "inputmode": "text", "autocapitalize": "none"}),
    )

    def clean_code(self) -> str:
        return "".join(self.cleaned_data["code"].split()).lower()


class NewPasswordForm(forms.Form):
    """The old password once, the new one twice."""

    old = forms.CharField(
        label="Your password now",
        strip=False,
        max_length=LONGEST_PASSWORD,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )
    new = forms.CharField(
        label="New password",
        strip=False,
        max_length=LONGEST_PASSWORD,
        help_text=PASSWORD_HELP,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    again = forms.CharField(
        label="New password, once more",
        strip=False,
        max_length=LONGEST_PASSWORD,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def __init__(self, user: User, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.user = user

    def clean_old(self) -> str:
        old: str = self.cleaned_data["old"]
        if not self.user.check_password(old):
            raise ValidationError("This is not your password. Mind capitals and the language of the keyboard.")
        return old

    def clean_new(self) -> str:
        new: str = self.cleaned_data["new"]
        validate_password(new, self.user)
        return new

    def clean_again(self) -> str:
        again: str = self.cleaned_data["again"]
        if "new" in self.cleaned_data and again != self.cleaned_data["new"]:
            raise ValidationError("The two new passwords differ. Type the new one once more.")
        return again


class PersonForm(forms.ModelForm):  # type: ignore[type-arg]
    """Somebody who may sign in."""

    password = forms.CharField(
        label="First password",
        strip=False,
        required=False,
        max_length=LONGEST_PASSWORD,
        help_text="Leave it empty, and a link to set one goes out by mail. Or write one here and tell it yourself. "
        + PASSWORD_HELP,
        widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
    )

    class Meta:
        model = User
        fields = ("name", "email", "role")
        labels = {"name": "Name", "email": "E-mail", "role": "Role"}
        help_texts = {
            "email": "Used to sign in.",
            "role": "Owner and office see prices and costs; the crew never does. Only the owner sees this page.",
        }
        widgets = {"role": forms.RadioSelect}

    def clean_email(self) -> str:
        email: str = self.cleaned_data["email"].lower()
        if User.objects.filter(email__iexact=email).exclude(pk=self.instance.pk).exists():
            raise ValidationError("Somebody of the firm has this address already. Each person needs his own.")
        return email

    def clean_password(self) -> str:
        password: str = self.cleaned_data["password"]
        if password:
            validate_password(password, self.instance)
        return password


class EditPersonForm(PersonForm):
    """The same person, later."""

    is_active = forms.BooleanField(
        label="May sign in", required=False, help_text="Without this, his work stays and his sessions end at once."
    )
    forget_factor = forms.BooleanField(
        label="Forget the second factor",
        required=False,
        help_text="For a lost phone: a new one is set up at the next sign-in.",
    )

    field_order = ("name", "email", "role", "is_active", "password", "forget_factor")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        password = self.fields["password"]
        password.label, password.required = "New password", False
        password.help_text = "Only if the old one is lost. " + PASSWORD_HELP
        self.fields["is_active"].initial = self.instance.is_active
