"""What a person had entered in a form that was refused, kept until the page shows it again."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from typing import Any

from django.http import HttpRequest

from studio.models import Studio
from studio.services.answers import Answer

KEY = "refused"
LARGEST = 16 * 1024  # characters; a longer one is not kept


@dataclass(frozen=True)
class Refusal:
    """``entries`` as they were sent, ``errors`` by field, ``status`` 409 where the thing had changed meanwhile."""

    kind: str = ""
    entries: dict[str, Any] = field(default_factory=dict)
    errors: dict[str, str] = field(default_factory=dict)
    message: str = ""
    status: int = 0
    data: dict[str, Any] = field(default_factory=dict)


def keep_refused(request: HttpRequest, studio: Studio, command: dict[str, Any], answer: Answer) -> None:
    """Keep the entries for the next page of this studio."""
    kept = {
        "kind": command["kind"], "entries": command["payload"], "errors": answer.errors, "message": answer.message,
        "status": answer.status, "data": answer.data,
    }  # fmt: skip
    if len(json.dumps(kept)) <= LARGEST:
        request.session[KEY] = {"studio": studio.public_id, **kept}


def refused_here(request: HttpRequest, studio: Studio, kind: str, match: dict[str, str]) -> Refusal | None:
    """The refused form of ``kind`` about the things that ``match`` names, for the page that is being made.

    It stays for the whole of this request, since a page asks more than once; then it is gone.
    """
    known = getattr(request, "refusal", None)
    if known is not None:
        return known if known.kind == kind and about(known.entries, match) else None
    kept = request.session.get(KEY)
    if not kept or kept["studio"] != studio.public_id or kept["kind"] != kind or not about(kept["entries"], match):
        return None
    request.refusal = take_refused(request, studio, kind)  # type: ignore[attr-defined]
    return request.refusal  # type: ignore[attr-defined, no-any-return]


def about(entries: dict[str, Any], match: dict[str, str]) -> bool:
    """Whether a form with these entries was about the things that ``match`` names."""
    return all(str(entries.get(k) or "") == v for k, v in match.items())


def take_refused(request: HttpRequest, studio: Studio, *kinds: str) -> Refusal | None:
    """The refused form of one of these kinds of command, once; None if there is none."""
    kept = request.session.get(KEY)
    if not kept or kept["studio"] != studio.public_id or kept["kind"] not in kinds:
        return None
    del request.session[KEY]
    return Refusal(**{k: v for k, v in kept.items() if k != "studio"})
