"""What the kiln pages show: loads planned and on record, shelf by shelf, and ware that could be packed."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils.translation import gettext as _

from studio.faults import Fault, faults_at
from studio.models import Kiln, Stage
from studio.queries.kiln_drawn import Drawn
from studio.queries.laid_kept import holds, said_to_fit
from studio.record.state import KILN

PLANNED, PACKED, LIT, DRAWN = "planned", "packed", "lit", "drawn"


@dataclass(frozen=True)
class Part:
    """Pieces of one form in a load."""

    form: str
    name: str
    pot: str
    count: int


@dataclass(frozen=True)
class Inside:
    """Ware that stands in the kiln now."""

    ware: str
    name: str
    count: int


@dataclass(frozen=True)
class Load:
    """One firing, planned or on record. ``task`` is the planned task that comes next with it, if there is one."""

    id: str
    kiln: str
    kiln_name: str
    how: str
    program: str
    stage: str
    parts: tuple[Part, ...]
    pack: datetime | None = None
    starts: datetime | None = None
    tops: datetime | None = None
    opens: datetime | None = None
    drawn: datetime | None = None
    task: str = ""
    inside: tuple[Inside, ...] = ()
    lost: int = 0  # of a load that was drawn
    why: str = ""
    program_id: str = ""  # of a firing that its kiln still has
    may_go_off: bool = False  # about now, and nobody has told yet
    open_at: str = ""  # the temperature at which its kiln may be opened
    told: tuple[str, ...] = ()  # what was read off it

    @property
    def pieces(self) -> int:
        return sum(p.count for p in self.parts)

    @property
    def faults(self) -> tuple[Fault, ...]:
        """What can be seen on it when it is drawn."""
        return faults_at(KILN, glost=self.stage == Stage.GLOST)

    @property
    def stage_name(self) -> str:
        return str(Stage(self.stage).label)


@dataclass(frozen=True)
class KilnView:
    row: Kiln
    out: bool
    out_until: datetime | None
    now_in: Load | None
    coming: tuple[Load, ...]
    fires: tuple[tuple[str, str], ...] = ()  # its programs: public id and name

    @property
    def later(self) -> tuple[Load, ...]:
        return self.coming[1:]


@dataclass(frozen=True)
class ShelfPart:
    name: str
    pot: str
    count: int


@dataclass(frozen=True)
class ShelfView:
    number: int
    prop_mm: int
    parts: tuple[ShelfPart, ...]


@dataclass(frozen=True)
class LoadView:
    """A load with its shelves; ``over`` where by our figures it is more than the kiln takes.

    ``drawn`` is the load to scale, None where that is not known; ``shelves`` then are from counts alone.
    """

    load: Load
    kiln: Kiln
    shelves: tuple[ShelfView, ...]
    height_mm: int
    strangers: tuple[str, ...]
    drawn: Drawn | None = None

    @property
    def used(self) -> int:
        """Shelves of the load as it is shown."""
        return len(self.drawn.pictures if self.drawn else self.shelves)

    @property
    def used_mm(self) -> int:
        return self.drawn.height_mm if self.drawn else self.height_mm

    @property
    def noted(self) -> bool:
        """Whether the kiln already has a note that a load like this does not fit."""
        there = {p.form: p.count for p in self.load.parts}
        said = (x["counts"] for x in self.kiln.limits if x["stage"] == self.load.stage and not x.get("fits"))
        return any(holds(there, counts) for counts in said)

    @property
    def said_to_fit(self) -> bool:
        """Whether the studio has said that what finds no place here goes in."""
        assert self.drawn is not None
        return said_to_fit(self.kiln, self.load.stage, {x.form: x.count for x in self.drawn.too_much})

    @property
    def counts_right(self) -> tuple[tuple[str, str], ...]:
        """By name of a form of which more are counted than find a place by width, what says that its count is right."""
        fewer = self.drawn.fewer if self.drawn else ()
        return tuple(
            (f.name, self._limit([{"form": f.form, "count": f.by_width + 1}])) for f in fewer if not f.by_count
        )  # fmt: skip

    @property
    def too_much(self) -> str:
        """What to send to note the part of the load that is to blame where it finds no place."""
        assert self.drawn is not None
        return self._limit([{"form": x.form, "count": x.count} for x in self.drawn.too_much])

    @property
    def does_not_fit(self) -> str:
        """What to send to note that such a load does not fit the kiln."""
        return self._limit([{"form": p.form, "count": p.count} for p in self.load.parts])

    def _limit(self, counts: list[dict[str, Any]]) -> str:
        said = {"kiln": self.kiln.public_id, "version": self.kiln.version, "stage": self.load.stage, "counts": counts}
        return json.dumps(said)

    @property
    def over(self) -> bool:
        return self.height_mm > self.kiln.stack_mm or len(self.shelves) > self.kiln.shelves


@dataclass(frozen=True)
class Kilns:
    kilns: tuple[KilnView, ...]
    past: tuple[Load, ...]
    has_plan: bool


@dataclass(frozen=True)
class Ready:
    """Ware that can go into a kiln."""

    ware: str
    name: str
    pot: str
    count: int
    glaze: str = ""

    @property
    def of(self) -> str:
        """How many there are, and in which glaze."""
        there = _("of %(n)d") % {"n": self.count}
        return f"{self.glaze}, {there}" if self.glaze else there


@dataclass(frozen=True)
class Packing:
    """``programs`` of the kiln at that stage: public id and name."""

    kiln: Kiln
    stage: str
    programs: tuple[tuple[str, str], ...]
    wares: tuple[Ready, ...]
