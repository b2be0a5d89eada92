"""What a solution of a relaxation says of a plan: what is pressed, fired and glazed, and about when.

The proof makes it, the polish looks for a plan along it. Spans are minutes in which the work is to lie.
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.scenario import Span


@dataclass(frozen=True)
class Pressed:
    """``count`` pieces of ``form``, pressed within ``press`` and out of the mould by ``out_by``."""

    form: str
    count: int
    press: Span
    out_by: int


@dataclass(frozen=True)
class Lit:
    """A firing of ``program``, loaded within ``load`` and drawn by ``drawn_by``."""

    kiln: str
    program: str
    stage: str
    load: Span
    drawn_by: int


@dataclass(frozen=True)
class Dipped:
    """``count`` pieces of ``order`` glazed within ``glaze``."""

    order: str
    count: int
    glaze: Span


@dataclass(frozen=True)
class Skeleton:
    pressed: tuple[Pressed, ...]
    lit: tuple[Lit, ...]
    dipped: tuple[Dipped, ...]
