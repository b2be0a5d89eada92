"""What was said of the air, kept on record; the air that the studio reckons with is the last that stands."""

from __future__ import annotations

from typing import Any

from studio.models import Fact as FactRow
from studio.queries.record import read_facts, spoken_of
from studio.record.facts import Fact
from studio.record.form import ABOUT_FACTS
from studio.record.settle import settle
from studio.services.context import Context

FIELDS = {"week": "week", "tenths_c": "air_tenths_c", "humidity_pct": "air_humidity_pct"}  # of a fact: of the studio
NEW = 1 << 40  # a place in the record behind all that is there


def note_air(ctx: Context, was: dict[str, Any] | None = None) -> None:
    """Put the air that the studio has now on record, unless it is what it ``was``."""
    now = air_now(ctx)
    if now != was:
        ctx.fact("air", now)


def air_now(ctx: Context) -> dict[str, Any]:
    """The studio's air as a fact tells it."""
    return {key: getattr(ctx.studio, field) for key, field in FIELDS.items()}


def air_again(ctx: Context, of: list[str]) -> None:
    """After an undo or a correction ``of`` facts: if one of them told of the air, the last word that stands holds."""
    if all(f.kind != "air" for f in spoken_of(ctx.studio, of)):
        return
    rows = FactRow.objects.filter(studio=ctx.studio, kind__in=("air", *ABOUT_FACTS))
    new = [Fact(d.id, d.kind, d.happened, NEW + i, d.happened, data=d.data) for i, d in enumerate(ctx.drafts)]
    standing = [x.fact for x in settle([*read_facts(rows), *new]) if x.fact.kind == "air"]
    last = max(standing, key=lambda f: f.place, default=None)
    if last is not None:
        for key, field in FIELDS.items():
            setattr(ctx.studio, field, last.data[key])
        ctx.touch(ctx.studio)
