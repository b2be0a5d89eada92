"""The link of an invitation: come in with the login that one has, or with a new one."""

from __future__ import annotations

from django.contrib.auth import login
from django.contrib.auth.forms import BaseUserCreationForm
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext_lazy as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from studio.models import Studio
from studio.services.commands_members import accept_invitation, open_invitation
from studio.services.joining import NoInvitation, join_as_new


class NewLogin(BaseUserCreationForm):
    """A name and a password, typed twice."""

    class Meta:
        model = User
        fields = ("username",)
        labels = {"username": _("Your name to log in with")}

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["username"].help_text = ""
        self.fields["password1"].label, self.fields["password2"].label = _("Password"), _("The same once more")
        self.fields["password1"].help_text = _("At least ten characters; four plain words do well.")
        self.fields["password2"].help_text = ""


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def join(request: HttpRequest, token: str) -> HttpResponse:
    """Show which studio invites; on POST join it. A link that holds no more says so, whoever asks."""
    invitation = open_invitation(token, timezone.now())
    if invitation is None:
        return render(request, "studio/join.html", {"gone": True}, status=404)
    known = request.user.is_authenticated
    # Only the holder of a link that still holds gets as far as the hashing of a password.
    form = NewLogin(request.POST if request.method == "POST" and not known else None)
    if request.method == "POST" and (known or form.is_valid()):
        return _joined(request, token, form)
    context = {"invitation": invitation, "form": form, "known": known}
    return render(request, "studio/join.html", context, status=400 if form.errors else 200)


def _joined(request: HttpRequest, token: str, form: NewLogin) -> HttpResponse:
    if request.user.is_authenticated:
        studio = accept_invitation(token=token, user=request.user, now=timezone.now())
    else:
        studio = _as_new(request, token, form)
    if studio is None:
        return render(request, "studio/join.html", {"gone": True}, status=404)
    return redirect("studio:today", studio=studio.public_id)


def _as_new(request: HttpRequest, token: str, form: NewLogin) -> Studio | None:
    said = form.cleaned_data
    try:
        user, studio = join_as_new(
            token=token, user_name=said["username"], password=said["password1"], now=timezone.now()
        )
    except NoInvitation:
        return None
    login(request, user)
    return studio
