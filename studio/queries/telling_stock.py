"""Facts about clay, plaster and casting sessions as sentences."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from studio import units

if TYPE_CHECKING:
    from studio.queries.telling import Teller
    from studio.words import Text

CAST_STEPS: dict[str, Text] = {
    "soaped": gettext_lazy("soaped"), "weighed": gettext_lazy("plaster and water weighed"),
    "sifted": gettext_lazy("plaster sifted into the water"), "frame_off": gettext_lazy("frame off"),
}  # fmt: skip


def _clay_in(t: Teller, d: dict[str, Any]) -> str:
    said = {"clay": t.things.get(d["body"], _("clay")), "weight": units.kilos(d["grams"])}
    return (_("%(weight)s of %(clay)s pugged") if d["how"] == "pugged" else _("%(weight)s of %(clay)s came")) % said


def _clay(text: str, key: str) -> Callable[[Teller, dict[str, Any]], str]:
    def say(t: Teller, d: dict[str, Any]) -> str:
        return _(text) % {"clay": t.things.get(d[key]) or _("clay"), "weight": units.kilos(d.get("grams", 0))}

    return say


def _plaster(text: str) -> Callable[[Teller, dict[str, Any]], str]:
    return lambda t, d: _(text) % {"weight": units.kilos(d.get("grams", 0))}


def _step(t: Teller, d: dict[str, Any]) -> str:
    return _("a mould of %(form)s: %(step)s") % {"form": t.form_of(d["cast"]), "step": CAST_STEPS[d["step"]]}


TOLD_OF_STOCK: dict[str, Callable[[Teller, dict[str, Any]], str]] = {
    "clay_in": _clay_in, "clay_begun": _clay("another batch of %(clay)s begun", "batch"),
    "clay_left": _clay("%(clay)s: %(weight)s left of a batch", "batch"),
    "reclaim_left": _clay("%(clay)s: %(weight)s in the reclaim", "body"),
    "plaster_in": _plaster("a bag of plaster came: %(weight)s"), "plaster_opened": _plaster("a bag of plaster opened"),
    "plaster_left": _plaster("%(weight)s left in a bag of plaster"), "cast_step": _step,
}  # fmt: skip
