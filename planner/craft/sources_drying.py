"""Where the formulas for air, moulds, ware and plaster come from."""

from __future__ import annotations

from planner.craft.rows import Row

ROWS: tuple[Row, ...] = ()
