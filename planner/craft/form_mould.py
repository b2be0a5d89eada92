"""The moulds of a form before any was weighed: what a pot leaves in them, and the constants to begin with."""

from __future__ import annotations

from math import log, log1p

from planner.craft.moisture import Basis, Moisture
from planner.craft.moulds import ORDINARY_PA, READY_SHARE, Mould, rate_from_rest, water_taken_g
from planner.craft.ranges import within
from planner.craft.ware import PRESSED, Ware, moisture_out, share_to_mould

USUAL_DAYS = 8.0  # from lifting a new mould to its first use, in an ordinary week: common practice, no source


def uptake_g(
    ware: Ware,
    ball_g: float,
    spare_g: float,
    hours: float,
    deficit_pa: float = ORDINARY_PA,
    covered: bool = False,
    mould_share: float = READY_SHARE,
) -> float:
    """Grams of water that one pot leaves in its mould in these hours (0.1 to 1000), in this air, open or covered.

    What the piece loses by the two-period law (``ware.moisture_out``) × the plaster's share (``ware.share_to_mould``).
    """
    within(hours, 0.1, 1000, "the time in the mould", "h")
    out = Moisture(moisture_out(ware, hours, deficit_pa, covered, mould_share), Basis.DRY)
    share = share_to_mould(ware, deficit_pa, covered, mould_share)
    return water_taken_g(ball_g, spare_g, Moisture(PRESSED, Basis.DRY), out, share)


def usual_mould(dry_g: float, uptake: float, rest_h: float, days: float = USUAL_DAYS) -> Mould:
    """A mould whose constants give the usual rest back and, where that is possible, the usual days of a new mould too.

    Rest 0.5 to 500 h, days 1 to 60, both in an ordinary week; ``uptake`` in grams a pressing. With a = uptake / dry
    weight, F the free water of a new mould, T the days in hours, the free water x of a mould ready to press in solves
    ln(1 + a/x) / rest = ln(F/x) / T: both are the rate of drying. The left side less the right falls until
    x = a (T/rest − 1) and rises after it, so the lower root is found by halving below that; without one x is 5 %.
    Worked out here from hours of practice.
    """
    plain = Mould(dry_g, uptake, rate_from_rest(rest_h, uptake, READY_SHARE * dry_g))
    hours, a, full = 24 * within(days, 1, 60, "the days of a new mould", "d"), uptake / dry_g, plain.full_share

    def excess(x: float) -> float:
        return log1p(a / x) / rest_h - log(full / x) / hours

    low, high = 0.001, min(full, a * (hours / rest_h - 1))
    if high <= low or excess(high) >= 0 or excess(low) <= 0:
        return plain
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if excess(middle) > 0 else (low, middle)
    return Mould(dry_g, uptake, rate_from_rest(rest_h, uptake, high * dry_g), ready_share=high)
