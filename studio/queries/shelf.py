"""Finished pots on the shelf that are nobody's, and the orders that seconds among them could serve."""

from __future__ import annotations

from dataclasses import dataclass

from studio.models import Form, Glaze, OrderLine, Studio
from studio.queries.state import state_of
from studio.translate.rows import Rows
from studio.translate.shelf import Shares, kind_of, shares_of
from studio.words import pot_mark


@dataclass(frozen=True)
class Pots:
    """Finished pots of one form and glaze; ``lacking``: open lines that seconds of them could serve, with how many
    each lacks."""

    form: Form
    glaze: Glaze
    firsts: int
    seconds: int
    lacking: tuple[tuple[OrderLine, int], ...] = ()

    @property
    def pot(self) -> str:
        return pot_mark(self.form.kind)

    @property
    def key(self) -> str:
        return f"{self.form.public_id}-{self.glaze.public_id}"


def on_shelf(studio: Studio) -> tuple[Pots, ...]:
    """What is nobody's, by form and glaze."""
    rows = Rows(studio)
    shares = shares_of(state_of(studio), rows.lines)
    kinds = sorted(kind for kind in {*shares.firsts, *shares.seconds} if _some(shares, kind))
    forms = {f.public_id: f for f in rows.forms}
    glazes = {g.public_id: g for g in Glaze.objects.filter(studio=studio)}
    found = []
    for form, glaze in (kind.split("/", 1) for kind in kinds):
        if form in forms and glaze in glazes:
            found.append(_pots(forms[form], glazes[glaze], shares, rows.lines))
    return tuple(sorted(found, key=lambda p: (p.form.name, p.glaze.name)))


def _some(shares: Shares, kind: str) -> int:
    return shares.firsts.get(kind, 0) + shares.seconds.get(kind, 0)


def _pots(form: Form, glaze: Glaze, shares: Shares, lines: list[OrderLine]) -> Pots:
    kind = f"{form.public_id}/{glaze.public_id}"
    firsts, seconds = shares.firsts.get(kind, 0), shares.seconds.get(kind, 0)
    mine = [(x, shares.lines[x.public_id].missing) for x in lines if seconds and kind_of(x) == kind]
    return Pots(form, glaze, firsts, seconds, tuple((x, n) for x, n in mine if n))
