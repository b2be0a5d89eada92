"""The command address: where every form and phone of a studio posts what it wants done."""

from __future__ import annotations

import datetime as dt
import json
from typing import Any
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect, JsonResponse, QueryDict
from django.shortcuts import render
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _

from studio.models import Studio
from studio.offline import PERSON_HEADER, person_key
from studio.security.middleware import ask_to_log_in
from studio.services.answers import DONE, UNCLEAR, Answer
from studio.services.commands import LONGEST_AGO, run_command
from studio.services.fields import Fault, instant, settle
from studio.views.door import studio_page
from studio.views.refused import keep_refused

LARGEST = 256 * 1024  # bytes of a payload
TOO_LARGE = 413
OURS = {"id", "kind", "payload", "recorded_at", "sent_at", "next", "stay", "when", "csrfmiddlewaretoken"}


@studio_page(methods=("POST",))
def do(request: HttpRequest, studio: Studio) -> HttpResponse:
    """Run one command and answer as it was asked: JSON, a note for a part of a page, or the next page."""
    if _is_somebody_else(request):
        return ask_to_log_in(request)
    if _length(request) > LARGEST:
        return _too_large(request, studio)
    fields = _json_body(request) if request.content_type == "application/json" else _form_body(request.POST)
    answer = Answer(UNCLEAR, _("This could not be read. Please open the page again.")) if fields is None else (
        _run(request, studio, fields)
    )  # fmt: skip
    if "application/json" in request.headers.get("Accept", ""):
        return _as_data(request, studio, answer, fields)
    if request.headers.get("HX-Request"):
        return render(request, "studio/_said.html", {"answer": answer, "studio": studio}, status=_for_htmx(answer))
    return _next_page(request, studio, answer, fields)


def _is_somebody_else(request: HttpRequest) -> bool:
    """What a phone kept is sent by the one who recorded it, or not at all."""
    said = request.headers.get(PERSON_HEADER, "")
    return bool(said) and said != person_key(request.user)


def _length(request: HttpRequest) -> int:
    said = request.META.get("CONTENT_LENGTH") or "0"
    return int(said) if str(said).isdecimal() else 0


def _too_large(request: HttpRequest, studio: Studio) -> HttpResponse:
    answer = Answer(TOO_LARGE, _("This is too large to be taken. Nothing was changed. Send it in parts."))
    if "application/json" in request.headers.get("Accept", ""):
        return JsonResponse(answer.as_dict(), status=answer.status)
    return _next_page(request, studio, answer, None)


def _as_data(request: HttpRequest, studio: Studio, answer: Answer, fields: dict[str, Any] | None) -> HttpResponse:
    """The answer as JSON, with the id that it is about; ``X-Tell: page`` has the next page say it, too."""
    data = answer.as_dict()
    if fields:
        data["id"] = fields["command"]["client_id"]
        if request.headers.get("X-Tell") == "page":
            data["next"] = _tell(request, studio, answer, fields)
    return JsonResponse(data, status=answer.status)


def _run(request: HttpRequest, studio: Studio, fields: dict[str, Any]) -> Answer:
    """Do the command. A person who records it later may have said when it happened, by the studio's own clock."""
    command, now = fields["command"], timezone.now()
    if fields["when"]:
        try:
            happened = settle(instant(fields["when"]), ZoneInfo(studio.time_zone))
        except Fault as fault:
            return Answer(UNCLEAR, _("When was that?"), errors={"when": str(fault)})
        if not now - LONGEST_AGO <= happened <= now:
            told = {"when": _("Enter a time within the last 14 days.")}
            return Answer(UNCLEAR, _("It cannot have happened then."), errors=told)
        command = {**command, "recorded_at": happened, "sent_at": now}
    return run_command(studio=studio, user=request.user, now=now, **command)


def _json_body(request: HttpRequest) -> dict[str, Any] | None:
    if len(request.body) > LARGEST:
        return None
    try:
        body = json.loads(request.body)
    except (ValueError, RecursionError):
        return None
    if not isinstance(body, dict) or not isinstance(body.get("payload", {}), dict):
        return None
    return _command(body, body.get("payload", {}), "")


def _form_body(post: QueryDict) -> dict[str, Any] | None:
    """A form's own fields are the payload, repeated ones as lists, unless it brings one as JSON."""
    raw = post.get("payload")
    if raw is None:
        payload: Any = {k: v[0] if len(v) == 1 else v for k, v in post.lists() if k not in OURS}
    else:
        try:
            payload = json.loads(raw) if len(raw) <= LARGEST else None
        except (ValueError, RecursionError):
            payload = None
    if not isinstance(payload, dict) or sum(len(k) + len(str(v)) for k, v in payload.items()) > LARGEST:
        return None
    return _command(post, payload, post.get("next", ""))


def _command(fields: Any, payload: dict[str, Any], after: str) -> dict[str, Any]:
    command = {
        "client_id": str(fields.get("id") or ""), "kind": str(fields.get("kind") or ""), "payload": payload,
        "recorded_at": _moment(fields.get("recorded_at")), "sent_at": _moment(fields.get("sent_at")),
    }  # fmt: skip
    when = str(fields.get("when") or "").strip()
    return {"command": command, "next": after, "stay": bool(fields.get("stay")), "when": when}


def _moment(value: Any) -> dt.datetime | None:
    """A moment by the sender's clock; what cannot be read, or has no offset, counts as not sent."""
    try:
        moment = dt.datetime.fromisoformat(str(value))
        return moment.astimezone(dt.UTC) if moment.tzinfo else None
    except (ValueError, OverflowError):
        return None


def _for_htmx(answer: Answer) -> int:
    """htmx shows nothing of a 4xx or 5xx; the note itself says whether it was refused."""
    return DONE if answer.status < 500 else answer.status


def _next_page(request: HttpRequest, studio: Studio, answer: Answer, fields: dict[str, Any] | None) -> HttpResponse:
    return HttpResponseRedirect(_tell(request, studio, answer, fields))


def _tell(request: HttpRequest, studio: Studio, answer: Answer, fields: dict[str, Any] | None) -> str:
    """Have the next page say the answer, with what was entered if it was refused; that page's address."""
    after = fields["next"] if fields else ""
    level = messages.SUCCESS if answer.ok else messages.WARNING
    text = " ".join([answer.message, *_by_field(answer)])
    messages.add_message(request, level, text, extra_tags=f"undo:{answer.undo}" if answer.undo else "")
    back = after if _is_ours(after) else f"/s/{studio.public_id}/"
    if not answer.ok and fields:
        entries = fields["command"]["payload"] | ({"when": fields["when"]} if fields["when"] else {})
        keep_refused(request, studio, {**fields["command"], "payload": entries}, answer)
    # A form that says "stay" is one of several steps on its page; but what a run makes of it is always shown.
    stays = bool(fields and fields["stay"]) and not answer.data.get("run")
    return answer.go if answer.go and not stays and (answer.ok or answer.data.get("run")) else back


def _by_field(answer: Answer) -> list[str]:
    return list(dict.fromkeys(answer.errors.values()))[:5]


def _is_ours(address: str) -> bool:
    """An address on this server, by path alone."""
    return address.startswith("/") and url_has_allowed_host_and_scheme(address, allowed_hosts=None)
