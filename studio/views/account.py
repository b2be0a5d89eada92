"""One's own login: another password; and a studio of one's own."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.contrib.auth.views import PasswordChangeView
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse_lazy
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from studio.security import throttle
from studio.services.founding import open_studio
from studio.views.workshop_studio import time_zones


class Password(PasswordChangeView):
    """The old password and twice the new one."""

    template_name = "studio/password.html"
    success_url = reverse_lazy("home")

    def post(self, request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
        """Count the try before the old password is hashed, as at the login."""
        wait = throttle.take_turn(request.user.get_username(), throttle.address_of(request), timezone.now())
        if wait is not None:
            form = self.get_form_class()(request.user)
            words = {"minutes": throttle.minutes(wait)}
            text = _("Too many tries. Wait some %(minutes)d min, then try again.") % words
            return self.render_to_response(self.get_context_data(form=form, too_many=text), status=429)
        return super().post(request, *args, **kwargs)

    def form_valid(self, form: forms.Form) -> HttpResponse:
        """Say that it is done."""
        throttle.forget(self.request.user.get_username())
        messages.success(self.request, _("Your password is changed."))
        return super().form_valid(form)

    def form_invalid(self, form: forms.Form) -> HttpResponse:
        """Show what is wrong."""
        return self.render_to_response(self.get_context_data(form=form), status=400)


class StudioForm(forms.Form):
    """What a new studio needs at first."""

    name = forms.CharField(label=gettext_lazy("The studio’s name"), max_length=80)
    time_zone = forms.ChoiceField(label=gettext_lazy("Time zone"))

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["time_zone"].choices = [(z, z.replace("_", " ")) for z in time_zones()]


@require_http_methods(["GET", "HEAD", "POST"])
def studio_new(request: HttpRequest) -> HttpResponse:
    """Open a studio of one's own; its first hour comes next."""
    form = StudioForm(request.POST if request.method == "POST" else None, initial={"time_zone": "Europe/London"})
    if request.method == "POST" and form.is_valid():
        try:
            studio = open_studio(**form.cleaned_data, owner=request.user)
        except ValidationError as error:
            form.add_error(None, error)
        else:
            return redirect("studio:workshop_first", studio=studio.public_id)
    return render(request, "studio/studio_new.html", {"form": form}, status=400 if form.errors else 200)
