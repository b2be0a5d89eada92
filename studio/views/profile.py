"""The profile of a form: its points, and what follows from them."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from studio import units
from studio.models import Form, FormProfile, Studio
from studio.queries.profile import ProfileView, profile_of
from studio.views.door import is_owner, studio_page
from studio.views.filled import Filled, filled, lines
from studio.views.refused import Refusal, take_refused

BLANKS = 4  # empty rows below those that are there


@studio_page
def profile(request: HttpRequest, studio: Studio, form: str) -> HttpResponse:
    """What is reckoned from the profile, and the table to enter it; ``?below=`` is a line under the brim."""
    rows = Form.objects.filter(studio=studio, public_id=form, retired_at=None).select_related("clay", "tool")
    row = rows.first()
    if row is None:
        raise Http404
    below = request.GET.get("below", "")
    view = profile_of(studio, row, below)
    refusal = take_refused(request, studio, "profile_save")
    end = "_inch" if units.current() == units.US else ""
    size = view.row.size if view.row is not None else FormProfile.Size.FIRED
    entry = filled(refusal, "profile_save", {"size": size, "outer_paste": "", "inner_paste": ""}, form=row.public_id)
    context = {
        "row": row, "view": view, "entry": entry, "sizes": FormProfile.Size.choices, "below": below, "end": end,
        "unit": units.INCHES.name if end else "mm",
        "tables": [(k, name, _table(entry, refusal, view, k, end)) for k, name in _names()],
        "owner": is_owner(request),
    }  # fmt: skip
    return render(request, "studio/profile.html", context)


def _names() -> tuple[tuple[str, str], ...]:
    return ("outer", _("Outside, from the middle of the foot to the rim")), (
        "inner",
        _("Inside, from the middle of the bottom to the rim"),
    )


def _table(entry: Filled, refusal: Refusal | None, view: ProfileView, line: str, end: str) -> list[Filled]:
    """The rows of one line, as they are or as they were entered, and some empty ones."""
    names = (f"{line}_r{end}", f"{line}_z{end}")
    each, digits = (units.MM_PER_INCH, 3) if end else (1.0, 2)
    start: list[dict[str, Any]] = [
        {n: _shown(v / each, digits) for n, v in zip(names, point, strict=True)} for point in view.points[line]
    ]
    made = lines(entry, start, dict.fromkeys(names, ""), line, BLANKS)
    return [Filled(x.kind, x.values, x.key, errors={f"{line}_{c}{end}": e for c, e in x.errors.items()}) for x in made]


def _shown(value: float, digits: int) -> str:
    return f"{value:.{digits}f}".rstrip("0").rstrip(".")
