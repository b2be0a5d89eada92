"""All formulas of this package with their sources, for a page that shows how the studio reckons.

Each half keeps its rows in a file of its own. A test holds that each public function of the package has a row.
"""

from __future__ import annotations

from planner.craft import sources_drying, sources_making, sources_plaster
from planner.craft.rows import Row

ROWS: tuple[Row, ...] = (*sources_drying.ROWS, *sources_plaster.ROWS, *sources_making.ROWS)


def by_subject() -> dict[str, tuple[Row, ...]]:
    """The rows under their subjects, both in the order in which they are written."""
    subjects = dict.fromkeys(row.subject for row in ROWS)
    return {subject: tuple(row for row in ROWS if row.subject == subject) for subject in subjects}
