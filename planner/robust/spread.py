"""How much durations vary and how many pieces are lost: what a studio has recorded, or stated defaults."""

from __future__ import annotations

from dataclasses import dataclass, field
from random import Random


@dataclass(frozen=True, slots=True)
class Range:
    """A factor on a planned duration: ``low`` at the least, ``usual`` most often, ``high`` at the most."""

    low: float
    usual: float
    high: float

    def __post_init__(self) -> None:
        if not 0 < self.low <= self.usual <= self.high <= 100:
            raise ValueError(f"{self} is no range: 0 < low ≤ usual ≤ high ≤ 100")

    def draw(self, chance: Random) -> float:
        return self.low if self.low == self.high else chance.triangular(self.low, self.high, self.usual)


@dataclass(frozen=True, slots=True)
class Losses:
    """The share of pieces lost from pressing to bone-dry, in the bisque, and in the glost with sorting."""

    making: float = 0.04
    bisque: float = 0.01
    glost: float = 0.04

    def __post_init__(self) -> None:
        for share in (self.making, self.bisque, self.glost):
            if not 0 <= share < 1:
                raise ValueError(f"{share} is no share of lost pieces: 0 or more, below 1")

    @property
    def survival(self) -> float:
        """The share of what is pressed that comes out as firsts."""
        return (1 - self.making) * (1 - self.bisque) * (1 - self.glost)


@dataclass(frozen=True)
class Spread:
    """All defaults are common practice, no source: to be replaced by what the studio has recorded.

    ``work``: each attended task; ``kinds``: of certain kinds of task instead. ``weather``: drying of clay, glaze and
    moulds, one draw for a whole run (a damp week is damp for all); ``fire`` and ``cool``: each firing.
    ``losses``: of forms named here, ``usual_losses`` of the others. Ware kept in the mould or leather-hard more than
    ``grace`` minutes past its window is lost with the chance ``past_window``, piece by piece.
    """

    work: Range = Range(0.85, 1.0, 1.3)
    kinds: dict[str, Range] = field(default_factory=dict)
    weather: Range = Range(0.85, 1.0, 1.2)
    fire: Range = Range(0.97, 1.0, 1.05)
    cool: Range = Range(0.9, 1.0, 1.15)
    usual_losses: Losses = Losses()
    losses: dict[str, Losses] = field(default_factory=dict)
    grace: int = 120
    past_window: float = 0.5

    def of_form(self, form: str) -> Losses:
        return self.losses.get(form, self.usual_losses)

    def of_kind(self, kind: str) -> Range:
        return self.kinds.get(kind, self.work)


STEADY = Range(1.0, 1.0, 1.0)
NOTHING = Spread(work=STEADY, weather=STEADY, fire=STEADY, cool=STEADY, usual_losses=Losses(0, 0, 0), past_window=0)
