"""Random facts of right form over few ids, so that they meet each other often: in legal order or not."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from studio.record.facts import Fact
from studio.record.form import ABOUT_FACTS, BENDS, FORMS
from studio.record.forms import STEPS
from tests.record.making import T0, drawn, fact, glazed, packed, pressed, taken_out

batch = st.sampled_from(["b1", "b2", "b3", "b4"])
ware = st.sampled_from(["b1", "b2", "b3", "l1", "l2", "r1", "o1", "f1.b1"])
mould = st.sampled_from(["m1", "m2", "m3", "m4", "m5", "c1"])
small = st.integers(0, 4)
some = st.integers(1, 4)
form = st.sampled_from(["bowl", "bowl", "mug"])
tool = st.sampled_from(["t1", "t2"])
line = st.sampled_from(["o-1", "o-2"])
minute = st.integers(T0 - 5000, T0 + 20_000)
pieces = st.lists(st.fixed_dictionaries({"batch": ware, "count": some}), min_size=1, max_size=3)
why = st.just("")
bucket = st.sampled_from(["g1", "g2", "b1"])
recipe = st.sampled_from(["", "p. 12"])


@st.composite
def span(draw: st.DrawFn) -> dict[str, int]:
    a = draw(minute)
    return {"started": a, "ended": a + draw(st.integers(0, 90))}


@st.composite
def pressing(draw: st.DrawFn) -> dict[str, Any]:
    moulds, when = draw(st.lists(mould, min_size=1, max_size=4, unique=True)), draw(span())
    return {
        "batch": draw(batch), "form": draw(form), "count": len(moulds), "moulds": moulds, "first": when["started"],
        "covered": draw(st.booleans()), "station": draw(st.sampled_from([None, "jolley"])), **when,
        **draw(st.sampled_from([{}, {"body": "stone", "ball_g": 560, "spare_g": 40}, {"clay": "k1", "ball_g": 300}])),
        **draw(st.sampled_from([{}, {"tool": "t1"}])),
    }  # fmt: skip


@st.composite
def part(draw: st.DrawFn, step: bool) -> dict[str, Any]:
    left = draw(small)
    data = {
        "batch": draw(ware), "good": draw(small), "lost": draw(small), "left": left, "why": "",
        "remainder": draw(st.sampled_from(["r1", "r2", "b1"])) if left else None, **draw(span()),
    }  # fmt: skip
    if step:
        return {**data, "step": draw(st.sampled_from(["turn", "join"]))}
    return {**data, "wrapped": draw(st.booleans()), "moulds": draw(st.lists(mould, max_size=3, unique=True))}


@st.composite
def sorting(draw: st.DrawFn) -> dict[str, Any]:
    taken = draw(pieces)
    n = sum(p["count"] for p in taken)
    firsts = draw(st.integers(0, n))
    seconds = draw(st.integers(0, n - firsts))
    return {
        "order": draw(st.none() | line), "form": draw(form), "glaze": "chalk", "pieces": taken, "firsts": firsts,
        "seconds": seconds, "lost": n - firsts - seconds, "why": "", **draw(span()),
        **draw(st.sampled_from([{}, {"why": "run", "showing": 1}])),
    }  # fmt: skip


def record(**columns: st.SearchStrategy[Any]) -> st.SearchStrategy[dict[str, Any]]:
    return st.fixed_dictionaries(columns)


def timed(**columns: st.SearchStrategy[Any]) -> st.SearchStrategy[dict[str, Any]]:
    return st.builds(lambda a, b: {**a, **b}, record(**columns), span())


def trial(of: str, thick: int) -> dict[str, Any]:
    """A trial pressing: it changes nothing that stands, so little of it is left to chance."""
    walls = dict.fromkeys(("foot", "rim", "foot_wanted", "wall_wanted", "rim_wanted"))
    return {"form": of, "tool": None, "ball_g": 560, "spare_g": 38, "filled": thick > 0, "stop": "14", "changed": "",
            "verdict": "again", "wall": 40 + thick, **walls}  # fmt: skip


firing = st.sampled_from(["f1", "f2", "f3"])
kiln = st.sampled_from(["a", "b"])
lost_rows = st.lists(st.fixed_dictionaries({"batch": ware, "count": some, "why": why}), max_size=2)
shipping = st.fixed_dictionaries({"line": line, "count": some}) | st.fixed_dictionaries(
    {"line": line, "count": some, "form": form, "glaze": st.just("chalk")}
)
KINDS: dict[str, st.SearchStrategy[dict[str, Any]]] = {
    "pressed": pressing(),
    "covered": record(batch=ware, what=st.sampled_from(["mould", "ware"])),
    "taken_out": part(step=False),
    "step_done": part(step=True),
    "lost": record(batch=ware, count=some, where=why, why=why),
    "seen": record(batch=ware, count=some, where=why, why=st.just("pits"),
                   from_moulds=st.lists(mould, max_size=2, unique=True)),
    "packed": timed(
        firing=firing, kiln=kiln, program=st.just("p"), stage=st.sampled_from(["bisque", "glost"]), pieces=pieces
    ),
    "lit": record(firing=firing),
    "fired": st.fixed_dictionaries(
        {"firing": firing, "off": minute, "cone": st.sampled_from(["6", "04"]), "bend": st.sampled_from(BENDS)},
        optional={"top_tenths_c": st.integers(9000, 13_000), "read_tenths_c": st.integers(0, 12_000),
                  "meter_before": st.integers(0, 900), "meter_after": st.integers(0, 900),
                  "tenths_kwh": st.integers(0, 2000)},
    ),
    "drawn": timed(firing=firing, lost=lost_rows),
    "glazed": timed(lot=st.sampled_from(["l1", "l2", "b4"]), form=form, glaze=st.just("chalk"), order=st.none() | line,
                    pieces=pieces, glaze_batch=st.none() | bucket),
    "glaze_mixed": record(glaze_batch=bucket, glaze=st.sampled_from(["chalk", "chalk", "soot"]),
                          ml=st.integers(1, 9000), g_l=st.none() | st.integers(1001, 2000), recipe=recipe),
    "glaze_weighed": record(glaze_batch=bucket, ml=st.integers(1, 9000), g_l=st.integers(1001, 2000)),
    "glaze_in_use": record(glaze_batch=bucket),
    "glaze_used_up": record(glaze_batch=bucket),
    "glaze_on_ware": record(glaze=st.just("chalk"), glaze_batch=st.none() | bucket, form=form, count=some,
                            bisqued_g=st.just(900), glazed_g=st.integers(900, 1000)),
    "test_tile": record(glaze=st.just("chalk"), glaze_batch=st.none() | bucket, firing=st.none() | firing,
                        program=st.none(), seen=st.just(["crazing"]), verdict=st.sampled_from(["good", "bad"])),
    "food_result": record(glaze=st.just("chalk"), recipe=recipe, on=st.sampled_from(["2027-03-01", "2027-02-01"]),
                          laboratory=st.just("Lab"), tested=st.just("a mug"), within=st.booleans(), reference=why),
    "sorted": sorting(),
    "shipped": record(lines=st.lists(shipping, min_size=1, max_size=2)),
    "seconds_taken": record(line=line, form=form, glaze=st.just("chalk"), count=some),
    "off_shelf": record(form=form, glaze=st.just("chalk"), firsts=small, seconds=some,
                        how=st.sampled_from(["sold", "broken"])),
    "mould_cracked": record(mould=mould, piece_lost=st.booleans()),
    "mould_retired": record(mould=mould, piece_lost=st.booleans()),
    "poured": st.builds(
        lambda d, g: {**d, **g}, timed(cast=st.just("c1"), form=form), st.sampled_from([{}, {"plaster_g": 900}])
    ),
    "cast_step": record(cast=st.just("c1"), step=st.sampled_from(["soaped", "frame_off"])),
    "plaster_in": record(bag=st.sampled_from(["p1", "p2"]), grams=st.integers(1, 2000),
                         made=st.sampled_from([None, "2026-01-05", "2026-02-05"])),
    "plaster_opened": record(bag=st.sampled_from(["p1", "p2", "p9"])),
    "plaster_left": record(bag=st.sampled_from(["p1", "p2", "p9"]), grams=st.integers(0, 2000)),
    "lifted": timed(cast=st.just("c1")),
    "cast_lost": record(cast=st.just("c1")),
    "weighed": record(mould=mould, grams=st.integers(1, 4000), dry=st.booleans()),
    "trial": st.builds(trial, form, small),
    "air": record(week=st.sampled_from(["damp", "dry"]), tenths_c=st.sampled_from([None, 180]),
                  humidity_pct=st.just(60)),
    "kiln_out": record(kiln=kiln, until=st.none() | minute),
    "kiln_back": record(kiln=kiln),
    "person_away": st.builds(lambda a, n: {"person": "p1", "from": a, "until": a + n}, minute, st.integers(1, 9000)),
    "still_good": record(batch=ware, until=minute),
    "too_soft": record(batch=ware, ask_at=minute),
    "said": record(batch=ware, word=st.sampled_from(["stuck", "clean", "leather_hard", "too_dry", "bone_dry"]),
                   slow=st.integers(10, 1000)),
    "clay_in": record(batch=st.sampled_from(["k1", "k2", "k3"]), body=st.sampled_from(["stone", "black"]),
                      grams=st.integers(1, 4000), how=st.sampled_from(["delivered", "pugged"]),
                      reclaim_g=st.integers(0, 900), water_pct=st.sampled_from([None, 22])),
    "clay_begun": record(batch=st.sampled_from(["k1", "k2", "k9"])),
    "clay_left": record(batch=st.sampled_from(["k1", "k2", "k9"]), grams=st.integers(0, 4000)),
    "reclaim_left": record(body=st.sampled_from(["stone", "black"]), grams=st.integers(0, 900)),
    "job_done": timed(job=st.sampled_from(["j1", "j2", "step.model.bowl"])),
    "form_step": record(form=form, step=st.sampled_from(STEPS)),
    "setting": record(form=form, tool=tool, ball_g=some, stop=st.just("14"), was_tool=tool, was_ball_g=some),
    "tool_checked": record(tool=tool, what=st.sampled_from(["checked", "reground"]),
                           forms=st.sampled_from([[], ["bowl"]]), section=st.none() | st.integers(40, 60)),
    "shrinkage": st.sampled_from([
        {"body": "stone", "wet": 10_000, "dry": 9400, "fired": 8800, "drying": None, "firing": None, "basis": "dry"},
        {"body": "stone", "wet": None, "dry": None, "fired": None, "drying": 600, "firing": 1200, "basis": "total"},
    ]),
    "opening": record(id=st.sampled_from(["o1", "b2"]), form=form, count=some, at=minute, order=st.none() | line,
                      stage=st.sampled_from(["leather", "bisqued", "glazed", "fired"]), glaze=st.just("chalk"),
                      dry_at=st.none() | minute),
}  # fmt: skip
# What moves ware comes more often, so that it gets far though there are many kinds besides.
DRAWN_FROM = [*KINDS, *("pressed", "taken_out", "packed", "lit", "drawn", "glazed", "sorted") * 2]
assert set(KINDS) | set(ABOUT_FACTS) == set(FORMS)


# A record may begin with some of a way that adds up, so that pieces get as far as the last kiln.
WAY = [(f.kind, f.data) for f in (
    pressed(0, "b1"), taken_out(1, "b1"), packed(2, "f1", b1=3), fact("lit", 3, firing="f1"), drawn(4, "f1"),
    glazed(5, "l1", b1=3), packed(6, "f2", "glost", l1=3), fact("lit", 7, firing="f2"), drawn(8, "f2"),
)]  # fmt: skip


@st.composite
def records(draw: st.DrawFn, most: int = 30) -> list[Fact]:
    """Facts with undos and corrections among them, each told after what it speaks of (as the services see to)."""
    way = WAY[: draw(st.integers(0, len(WAY)))]
    found = [Fact(f"x{seq}", kind, T0, seq, T0, None, None, data) for seq, (kind, data) in enumerate(way, 1)]
    for seq in range(len(way) + 1, len(way) + draw(st.integers(1, most)) + 1):
        kind = draw(st.sampled_from([*DRAWN_FROM, *ABOUT_FACTS, *ABOUT_FACTS] if found else DRAWN_FROM))
        happened = T0 + draw(st.integers(0, 40))
        if kind in ABOUT_FACTS:
            of = draw(st.sampled_from(found))
            happened = max(happened, of.happened)
            data: dict[str, Any] = {"of": of.id}
            if kind == "correction":
                data["data"] = draw(_better(of))
        else:
            data = draw(KINDS[kind])
        task = draw(st.sampled_from([None, None, "t1", "t2"]))
        found.append(Fact(f"x{seq}", kind, happened, seq, happened, None, task, data))
    return found


@st.composite
def one_of_each(draw: st.DrawFn) -> list[Fact]:
    """One fact of every kind, in any order."""
    kinds = draw(st.permutations(list(KINDS)))
    at = T0 + draw(st.integers(0, 40))
    return [Fact(f"x{i}", k, at, i, at, None, None, draw(KINDS[k])) for i, k in enumerate(kinds, 1)]


def _better(of: Fact) -> st.SearchStrategy[dict[str, Any]]:
    """Keys of another fact of the same kind, or nonsense."""
    if of.kind in KINDS:
        return KINDS[of.kind]
    return st.sampled_from([{"good": 1, "lost": 2}, {"batch": "b3"}, {"nonsense": 1}])
