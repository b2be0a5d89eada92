"""Facts on glaze as sentences."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from django.utils.translation import gettext as _

from studio import units
from studio.faults import name_of

if TYPE_CHECKING:
    from studio.queries.telling import Teller


def _dry(d: dict[str, Any]) -> str:
    """In the bucket: 8 l, 100 ml of it 145 g."""
    said = units.volume(d["ml"] / 1000)
    return said if d.get("g_l") is None else _("%(litres)s, 100 ml of it %(g)s g") % {
        "litres": said, "g": f"{d['g_l'] / 10:g}"}  # fmt: skip


def _glaze(text: str) -> Callable[[Teller, dict[str, Any]], str]:
    return lambda t, d: _(text) % {"glaze": t.glaze(d)}


def _tile(t: Teller, d: dict[str, Any]) -> str:
    said = [_("good") if d["verdict"] == "good" else _("not good"), *(name_of(w) for w in d["seen"])]
    return _("a test tile of %(glaze)s: %(seen)s") % {"glaze": t.glaze(d), "seen": ", ".join(map(str, said))}


def _food(t: Teller, d: dict[str, Any]) -> str:
    text = _("%(glaze)s within the limits by %(lab)s") if d["within"] else _("%(glaze)s over the limits by %(lab)s")
    return text % {"glaze": t.glaze(d), "lab": d["laboratory"]}


def _on_ware(t: Teller, d: dict[str, Any]) -> str:
    each = units.scale((d["glazed_g"] - d["bisqued_g"]) / d["count"])
    said = {"what": f"{d['count']} × {t.form(d['form'])}", "glaze": t.glaze(d), "each": each}
    return _("%(what)s weighed with %(glaze)s on: %(each)s each") % said


TOLD_OF_GLAZE: dict[str, Callable[[Teller, dict[str, Any]], str]] = {
    "glaze_mixed": lambda t, d: _("%(glaze)s mixed: %(dry)s") % {"glaze": t.glaze(d), "dry": _dry(d)},
    "glaze_weighed": lambda t, d: _("%(glaze)s weighed: %(dry)s") % {"glaze": t.glaze(d), "dry": _dry(d)},
    "glaze_in_use": _glaze("%(glaze)s: another batch in use"), "glaze_used_up": _glaze("%(glaze)s: a batch used up"),
    "glaze_on_ware": _on_ware, "test_tile": _tile, "food_result": _food,
}  # fmt: skip
