"""The usual caution at a task: one line, dismissible for the day, never a certificate.

Where a figure stands in a line, its source stands beside it; the rest is common practice, no source. Local
codes, the maker's instructions and the insurer's rules come first, and the last line of each page says so.
"""

from __future__ import annotations

from django.utils.translation import gettext_lazy

from studio.words import Text

CAUTIONS: dict[str, Text] = {
    "press": gettext_lazy(
        "Sleeves, hair, rings. Stop the head before you reach in; scooping spare is reaching in. Dry hands at the "
        "switch, and a break at two hours."
    ),
    "release": gettext_lazy("Ware boards: two hands, a clear path, not above the shoulder."),
    "leather": gettext_lazy(
        "Turn and fettle it damp. Never sand dry greenware without extraction and a fitted mask; wet-clean, no brush."
    ),
    "load": gettext_lazy(
        "Isolate the kiln before you reach in. Ventilate, nothing that burns near it, somebody within reach at top "
        "temperature."
    ),
    # about 100 °C: common practice; the kiln maker's own figure comes first
    "unload": gettext_lazy(
        "Not before about 100 °C or the maker’s figure: read the kiln, not our clock. Isolate it before you reach "
        "in; goggles for glaze drips."
    ),
    "lit": gettext_lazy("Ventilate, nothing that burns near it. The hours here are reckoned: read the kiln itself."),
    "glaze": gettext_lazy(
        "Glaze powder: mask and extraction, no food in the room, by its data sheet. Not tested for food until a "
        "laboratory test of your fired ware is on file."
    ),
    # lead and cadmium in 4 % acetic acid: EU Directive 84/500/EEC, ISO 6486; others, such as the US, have their own
    "food": gettext_lazy(
        "Limits and methods for lead, cadmium and what else may come out of a glaze are by local law: the laboratory "
        "names those it went by. A result holds for that recipe, body and firing."
    ),
    "stuffs": gettext_lazy(
        "Dry clay, plaster and glaze stuffs are dust with silica in it: keep sacks shut, wear a mask and run the "
        "extraction when you weigh, wipe up wet. Each by its data sheet; lift sacks by two."
    ),
    "finish": gettext_lazy("Sand feet wet or with extraction and a fitted mask; goggles for glaze splinters."),
    # about 60 °C in bulk: NSEAD guide to safe practice 7.12, CLEAPSS PS072
    "pour": gettext_lazy(
        "Plaster: mask, pour it gently into the water, gloves. Never a hand or any part of the body in setting "
        "plaster (about 60 °C). Never down the sink."
    ),
    # 16 kg: lifting filter of HSE guidance L23, from memory; below 45 °C: common practice, no source
    "lift": gettext_lazy("Hot and heavy: two people above about 16 kg. Dry below 45 °C, and not on the kiln lid."),
    "turn_model": gettext_lazy(
        "Turning plaster: goggles and mask, sleeves and hair away from what turns, the tool sharp and on its rest. "
        "Stop it before you measure; wet-clean, no brush, and no plaster into the clay."
    ),
    "tool": gettext_lazy(
        "A profile tool is cut steel: clamp it, file away from the hand, goggles at the grinder, no gloves or loose "
        "sleeves there. Carry it with its edge covered."
    ),
    # silica: HSE sheets CR0 to CR4 for ceramics; no dry sweeping: 29 CFR 1910.1053(h), from memory
    "clay": gettext_lazy(
        "Dry clay is silica dust, and silica harms lungs for good: clean wet, never sweep or brush dry, wash aprons. "
        "Dry reclaim and bagged powder: mask and extraction. Stop the pug mill before you reach in."
    ),
    "job": gettext_lazy("Working alone? Tell somebody when you will be done."),
}
_SAME = {"trim": "leather", "turn": "leather", "fettle": "leather", "sponge": "leather", "join": "leather"}


def caution_key(kind: str) -> str:
    """Which caution belongs to a kind of task; a studio's own steps are leather-hard work."""
    return _SAME.get(kind, kind if kind in CAUTIONS else "leather")
