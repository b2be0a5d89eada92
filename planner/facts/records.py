"""What a plan's references lead to, as records. Unknown minutes are ``None``."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from planner.plan import Batch, Firing, Task
from planner.scenario import Form, InMould, Kiln, Program, Released, Span, Step

NOW = "now:"  # begins the ids of the loads that are in a kiln at minute 0


class Use(NamedTuple):
    """What a task is for: a thing and the kind and minutes of the task that it needs (``None``: not said here)."""

    role: str
    thing: str
    task: str
    kind: str | None
    minutes: int | None


class SetUp(NamedTuple):
    """Minutes before the first ball is pressed; ``full`` if the tool had to be mounted."""

    minutes: int
    full: bool


@dataclass(frozen=True, slots=True)
class Made:
    """A batch from the mould to bone-dry. Unknown minutes are ``None``."""

    batch: Batch
    form: Form | None
    count: int
    wip: InMould | Released | None
    spoiled: bool
    press: Task | None
    release: Task | None
    todo: tuple[Step, ...]
    steps: tuple[Task | None, ...]
    pressed_end: int | None
    first: int | None  # minute the first piece was pressed
    taken_out: Span | None

    @property
    def pressed_here(self) -> bool:
        """Whether the plan itself presses this batch."""
        return self.wip is None

    @property
    def leather_end(self) -> int | None:
        """Minute the leather-hard work is over: the last step's end, or the release's if there is none."""
        if not self.todo:
            return self.taken_out.b if self.taken_out else None
        last = self.steps[-1] if len(self.steps) == len(self.todo) else None
        return last.end if last else None

    @property
    def dry_at(self) -> int | None:
        end = self.leather_end
        return None if end is None or self.form is None else end + self.form.dry


@dataclass(frozen=True, slots=True)
class Pieces:
    """Part of a kiln load."""

    source: str
    form: str | None
    order: str | None
    count: int


@dataclass(frozen=True, slots=True)
class Kilnful:
    """A firing of the plan, or the load now in a kiln (``present``)."""

    firing: Firing
    kiln: Kiln | None
    program: Program | None
    stage: str | None
    load: Task | None
    unload: Task | None
    present: bool
    pieces: tuple[Pieces, ...]

    @property
    def out(self) -> int | None:
        """Minute its ware is out of the kiln."""
        return self.unload.end if self.unload else None


@dataclass(frozen=True, slots=True)
class Green:
    """Green ware that may be loaded for bisque from minute ``ready``."""

    form: str
    count: int
    ready: int | None
    spoiled: bool


@dataclass(frozen=True, slots=True)
class Glost:
    """Glazed ware that may be loaded for glost from minute ``ready``."""

    form: str
    order: str | None
    glaze: str
    count: int
    ready: int | None


class Ware(NamedTuple):
    """Fired ware by form (bisque) or order (glost), there from minute ``at``."""

    held: dict[str, int]
    at: int | None
