"""How much each clay body shrinks: by bars that were measured, by what its maker says, or as is usual."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.translation import gettext as _

from planner.craft import shrinkage as craft
from planner.craft.ranges import OutOfRange
from studio.models import ClayBody, Form, Studio
from studio.queries.record import settled_of
from studio.record.facts import Fact

DRYING, TOTAL = 0.06, 0.12  # stoneware: common practice, no source
BARS = 10  # the last ones count


@dataclass(frozen=True)
class BodyShrinkage:
    """A body's shrinkage and what it rests on. ``id`` and ``name`` are "" where the studio has no clay in the book."""

    id: str
    name: str
    shrinkage: craft.Shrinkage
    source: str
    bars: int
    told: bool  # by a sheet; with no bars

    @property
    def drying_pct(self) -> float:
        return 100 * self.shrinkage.drying

    @property
    def total_pct(self) -> float:
        return 100 * self.shrinkage.total


def body_of(studio: Studio, form: Form | None) -> ClayBody | None:
    """The body that a form is pressed from; without a form, or where it names none, the studio's usual one."""
    if form is not None and form.clay is not None:
        return form.clay
    return ClayBody.objects.filter(studio=studio, retired_at=None).order_by("-usual", "pk").first()


def shrinkage_of(studio: Studio, body: ClayBody | None) -> BodyShrinkage:
    """Of a body: the average of its last bars, else what was told of it last, else the usual."""
    facts = _told_of(studio, body.public_id) if body is not None else []
    id_, name = (body.public_id, body.name) if body is not None else ("", "")
    bars = [s for f in facts if f.data["wet"] is not None and (s := shrinkage_said(f.data)) is not None][-BARS:]
    if bars:
        return BodyShrinkage(id_, name, craft.mean_of_bars(bars), _of_bars(bars), len(bars), False)
    told = [s for f in facts if (s := shrinkage_said(f.data)) is not None]
    if told:
        return BodyShrinkage(id_, name, told[-1], _("as its sheet says"), 0, True)
    usual = craft.Shrinkage.of_total(TOTAL, DRYING)
    return BodyShrinkage(id_, name, usual, _("common practice for stoneware, no source"), 0, False)


def _told_of(studio: Studio, body: str) -> list[Fact]:
    return [f for f in settled_of(studio, "shrinkage") if f.data["body"] == body]


def shrinkage_said(data: dict[str, object]) -> craft.Shrinkage | None:
    """What a fact of the kind ``shrinkage`` says: of a bar's three lengths, or by figures on their basis."""
    wet, dry, fired = (_over(data[k], 100) for k in ("wet", "dry", "fired"))
    drying, firing = (_over(data[k], 10_000) for k in ("drying", "firing"))
    try:
        if wet is not None and dry is not None and fired is not None:
            return craft.Shrinkage(craft.drying_shrinkage(wet, dry), craft.firing_shrinkage(dry, fired))
        if drying is None or firing is None:
            return None
        if data["basis"] == "total":
            return craft.Shrinkage.of_total(firing, drying)
        return craft.Shrinkage(drying, firing, craft.Basis(str(data["basis"])))
    except OutOfRange:
        return None


def _over(value: object, by: int) -> float | None:
    """Lengths are kept in hundredths of a millimetre, shares in hundredths of a per cent."""
    return value / by if isinstance(value, int) else None


def _of_bars(bars: Iterable[craft.Shrinkage]) -> str:
    totals = sorted(100 * b.total for b in bars)
    if len(totals) == 1:
        return _("by one bar")
    said = {"n": len(totals), "lo": f"{totals[0]:.1f}", "hi": f"{totals[-1]:.1f}"}
    return _("by %(n)d bars, %(lo)s to %(hi)s %% in all") % said
