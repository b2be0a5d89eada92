"""A form that the demo studio is bringing into production, and the settings of those that it presses."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from studio.demo.hands import Hands
from studio.models import Cast

NAME = "Bowl 18"
# As fired, in mm: foot ring, curved side, rim; the inside follows 4 to 6 mm from it.
OUTER = "0 3\n33 3\n35 0\n40 0\n41 4\n56 13\n68 24\n77 37\n84 52\n88 66\n90 78"
INNER = "0 9\n30 9.5\n45 12\n57 19.5\n67 30\n75 43\n80.5 55\n84 67\n86 78"
SETTINGS = [("Bowl 15", 560, "14"), ("Dinner plate", 1300, "22"), ("Mug", 460, "9")]  # form, ball, stop
TRIALS = [("13:20", 760, 118, "9", "", "again"), ("13:50", 690, 47, "9", "ball 70 g lighter", "good")]
BARS = [("16:40", "94.2", "88.2"), ("16:45", "94", "87.9")]  # of 100 mm: dry, fired


def events(hands: Hands) -> list[tuple[int, str, Callable[[], object]]]:
    """Begun on the first day; its trial mould is dry since, and of two trials pressed yesterday one was good."""
    told: list[tuple[int, str, Callable[[], object]]] = [
        (-9, "10:20", lambda: _settings(hands)),
        (-9, "16:00", lambda: _begin(hands)),
        (-8, "15:00", lambda: _step(hands, "model")),
        (-8, "15:10", lambda: hands.do("poured", cast=_cast(hands))),
        (-8, "16:40", lambda: hands.do("lifted", cast=_cast(hands))),
        (-6, "16:30", lambda: _step(hands, "tool")),
    ]
    told += [(-5, bar[0], _bar(hands, *bar)) for bar in BARS]
    return told + [(-1, trial[0], _trial(hands, *trial)) for trial in TRIALS]


def _settings(hands: Hands) -> None:
    for form, ball, stop in SETTINGS:
        hands.do("setting_keep", form=hands.ids[form], ball_g=ball, stop=stop)


def _begin(hands: Hands) -> None:
    hands.ids[NAME] = hands.do("form_begin", name=NAME, shape="bowl", fired_mm=180)["form"]
    hands.do("profile_save", form=hands.ids[NAME], size="fired", outer_paste=OUTER, inner_paste=INNER)


def _step(hands: Hands, step: str) -> None:
    hands.do("form_step", form=hands.ids[NAME], step=step)


def _cast(hands: Hands) -> str:
    return str(Cast.objects.get(studio=hands.studio, form__public_id=hands.ids[NAME]).public_id)


def _bar(hands: Hands, _clock: str, dry: str, fired: str) -> Callable[[], Any]:
    return lambda: hands.do("shrinkage_bar", wet_mm="100", dry_mm=dry, fired_mm=fired)


def _trial(hands: Hands, _clock: str, *told: Any) -> Callable[[], Any]:
    said = dict(zip(("ball_g", "spare_g", "stop", "changed", "verdict"), told, strict=True)) | {"filled": True}
    walls = {"foot": "6.4", "wall": "5.1", "rim": "4.6", "wall_wanted": "5.0"}
    return lambda: hands.do("trial_pressed", form=hands.ids[NAME], **said, **walls)
