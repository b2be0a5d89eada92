"""Where everything in the studio stands, as derived from the facts."""

from __future__ import annotations

from copy import copy
from dataclasses import dataclass, field

SHAPE = 11  # raise it when the form of the state changes: older snapshots are then ignored

IN_MOULD, LEATHER, KILN, BISQUED, GLAZED, FIRED = "in_mould", "leather", "kiln", "bisqued", "glazed", "fired"
TURNS_KEPT, GRAMS_KEPT = 8, 12  # of each mould: its last uses and weighings
REMARKS_KEPT = 40  # of each form
READS_KEPT = 12  # of each firing: its last temperatures
SECTIONS_KEPT = 20  # of each tool
STAGES = (IN_MOULD, LEATHER, KILN, BISQUED, GLAZED, FIRED)
# "leather" is everything between the take-out and the bisque kiln: which steps are done stands in ``steps``;
# whether it is leather-hard or drying follows from the form's timings, which the record does not know.


@dataclass
class Ware:
    """Pieces of one form at one stage. ``id`` is the batch or lot that they came from, or a part split off it."""

    id: str
    form: str
    count: int
    stage: str
    moulds: list[str] = field(default_factory=list)  # while in the moulds
    pressed: tuple[int, int] | None = None  # start and end of the pressing
    first: int | None = None  # when the first piece was pressed
    covered_in_mould: bool = False
    released: tuple[int, int] | None = None  # start and end of the take-out
    wrapped: bool = False  # leather-hard ware under a sheet
    steps: list[str] = field(default_factory=list)  # kinds of leather-hard work done
    last_end: int | None = None  # end of the last of them, or of the take-out
    until: int | None = None  # the person's word: still good until
    ask_at: int | None = None  # too soft: look again then
    kiln: str | None = None
    firing: str | None = None  # the firing it is in, or the last one it came out of
    kiln_stage: str | None = None  # "bisque" or "glost", while in the kiln
    at: int | None = None  # drawn, or glazed, at
    order: str | None = None  # order line; glazed and fired ware
    glaze: str | None = None
    parent: str | None = None
    dry_at: int | None = None  # said at set-up: bone-dry from then, nothing leather-hard left to do
    implied: bool = False  # no fact says it left its mould or kiln, but these were filled again
    body: str | None = None  # the clay body it was pressed from
    wet_g: int = 0  # of clay in each piece, by the ball and what was cut off


@dataclass(frozen=True)
class Remark:
    """What somebody said of ware in passing: a word after so many minutes in the mould, on the board since it was taken
    out, or, for bone-dry, since the last work."""

    word: str
    minutes: int
    shut: bool  # in a covered mould, or wrapped
    slow: int = 100  # of the air: percent of an ordinary week's drying time
    ware: str = ""
    soft: int | None = None  # of ware that came out clean: after so many minutes it was still too soft


@dataclass
class MouldState:
    id: str
    uses: int = 0  # pressings in this record
    filled_by: str | None = None  # ware id
    filled_at: int | None = None  # start of the pressing that filled it, while it is filled
    emptied: int | None = None  # when it was last emptied
    turns: list[tuple[int, int]] = field(default_factory=list)  # its last uses: pressed, emptied
    gone: str | None = None  # "cracked", "retired"
    gone_at: int | None = None
    grams: list[tuple[int, int]] = field(default_factory=list)  # its last weighings: minute, grams
    dry: tuple[int, int] | None = None  # the last weighing that a person called its dry weight


@dataclass
class ClayState:
    """A batch of clay, delivered or pugged."""

    id: str
    body: str
    how: str  # "delivered", "pugged"
    came: int
    nth: int  # of all batches, in the order in which they came
    grams: int
    left: int  # by reckoning, or as it was weighed and pressed from since
    water_pct: int | None = None  # of the wet weight


@dataclass
class BagState:
    """A bag of plaster; ``made`` and ``best`` (before) are days as YYYY-MM-DD, as printed on it."""

    id: str
    nth: int  # of all bags, in the order in which they came
    came: int
    grams: int
    left: int
    made: str | None = None
    best: str | None = None
    opened: int | None = None


@dataclass
class FiringState:
    id: str
    kiln: str
    program: str
    stage: str
    packed: tuple[int, int]
    lit: int | None = None
    drawn: int | None = None
    pieces: dict[str, int] = field(default_factory=dict)  # ware id (as it stands in the kiln) -> count packed
    implied: bool = False  # no fact says it was drawn, but its kiln was packed again
    lit_guessed: bool = False  # nobody said when it was lit
    # What was read off it, each None until somebody says: the last word counts. Tenths of °C and of a kWh.
    off: int | None = None  # when its top and the hold there were over
    top: int | None = None
    reads: list[tuple[int, int]] = field(default_factory=list)  # temperatures: minute, tenths of °C
    cone: tuple[str, str] | None = None  # and whether it ended before, at or after its bending
    meter_before: int | None = None
    meter_after: int | None = None
    used: int | None = None  # kWh, said without a meter's readings


@dataclass
class CastState:
    id: str
    form: str
    poured: int  # end of the pour
    lifted: int | None = None  # end of the lift
    gone: bool = False


@dataclass
class KilnState:
    id: str
    holds: str | None = None  # firing id
    out_since: int | None = None
    out_until: int | None = None  # None with out_since set = nobody knows


@dataclass
class Tally:
    """Of one order line, or of one form and glaze for stock."""

    firsts: int = 0
    seconds: int = 0
    lost: int = 0
    shipped: int = 0
    taken: int = 0  # seconds that the customer of the line takes
    taken_sent: int = 0  # of those shipped


@dataclass
class GlazeBatch:
    """Glaze mixed at one time by one recipe. ``ml`` and ``g_l`` (weight of a litre, None = nobody weighed it) are as
    it was weighed last; ``glazed`` are pieces by form since then. The one in use has the
    highest ``turn``."""

    id: str
    glaze: str
    mixed: int
    recipe: str
    ml: int
    g_l: int | None
    weighed: int
    turn: int
    glazed: dict[str, int] = field(default_factory=dict)
    used_up: int | None = None


@dataclass(frozen=True)
class FoodResult:
    """What a laboratory found on fired ware in a glaze mixed by ``recipe``; ``on`` is its date, YYYY-MM-DD."""

    fact: str
    recipe: str
    on: str
    laboratory: str
    tested: str
    within: bool  # the limits that the laboratory went by
    reference: str


@dataclass
class LifeState:
    """What the record knows of a form's way into production; times are those of the first, of pressing the last."""

    said: dict[str, int] = field(default_factory=dict)  # step -> when it was said to be done
    poured: int | None = None
    lifted: int | None = None
    trials: int = 0
    tried: int | None = None
    good: int | None = None  # a trial pressing that was kept
    fired: int | None = None  # drawn from a glost
    pressed: int | None = None


@dataclass(frozen=True)
class Setting:
    """The setting with which a form is pressed, as it was last kept."""

    tool: str
    ball_g: int
    stop: str
    at: int


@dataclass
class ToolState:
    """Pressings with a tool: in all, and since it was last looked at; sections by the pressings made till then."""

    id: str
    pressed: int = 0
    since: int = 0
    checked: int | None = None
    what: str = ""  # "checked" or "reground"
    sections: list[tuple[int, int]] = field(default_factory=list)  # tenths of a millimetre


@dataclass
class Trouble:
    """A fact that does not add up: kept, listed, and without the part of its effect that cannot be."""

    fact: str
    code: str
    things: dict[str, str] = field(default_factory=dict)
    counts: dict[str, int] = field(default_factory=dict)


@dataclass
class State:
    ware: dict[str, Ware] = field(default_factory=dict)
    moulds: dict[str, MouldState] = field(default_factory=dict)
    firings: dict[str, FiringState] = field(default_factory=dict)
    casts: dict[str, CastState] = field(default_factory=dict)
    kilns: dict[str, KilnState] = field(default_factory=dict)
    mounted: dict[str, tuple[str, int]] = field(default_factory=dict)  # station -> (form last pressed, its start)
    away: list[tuple[str, int, int]] = field(default_factory=list)  # person, from, until
    lines: dict[str, Tally] = field(default_factory=dict)  # by order line
    stock: dict[str, Tally] = field(default_factory=dict)  # by "form/glaze"
    shelf: dict[str, int] = field(default_factory=dict)  # "form/glaze" -> sorted firsts, whosoever, not sent yet
    seconds: dict[str, int] = field(default_factory=dict)  # "form/glaze" -> sorted seconds, likewise
    glaze_batches: dict[str, GlazeBatch] = field(default_factory=dict)
    food: dict[str, list[FoodResult]] = field(default_factory=dict)  # by glaze, in the order of the record
    clay: dict[str, ClayState] = field(default_factory=dict)
    clay_begun: dict[str, str] = field(default_factory=dict)  # body -> the batch that a person took into use
    clay_of: dict[str, str] = field(default_factory=dict)  # pressing -> the batch of clay it was pressed from
    reclaim: dict[str, int] = field(default_factory=dict)  # body -> grams that wait to be pugged again
    plaster: dict[str, BagState] = field(default_factory=dict)
    casting: dict[str, dict[str, int]] = field(default_factory=dict)  # cast -> step of its session -> when
    jobs_done: dict[str, int] = field(default_factory=dict)  # job (with its date) -> end
    lost: dict[str, int] = field(default_factory=dict)  # "form/stage" -> pieces
    made: dict[str, int] = field(default_factory=dict)  # form -> pieces pressed
    troubles: list[Trouble] = field(default_factory=list)
    twice: dict[str, str] = field(default_factory=dict)  # a fact recorded again -> the fact that counts
    done_tasks: dict[str, str] = field(default_factory=dict)  # planned task -> the fact that did it
    remarks: dict[str, list[Remark]] = field(default_factory=dict)  # by form, the last ones
    lives: dict[str, LifeState] = field(default_factory=dict)  # by form
    settings: dict[str, Setting] = field(default_factory=dict)  # by form
    tools: dict[str, ToolState] = field(default_factory=dict)  # by tool, or by form where no tool was told
    ids: set[str] = field(default_factory=set)  # every ware, firing and cast id ever used: none is used again
    seen: dict[str, str] = field(default_factory=dict)  # "kind/thing" -> the fact that recorded it

    def clone(self) -> State:
        """A state of its own, equal to this one."""
        new = copy(self)
        for name, of_things in (("ware", _own_ware), ("moulds", _own_mould), ("firings", _own_firing),
                                ("glaze_batches", _own_glaze), ("lives", _own_life), ("tools", _own_tool)):  # fmt: skip
            setattr(new, name, {k: of_things(v) for k, v in getattr(self, name).items()})
        new.casting = {cast: dict(steps) for cast, steps in self.casting.items()}
        new.remarks = {form: list(found) for form, found in self.remarks.items()}
        new.food = {glaze: list(found) for glaze, found in self.food.items()}
        for name in ("casts", "kilns", "lines", "stock", "clay", "plaster"):
            setattr(new, name, {k: copy(v) for k, v in getattr(self, name).items()})
        for name in (
            "mounted",
            "settings",
            "away",
            "shelf",
            "seconds",
            "clay_begun",
            "clay_of",
            "reclaim",
            "jobs_done",
            "lost",
            "made",
            "troubles",
            "twice",
            "done_tasks",
            "ids",
            "seen",
        ):
            setattr(new, name, copy(getattr(self, name)))
        return new


def _own_ware(ware: Ware) -> Ware:
    new = copy(ware)
    new.moulds, new.steps = list(ware.moulds), list(ware.steps)
    return new


def _own_mould(mould: MouldState) -> MouldState:
    new = copy(mould)
    new.turns, new.grams = list(mould.turns), list(mould.grams)
    return new


def _own_firing(firing: FiringState) -> FiringState:
    new = copy(firing)
    new.pieces, new.reads = dict(firing.pieces), list(firing.reads)
    return new


def _own_glaze(batch: GlazeBatch) -> GlazeBatch:
    new = copy(batch)
    new.glazed = dict(batch.glazed)
    return new


def _own_life(life: LifeState) -> LifeState:
    new = copy(life)
    new.said = dict(life.said)
    return new


def _own_tool(tool: ToolState) -> ToolState:
    new = copy(tool)
    new.sections = list(tool.sections)
    return new
