"""Coming in and going out."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.views import LoginView, LogoutView
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from studio.security import throttle

LONGEST_PASSWORD = 200


class LoginForm(AuthenticationForm):
    """Name and password; a try beyond the limit ends before the password is hashed."""

    username = forms.CharField(
        label=_("Name"), max_length=150, widget=forms.TextInput(attrs={"autocomplete": "username", "autofocus": True})
    )
    password = forms.CharField(
        label=_("Password"),
        strip=False,
        max_length=LONGEST_PASSWORD,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )
    error_messages = {
        "invalid_login": _("This name and password do not belong together. Both mind capital letters."),
        "inactive": _("This login is switched off. Ask the owner of the studio."),
    }

    def clean(self) -> dict[str, Any]:
        """Count the try, then look at the password."""
        account, password = self.cleaned_data.get("username"), self.cleaned_data.get("password")
        if not account or not password or self.request is None:
            return super().clean()
        wait = throttle.take_turn(account, throttle.address_of(self.request), timezone.now())
        if wait is not None:
            minutes = throttle.minutes(wait)
            sentence = ngettext(
                "Too many tries. Wait %(minutes)d minute, then try again.",
                "Too many tries. Wait %(minutes)d minutes, then try again.",
                minutes,
            )
            raise forms.ValidationError(sentence % {"minutes": minutes}, code="throttled")
        cleaned = super().clean()
        throttle.forget(account)
        return cleaned


class Login(LoginView):
    """The login page."""

    template_name = "studio/login.html"
    authentication_form = LoginForm
    redirect_authenticated_user = True

    def form_invalid(self, form: LoginForm) -> HttpResponse:
        """Show the form again: 429 for too many tries, 400 for a wrong one."""
        throttled = any(error.code == "throttled" for error in form.non_field_errors().as_data())
        return self.render_to_response(self.get_context_data(form=form), status=429 if throttled else 400)


class Logout(LogoutView):
    """Going out, by POST only; the browser drops what it kept of the pages."""

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Log out and go to the login page."""
        response = super().post(request, *args, **kwargs)
        response.headers["Clear-Site-Data"] = '"cache"'
        return response
