"""The form that each kind of fact must have. Facts are refused for nothing else."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

from studio.record.forms import STEPS

LATEST = 10**8  # minutes since 1970: the year 2160
MOST = 100_000  # pieces, grams
MOST_STOCK = 50_000_000  # grams of clay or plaster that came at once

CONES = (
    "022", "021", "020", "019", "018", "017", "016", "015", "014", "013", "012", "011", "010", "09", "08", "07", "06",
    "05", "04", "03", "02", "01", "1", "2", "3", "4", "5", "6", "7", "8", "9", "10", "11", "12", "13", "14",
)  # fmt: skip
BENDS = ("before", "at", "after")  # the firing ended before the cone was down, as its tip touched, after it lay flat
CAST_STEPS = ("soaped", "weighed", "sifted", "frame_off")  # of a casting session, beside pouring and lifting

Check = Callable[[Any], str]  # what is wrong, or ""


def _whole(lo: int, hi: int) -> Check:
    def check(value: Any) -> str:
        right = type(value) is int and lo <= value <= hi
        return "" if right else f"a whole number from {lo} to {hi} is wanted, not {_shown(value)}"

    return check


def _shown(value: Any) -> str:
    text = repr(value)
    return text if len(text) <= 40 else text[:39] + "…"


def _id(value: Any) -> str:
    right = isinstance(value, str) and 0 < len(value) <= 80 and value.isprintable()
    return "" if right else f"an id of 1 to 80 printable characters is wanted, not {_shown(value)}"


def _text(value: Any) -> str:
    return "" if isinstance(value, str) and len(value) <= 500 else f"a text is wanted, not {_shown(value)}"


def _truth(value: Any) -> str:
    return "" if isinstance(value, bool) else f"yes or no is wanted, not {_shown(value)}"


def _word(*words: str) -> Check:
    return lambda value: "" if value in words else f"one of {', '.join(words)} is wanted, not {_shown(value)}"


def _or_none(check: Check) -> Check:
    return lambda value: "" if value is None else check(value)


def _ids(value: Any) -> str:
    if not isinstance(value, list):
        return f"a list of ids is wanted, not {_shown(value)}"
    wrong = next((w for x in value if (w := _id(x))), "")
    return wrong or ("an id stands there twice" if len(set(value)) < len(value) else "")


def _table(least: int, **columns: Check) -> Check:
    """A list of at least ``least`` rows with these columns; a column whose name ends in ``_`` may be missing."""

    def check(value: Any) -> str:
        if not isinstance(value, list) or len(value) < least:
            return f"a list of at least {least} is wanted, not {_shown(value)}"
        for row in value:
            if not isinstance(row, dict):
                return f"{_shown(row)} is no record"
            wrong = _faults(row, columns)
            if wrong:
                return wrong[0]
        return ""

    return check


def _day(value: Any) -> str:
    try:
        right = isinstance(value, str) and dt.date.fromisoformat(value).isoformat() == value
    except ValueError:
        right = False
    return "" if right else f"a day such as 2027-03-15 is wanted, not {_shown(value)}"


def _words(value: Any) -> str:
    right = isinstance(value, list) and len(value) <= 20 and all(isinstance(v, str) and 0 < len(v) <= 40 for v in value)
    return "" if right else f"a list of short words is wanted, not {_shown(value)}"


def _record(value: Any) -> str:
    right = isinstance(value, dict) and value and all(isinstance(k, str) for k in value)
    return "" if right else "at least one named value is wanted"


_minute, _count, _some = _whole(0, LATEST), _whole(1, MOST), _whole(0, MOST)
_pieces = _table(1, batch=_id, count=_count)
_span = {"started": _minute, "ended": _minute}
_part = {"good": _some, "lost": _some, "left": _some, "why": _text, "remainder": _or_none(_id)}
_slow = _whole(10, 1000)  # percent of an ordinary week's drying time
_section = _or_none(_whole(5, 500))  # tenths of a millimetre
_ml, _g_l = _whole(1, 10**6), _whole(1001, 2000)  # of a batch of glaze; beyond 2000 g a litre nothing pours
_stock = _whole(0, MOST_STOCK)
_celsius = _whole(-400, 14_000)  # tenths of a degree
_tenths_kwh = _whole(0, 10**9)
_hundredths = _or_none(_whole(1, 10**6))  # of a millimetre
_per_myriad = _or_none(_whole(0, 4000))  # hundredths of a per cent
_mould_gone: dict[str, Check] = {"mould": _id, "piece_lost": _truth}

FORMS: dict[str, dict[str, Check]] = {
    "pressed": {
        "batch": _id, "form": _id, "count": _count, "moulds": _ids, **_span, "first": _minute, "covered": _truth,
        "station": _or_none(_id), "body_": _id, "ball_g_": _count, "spare_g_": _some, "clay_": _id, "tool_": _id,
    },
    "covered": {"batch": _id, "what": _word("mould", "ware")},
    "taken_out": {"batch": _id, **_part, "wrapped": _truth, "moulds": _ids, "from_moulds_": _ids, **_span},
    "step_done": {"batch": _id, "step": _id, **_part, **_span},
    "lost": {"batch": _id, "count": _count, "where": _text, "why": _text, "from_moulds_": _ids},
    "seen": {"batch": _id, "count": _count, "where": _text, "why": _id, "from_moulds_": _ids},
    "packed": {
        "firing": _id, "kiln": _id, "program": _id, "stage": _word("bisque", "glost"), "pieces": _pieces, **_span
    },
    "lit": {"firing": _id, "at_": _minute},
    "drawn": {"firing": _id, **_span, "lost": _table(0, batch=_id, count=_count, why=_text)},
    "glazed": {"lot": _id, "form": _id, "glaze": _id, "order": _or_none(_id), "pieces": _pieces,
               "glaze_batch_": _or_none(_id), **_span},
    "glaze_mixed": {"glaze_batch": _id, "glaze": _id, "ml": _ml, "g_l": _or_none(_g_l), "recipe": _text},
    "glaze_weighed": {"glaze_batch": _id, "ml": _ml, "g_l": _g_l},
    "glaze_in_use": {"glaze_batch": _id},
    "glaze_used_up": {"glaze_batch": _id},
    "glaze_on_ware": {
        "glaze": _id, "glaze_batch": _or_none(_id), "form": _id, "count": _count, "bisqued_g": _count,
        "glazed_g": _count,
    },
    "test_tile": {
        "glaze": _id, "glaze_batch": _or_none(_id), "firing": _or_none(_id), "program": _or_none(_id), "seen": _words,
        "verdict": _word("good", "bad"),
    },
    "food_result": {
        "glaze": _id, "recipe": _text, "on": _day, "laboratory": _text, "tested": _text, "within": _truth,
        "reference": _text,
    },
    "fired": {
        "firing": _id, "off_": _minute, "top_tenths_c_": _celsius, "read_tenths_c_": _celsius,
        "cone_": _word(*CONES), "bend_": _word(*BENDS), "meter_before_": _tenths_kwh, "meter_after_": _tenths_kwh,
        "tenths_kwh_": _tenths_kwh,
    },
    "sorted": {
        "order": _or_none(_id), "form": _id, "glaze": _id, "pieces": _pieces, "firsts": _some, "seconds": _some,
        "lost": _some, "why": _text, "showing_": _some, **_span,
    },
    "seconds_taken": {"line": _id, "form": _id, "glaze": _id, "count": _count},
    "off_shelf": {
        "form": _id, "glaze": _id, "firsts": _some, "seconds": _some, "how": _word("sold", "given", "broken"),
    },
    "shipped": {"lines": _table(1, line=_id, count=_count, form_=_id, glaze_=_id)},
    "mould_cracked": _mould_gone,
    "mould_retired": _mould_gone,
    "poured": {"cast": _id, "form": _id, **_span, "plaster_g_": _stock},
    "lifted": {"cast": _id, **_span},
    "weighed": {"mould": _id, "grams": _count, "dry_": _truth},
    "air": {"week": _word("damp", "ordinary", "dry"), "tenths_c": _or_none(_whole(0, 500)),
            "humidity_pct": _or_none(_whole(1, 100))},
    "kiln_out": {"kiln": _id, "until": _or_none(_minute)},
    "kiln_back": {"kiln": _id},
    "person_away": {"person": _id, "from": _minute, "until": _minute},
    "still_good": {"batch": _id, "until": _minute},
    "too_soft": {"batch": _id, "ask_at": _minute, "slow_": _slow},
    "said": {
        "batch": _id, "word": _word("stuck", "clean", "leather_hard", "too_dry", "bone_dry"), "slow_": _slow,
    },
    "job_done": {"job": _id, **_span},
    "cast_lost": {"cast": _id},
    "trial": {
        "form": _id, "tool": _or_none(_id), "ball_g": _count, "spare_g": _some, "filled": _truth, "stop": _text,
        "foot": _section, "wall": _section, "rim": _section, "foot_wanted": _section, "wall_wanted": _section,
        "rim_wanted": _section, "changed": _text, "verdict": _word("again", "good"),
    },
    "form_step": {"form": _id, "step": _word(*STEPS)},
    "setting": {
        "form": _id, "tool": _id, "ball_g": _count, "stop": _text, "was_tool": _id, "was_ball_g": _count,
    },
    "tool_checked": {"tool": _id, "what": _word("checked", "reground"), "forms": _ids, "section": _section},
    "shrinkage": {
        "body": _id, "wet": _hundredths, "dry": _hundredths, "fired": _hundredths, "drying": _per_myriad,
        "firing": _per_myriad, "basis": _word("total", "dry", "wet", "fired"),
    },
    "opening": {
        "id": _id, "form": _id, "count": _count, "stage": _word("leather", "bisqued", "glazed", "fired"),
        "at": _minute, "order": _or_none(_id), "glaze": _or_none(_id), "dry_at": _or_none(_minute),
    },
    "cast_step": {"cast": _id, "step": _word(*CAST_STEPS)},
    "plaster_in": {
        "bag": _id, "grams": _whole(1, MOST_STOCK), "made_": _or_none(_day), "best_": _or_none(_day)
    },
    "plaster_opened": {"bag": _id},
    "plaster_left": {"bag": _id, "grams": _stock},
    "clay_in": {
        "batch": _id, "body": _id, "grams": _whole(1, MOST_STOCK), "how": _word("delivered", "pugged"),
        "water_pct_": _or_none(_whole(1, 60)), "reclaim_g_": _stock,
    },
    "clay_begun": {"batch": _id},
    "clay_left": {"batch": _id, "grams": _stock},
    "reclaim_left": {"body": _id, "grams": _stock},
    "correction": {"of": _id, "data": _record},
    "undo": {"of": _id},
}  # fmt: skip
KINDS = tuple(FORMS)
ABOUT_FACTS = ("undo", "correction")  # what happened to the record itself


def check_form(kind: str, data: Any) -> list[str]:
    """Everything wrong with the form of a fact's ``data``, each in words that say what is wanted; empty = right.

    A key ``note`` (text) is allowed in every fact.
    """
    if kind not in FORMS:
        return [f'"{kind}" is no kind of fact']
    if not isinstance(data, dict):
        return [f"the data of a fact is a record, not {_shown(data)}"]
    wrong = _faults(data, {**FORMS[kind], "note_": _text})
    return wrong or _together(kind, data)


def _faults(data: dict[str, Any], columns: dict[str, Check]) -> list[str]:
    wrong = []
    for key, check in columns.items():
        name = key.rstrip("_")
        if name in data:
            said = check(data[name])
            if said:
                wrong.append(f"{name}: {said}")
        elif name == key:
            wrong.append(f"{name}: is missing")
    known = {key.rstrip("_") for key in columns}
    return wrong + [f"{key}: is not known here" for key in data if key not in known]


def _together(kind: str, data: dict[str, Any]) -> list[str]:
    """What is wrong between keys that are each right alone."""
    wrong = []
    if "started" in data and data["started"] > data["ended"]:
        wrong.append("ended: comes before started")
    if kind == "pressed":
        if len(data["moulds"]) != data["count"]:
            wrong.append(f"moulds: {data['count']} pieces were pressed into {len(data['moulds'])} moulds")
        if not data["started"] <= data["first"] <= data["ended"]:
            wrong.append("first: the first piece lies outside started to ended")
    if kind in ("taken_out", "step_done") and (data["left"] > 0) != (data["remainder"] is not None):
        wrong.append("remainder: names the batch of what is left, if anything is left")
    if kind == "sorted" and sum(p["count"] for p in data["pieces"]) != data["firsts"] + data["seconds"] + data["lost"]:
        wrong.append("firsts: firsts, seconds and lost are together all the pieces")
    if kind == "off_shelf" and not data["firsts"] + data["seconds"]:
        wrong.append("firsts: at least one piece leaves the shelf")
    if kind == "glaze_on_ware" and data["glazed_g"] < data["bisqued_g"]:
        wrong.append("glazed_g: the same pieces weigh no less with their glaze on")
    if kind == "person_away" and data["from"] >= data["until"]:
        wrong.append("until: comes before from")
    if kind == "fired" and not set(data) - {"firing", "note"}:
        wrong.append("firing: something that was read off it is wanted")
    if kind == "fired" and ("cone" in data) != ("bend" in data):
        wrong.append("cone: a cone is told with how far it bent")
    if kind == "shrinkage" and (None in (data["wet"], data["dry"], data["fired"])) == (data["firing"] is None):
        wrong.append("firing: either a bar was measured or a figure was told")
    if kind == "opening" and data["stage"] == "glazed" and data["glaze"] is None:
        wrong.append("glaze: glazed ware has one")
    return wrong
