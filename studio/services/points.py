"""The points of a profile as people enter them: a table of radius and height, or two columns pasted."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _

from studio import units
from studio.services.answers import Refused
from studio.services.fields import number

LINES = ("outer", "inner")
MOST_POINTS, MOST_MM = 200, 1000.0
MOST_TEXT = 10_000
Points = list[list[int]]


def read_points(payload: Mapping[str, Any]) -> dict[str, Points]:
    """By line its points in hundredths of a millimetre.

    ``outer_paste`` counts before the fields ``outer_r`` and ``outer_z``, one each a row (inches: ``outer_r_inch``);
    rows without an entry are left out. Raises ``Refused``, which names each row by ``outer.3.r`` counted from 0.
    """
    errors: dict[str, str] = {}
    found = {line: _pasted(payload, line, errors) or _table(payload, line, errors) for line in LINES}
    for line, points in found.items():
        if not errors and not 2 <= len(points) <= MOST_POINTS:
            errors[line] = _("Give from 2 to %(most)d points.") % {"most": MOST_POINTS}
    if errors:
        raise Refused(_("Nothing was saved yet: please look at what is marked."), errors=errors)
    return found


def _table(payload: Mapping[str, Any], line: str, errors: dict[str, str]) -> Points:
    each = units.MM_PER_INCH if f"{line}_r_inch" in payload or f"{line}_z_inch" in payload else 1.0
    end = "_inch" if each != 1 else ""
    columns = [payload.get(f"{line}_{c}{end}", []) for c in "rz"]
    r, z = (c if isinstance(c, list) else [c] for c in columns)
    rows = [(str(a).strip(), str(b).strip()) for a, b in zip(r, z, strict=False)]
    found = []
    for i, row in enumerate(x for x in rows[: MOST_POINTS + 50] if any(x)):
        point = [_read(entry, each, f"{line}.{i}.{c}", errors) for entry, c in zip(row, "rz", strict=True)]
        found.append(point)
    return found


def _pasted(payload: Mapping[str, Any], line: str, errors: dict[str, str]) -> Points:
    """Two columns, divided by blanks, tabs or semicolons; numbers with a point or a comma."""
    text = payload.get(f"{line}_paste", "")
    text = text[-1] if isinstance(text, list) and text else text
    if not isinstance(text, str) or not text.strip():
        return []
    name = f"{line}_paste"
    if len(text) > MOST_TEXT:
        errors[name] = _("That is too much text: at most %(most)d points.") % {"most": MOST_POINTS}
        return []
    each = units.MM_PER_INCH if units.current() == units.US else 1.0
    found = []
    for n, row in enumerate(text.strip().splitlines(), 1):
        cells = _cells(row)
        if not cells:
            continue
        wrong: dict[str, str] = {}
        point = [_read(c, each, name, wrong) for c in cells]
        if len(cells) != 2 or wrong:
            said = {"n": n, "row": row.strip()[:40]}
            errors[name] = _("Line %(n)d (“%(row)s”) is not two numbers: radius, then height.") % said
            return []
        found.append(point)
    return found


def _cells(row: str) -> list[str]:
    cells = row.replace(";", " ").split()
    if len(cells) == 1 and cells[0].count(",") == 1:
        return cells[0].split(",")
    return [c.rstrip(",") for c in cells]


def _read(entry: str, each: float, name: str, errors: dict[str, str]) -> int:
    value = number(entry) * each
    if not -MOST_MM <= value <= MOST_MM:
        most = f"{MOST_MM / each:.4g}"
        errors[name] = _("Enter a number, at most %(most)s.") % {"most": most}
        return 0
    return round(value * 100)
