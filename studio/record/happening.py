"""One fact as it meets the state: finding what it speaks of, and saying what does not add up."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from studio.record.facts import Fact
from studio.record.state import State, Tally, Trouble, Ware


@dataclass(frozen=True)
class Happening:
    """``fact`` meets ``state``. Nothing here fails: what is missing is a trouble, and the rest goes on."""

    state: State
    fact: Fact

    @property
    def data(self) -> dict[str, Any]:
        return self.fact.data

    def trouble(self, code: str, things: dict[str, str] | None = None, **counts: int) -> None:
        """Keep it that this fact contradicts the state."""
        self.state.troubles.append(Trouble(self.fact.id, code, things or {}, counts))

    def ware(self, ware_id: str, *stages: str) -> Ware | None:
        """The ware of that id if it is at one of ``stages``; else None and a trouble."""
        ware = self.state.ware.get(ware_id)
        if ware is None:
            self.trouble("no_such_ware", {"ware": ware_id})
        elif ware.stage not in stages:
            self.trouble("other_stage", {"ware": ware_id, "stage": ware.stage})
            return None
        return ware

    def claim(self, new_id: str) -> bool:
        """Take ``new_id`` for a new thing; False and a trouble if it was used before."""
        if new_id in self.state.ids:
            self.trouble("id_used", {"id": new_id})
            return False
        self.state.ids.add(new_id)
        return True

    def part_id(self, wanted: str) -> str:
        """``wanted``, or an id of this fact's own where that was used: pieces are never lost for a name."""
        if self.claim(wanted):
            return wanted
        n = 1
        while (new := f"{self.fact.id}.{n}") in self.state.ids:
            n += 1
        self.state.ids.add(new)
        return new

    def add(self, ware: Ware) -> None:
        self.state.ware[ware.id] = ware

    def up_to(self, ware: Ware, wanted: int) -> int:
        """``wanted`` pieces or as many as there are, with a trouble for the rest."""
        if wanted > ware.count:
            self.trouble("more_than_there_are", {"ware": ware.id}, said=wanted, there=ware.count)
        return min(wanted, ware.count)

    def take(self, ware: Ware, count: int) -> None:
        """Let ``count`` pieces go from ``ware``, which is forgotten when none is left."""
        ware.count -= count
        if ware.count <= 0:
            self.state.ware.pop(ware.id, None)

    def lose(self, form: str, stage: str, count: int) -> None:
        """Count ``count`` pieces as lost at ``stage``."""
        if count:
            key = f"{form}/{stage}"
            self.state.lost[key] = self.state.lost.get(key, 0) + count

    def split(self, ware: Ware, part_id: str, count: int) -> Ware:
        """``count`` pieces of ``ware`` as ware of their own; all of them stay under their id."""
        if count >= ware.count:
            return ware
        part = replace(ware, id=self.part_id(part_id), count=count, parent=ware.id, moulds=[], steps=list(ware.steps))
        ware.count -= count
        self.add(part)
        return part

    def tally(self, order: str | None, form: str, glaze: str) -> Tally:
        """The tally of an order line, or of stock."""
        if order is not None:
            return self.state.lines.setdefault(order, Tally())
        return self.stock(form, glaze)

    def stock(self, form: str, glaze: str) -> Tally:
        return self.state.stock.setdefault(f"{form}/{glaze}", Tally())
