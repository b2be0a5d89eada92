"""Who may come in: logins of the studio, invitations, one's own password, and leaving."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone

from studio.models import Invitation, Member, Person, Studio
from studio.queries.choices import choices_of
from studio.services.commands import SECRET, run_command
from studio.views.door import studio_page
from studio.views.filled import filled, things
from studio.views.refused import take_refused
from studio.views.workshop import part


@studio_page
def workshop_members(request: HttpRequest, studio: Studio) -> HttpResponse:
    """The members and the invitations that are out."""
    return _page(request, studio, {})


@studio_page(methods=("POST",))
def workshop_invite(request: HttpRequest, studio: Studio) -> HttpResponse:
    """Make an invitation and show its link: this one time, so that it is answered with the page itself."""
    payload = {k: request.POST.get(k, "") for k in ("role", "person")}
    answer = run_command(
        studio=studio, user=request.user, client_id=request.POST.get("id", ""), kind="invite", payload=payload,
        now=timezone.now(),
    )  # fmt: skip
    token = answer.data.get(SECRET, "")
    link = request.build_absolute_uri(reverse("join", kwargs={"token": token})) if token else ""
    response = _page(request, studio, {"answer": answer, "link": link})
    response.status_code = answer.status
    response.headers["Cache-Control"] = "no-store"
    return response


def _page(request: HttpRequest, studio: Studio, more: dict[str, Any]) -> HttpResponse:
    refusal = take_refused(request, studio, "member_save")
    rows = Member.objects.filter(studio=studio, left_at=None).select_related("user", "person").order_by("pk")
    open_ = Invitation.objects.filter(
        studio=studio, accepted_at=None, withdrawn_at=None, expires_at__gt=timezone.now()
    ).select_related("person")
    context = {
        "members": things(refusal, "member_save", "member", rows, _member), "invitations": open_,
        "roles": Member.Role.choices, "people": choices_of(Person, studio),
        "invite": filled(None, "invite", {"role": "maker", "person": ""}), **more,
    }  # fmt: skip
    return part(request, studio, "studio/workshop_members.html", "", context)


def _member(row: Member) -> dict[str, Any]:
    return {"role": row.role, "person": row.person.public_id if row.person else ""}
