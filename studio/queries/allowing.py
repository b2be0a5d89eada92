"""What is lost on the way, in sentences: pieces started for an order, and a form's losses with what they rest on."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.utils import formats, timezone
from django.utils.translation import gettext as _

from studio.models import OrderLine, Studio
from studio.queries.record import moment_of
from studio.translate.rows import Rows
from studio.translate.shown import losses_shown

EXAMPLE = 24  # firsts, where nobody has said how many


def on_the_way(studio: Studio, line: OrderLine, *, missing: int, under_way: int, to_press: int) -> str:
    """How many pieces go on for the firsts that a line still misses, and how surely that is enough."""
    if missing <= 0:
        return ""
    words = {"n": under_way + to_press, "press": to_press, "of": missing, "enough": studio.get_enough_display()}
    if line.spare_pieces:
        words["n"], words["press"] = words["n"] + line.spare_pieces, words["press"] + line.spare_pieces
    if not under_way:
        return _("Start %(n)d for %(of)d: %(enough)s.") % words
    if not to_press:
        return _("%(n)d on the way for %(of)d: %(enough)s.") % words
    return _("%(n)d for %(of)d, of them %(press)d still to start: %(enough)s.") % words


def to_start(studio: Studio, forms: Sequence[tuple[str, str]], asked: Sequence[dict[str, Any]]) -> str:
    """What would be started for the lines as they are entered, or, of each form (id, name), for ``EXAMPLE`` firsts."""
    ways, names = Rows(studio).ways, dict(forms)
    wanted = [(str(x["form"]), int(str(x["qty"]))) for x in asked if _is_count(x["qty"]) and str(x["form"]) in ways]
    wanted = wanted or [(form, EXAMPLE) for form, _name in forms if form in ways]
    parts = [_("%(n)d for %(of)d %(form)s") % {"n": ways[form].need(qty, ()).fresh, "of": qty,
             "form": names.get(form, "")} for form, qty in wanted]  # fmt: skip
    if not parts:
        return ""
    return _("With what is lost on the way, start %(parts)s: %(enough)s. What stands there already counts.") % {
        "parts": ", ".join(parts), "enough": studio.get_enough_display()}  # fmt: skip


def _is_count(text: object) -> bool:
    return str(text).isascii() and str(text).isdigit() and 0 < int(str(text)[:7]) <= 100_000


def form_losses(studio: Studio, form: str) -> tuple[str, ...]:
    """What is lost of a form, stage by stage, what that rests on, and what it means for an order."""
    way = Rows(studio).ways.get(form)
    if way is None:
        return ()
    percent = [formats.number_format(100 * share, decimal_pos=1) for share in way.shares]
    names = dict(zip(("making", "bisque", "glost"), percent, strict=True))
    lost = _("Lost on average: making %(making)s\u00a0%%, bisque %(bisque)s\u00a0%%, "
             "glost and sorting %(glost)s\u00a0%%.") % names  # fmt: skip
    example = _("Start %(n)d for %(of)d: %(enough)s.") % {
        "n": way.need(EXAMPLE, ()).fresh, "of": EXAMPLE, "enough": studio.get_enough_display()}  # fmt: skip
    return lost, _rests(studio, way.came, known=way.known), example


def _rests(studio: Studio, came: Sequence[int], *, known: bool) -> str:
    """What the losses of a form rest on."""
    if not known:
        return _("That is the loss stated below: the usual one, common practice, no source, until there is a record.")
    since = losses_shown(studio).since
    words = {
        "making": came[0], "bisque": came[1], "glost": came[2],
        "month": "" if since is None else formats.date_format(timezone.localtime(moment_of(since)), "F Y"),
    }  # fmt: skip
    if not any(came):
        return _("From what other forms lost since %(month)s and what is stated below: none of its own yet.") % words
    return _("From pieces of its own since %(month)s: %(making)d in the making, %(bisque)d in the bisque, %(glost)d in "
             "the glost; where they are few, from other forms and what is stated below.") % words  # fmt: skip
