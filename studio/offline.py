"""What a phone may keep for when there is no network: which pages, which commands, and whose they are."""

from __future__ import annotations

import hashlib
from functools import lru_cache
from pathlib import Path

from django.conf import settings
from django.contrib.auth.models import AnonymousUser
from django.contrib.auth.models import User as Person
from django.contrib.staticfiles import finders
from django.template.loader import get_template
from django.templatetags.static import static
from django.utils.crypto import salted_hmac

PERSON_HEADER = "X-Studio-Person"

# Pages that show again as they were at their last visit. A page with a secret shown once is never among them.
KEPT_VIEWS = frozenset(
    f"studio:{name}"
    for name in (
        "today", "week", "moulds", "moulds_form", "moulds_lives", "casting", "plaster", "kiln", "kiln_load",
        "kiln_pack", "orders", "order", "shelf", "shopping", "wrong", "wrong_about", "unplanned",
    )
)  # fmt: skip

ONCE, AGAIN = "once", "again"
# Commands that may wait on a phone: what happened can be told later, while a change of the studio's set-up wants its
# answer at once. ONCE can be true of a thing only once, so its button is shut while it waits.
LATER = dict.fromkeys(
    ("task_done", "done_up_to", "wrap", "still_good", "too_soft", "said", "lit", "drawn", "packed", "poured", "lifted",
     "cast_lost", "cast_retire", "cast_step", "mould_retired", "pin", "unpin", "undo"), ONCE,
) | dict.fromkeys(
    ("mould_cracked", "pots_lost", "mould_add", "weighed", "cast_save", "pressed", "taken_out", "step_done", "glazed",
     "sorted", "fired", "shipped", "seconds_taken", "off_shelf"), AGAIN,
)  # fmt: skip

STATIC = ("studio/studio.css", "studio/studio.js", "studio/outbox.js", "studio/kept.js", "studio/phone.js",
          "studio/icon.svg", "studio/icon-192.png", "django_htmx/htmx-2.min.js")  # fmt: skip


def person_key(user: Person | AnonymousUser | None) -> str:
    """Who is logged in, as a word that tells two people of one phone apart and says nothing else; "" for nobody."""
    if user is None or not user.is_authenticated:
        return ""
    return salted_hmac("studio.offline.person", str(user.pk)).hexdigest()[:16]


def shell() -> list[str]:
    """The addresses of all that a kept page needs besides itself."""
    return [static(name) for name in STATIC]


def build() -> str:
    """A word that changes whenever a file of the shell, the worker or the offline page does."""
    return _build() if not settings.DEBUG else _build.__wrapped__()


@lru_cache(maxsize=1)
def _build() -> str:
    digest = hashlib.sha256("\n".join(shell()).encode())
    for name in STATIC:
        found = finders.find(name)
        digest.update(Path(str(found)).read_bytes() if found else b"")
    for name in ("studio/sw.js", "studio/offline.html", "studio/base.html"):
        digest.update(Path(get_template(name).origin.name).read_bytes())  # type: ignore[attr-defined]
    return digest.hexdigest()[:16]
