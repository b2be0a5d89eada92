"""Pieces on their way: what was lost of each form, what was seen on them, and what they went through.

What is lost counts with those that go on to the next stage. For faults, one piece is looked at once at each place: what
was lost or noted before the work that ends a stage is counted where it was told, the others with that work.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from studio.record.facts import Fact

MAKING, BISQUE, GLOST = "making", "bisque", "glost"  # to bone-dry; to the glaze; to firsts
OUT, GREEN = "taking out", "leather-hard or dry"  # where faults are seen, as BISQUE and GLOST are
WHERE = {"press": OUT, "in_mould": OUT, "leather": GREEN, "kiln": BISQUE, "bisqued": BISQUE, "glazed": GLOST,
         "fired": GLOST}  # fmt: skip


class Passed(NamedTuple):
    """``passed`` pieces that went on to the next stage and ``lost`` ones, of ``among`` that stood there together."""

    passed: int
    lost: int
    among: int


Losses = dict[tuple[str, str], list[Passed]]


@dataclass(frozen=True)
class Links:
    """What a ware went through, as far as it is known and all of it is alike: "" where not.

    ``mould``: where one alone is known to have made it. ``pressing``: the batch that it was pressed as, which knows its
    clay. ``setting``: the fact that kept the setting it was pressed with. ``firings``: by stage.
    """

    form: str
    mould: str = ""
    setting: str = ""
    pressing: str = ""
    glaze: str = ""
    glaze_batch: str = ""
    firings: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Looked:
    """``pieces`` that came to where faults are ``seen``, and how many of them show each fault."""

    seen: str
    pieces: int
    faults: Mapping[str, int]
    links: Links


@dataclass(frozen=True)
class Fired:
    """A firing: its kiln, the minute of its packing, and the pieces of each form in it."""

    kiln: str
    at: int
    stage: str
    forms: Mapping[str, int]


@dataclass(frozen=True)
class Setting:
    """With what a form is pressed from a minute on."""

    form: str
    ball_g: int
    stop: str
    at: int


@dataclass
class Ware:
    """Pieces that stand together. ``lost`` on the way to the next stage; ``told`` of already, by where it was seen."""

    links: Links
    stage: str
    there: int
    lost: int = 0
    told: Counter[str] = field(default_factory=Counter)
    told_of: set[str] = field(default_factory=set)  # the moulds of those told of at the taking out


@dataclass
class Followed:
    """``losses`` by form and stage, in the order of the facts; ``first``: the minute of the first that counted.

    Seconds are lost to their order, so they count as lost in the glost.
    """

    losses: Losses = field(default_factory=lambda: defaultdict(list))
    first: int | None = None
    looked: list[Looked] = field(default_factory=list)
    firings: dict[str, Fired] = field(default_factory=dict)
    settings: dict[str, Setting] = field(default_factory=dict)  # by the fact that kept it
    present: dict[str, str] = field(default_factory=dict)  # by form, the last of them
    unnamed: int = 0  # pieces lost, or seconds, without a word of what was seen
    ware: dict[str, Ware] = field(default_factory=dict)
    inside: dict[str, list[tuple[str, int, Ware]]] = field(default_factory=dict)  # by firing: ware, count, that part

    def note(self, fact: Fact, form: str, stage: str, passed: int, lost: int, among: int) -> None:
        if passed + lost > 0:
            self.losses[form, stage].append(Passed(passed, lost, among))
            self.first = fact.happened if self.first is None else min(self.first, fact.happened)

    def lose(self, fact: Fact, ware_id: str, count: int) -> None:
        """``count`` pieces of a ware are lost, as far as they are there."""
        ware = self.ware.get(ware_id)
        if ware is None or count <= 0:
            return
        lost = min(count, ware.there)
        ware.there -= lost
        ware.lost += lost
        if not ware.there:
            self.on(fact, ware, 0)

    def on(self, fact: Fact, ware: Ware, passed: int) -> None:
        """``passed`` pieces go on to the next stage; what was lost before counts now, beside them."""
        self.note(fact, ware.links.form, ware.stage, passed, ware.lost, passed + ware.lost)
        ware.lost = 0

    def look(self, seen: str, ware: Ware | None, pieces: int, faults: Mapping[str, int]) -> None:
        """``pieces`` are looked at, without those of which it was told before."""
        if ware is None or pieces <= 0:
            return
        self.unnamed += faults.get("", 0)
        known = {k: min(n, pieces) for k, n in faults.items() if k and n}
        told = min(ware.told[seen], pieces)
        ware.told[seen] -= told
        left = max(pieces - told, *known.values(), 0) if known else pieces - told
        if left:
            self.looked.append(Looked(seen, left, known, ware.links))

    def look_one_by_one(self, ware: Ware, faulty: Mapping[str, str], good: Iterable[str] = ()) -> None:
        """Pieces whose moulds are known, looked at in the mould: by mould the fault of the ``faulty`` ones."""
        for mould in [*faulty, *good]:
            faults = {faulty[mould]: 1} if faulty.get(mould) else {}
            self.looked.append(Looked(OUT, 1, faults, replace(ware.links, mould=mould)))
