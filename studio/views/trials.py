"""Trial pressings of a form, on a page of their own."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from studio import units
from studio.models import Form, Studio, Tool
from studio.queries.choices import choices_of
from studio.queries.setting import setting_of
from studio.queries.trials import PLACES, Trials, trials_of
from studio.views.door import is_owner, studio_page
from studio.views.filled import filled
from studio.views.refused import take_refused


@studio_page
def trials(request: HttpRequest, studio: Studio, form: str) -> HttpResponse:
    """What was pressed, the ball to try next, and the form to enter one more."""
    row = Form.objects.filter(studio=studio, public_id=form, retired_at=None).select_related("tool").first()
    if row is None:
        raise Http404
    found, setting = trials_of(studio, row), setting_of(studio, row)
    us = units.current() == units.US
    start = _start(row, found, us)
    end = "_inch" if us else ""
    refusal = take_refused(request, studio, "trial_pressed", "setting_keep")
    kept = {"ball_g": row.ball_g, "stop": setting.stop, "tool": row.tool.public_id}
    won = found.setting
    context = {
        "row": row, "trials": found, "form": filled(refusal, "trial_pressed", start, form=row.public_id),
        "setting": setting, "keep": filled(refusal, "setting_keep", kept, form=row.public_id),
        "tools": choices_of(Tool, studio),
        "won": won if won is not None and not setting.same(won.ball_g, won.tool or row.tool.name, won.stop) else None,
        "measured": [(f"{p}{end}", name) for p, name in PLACES.items()],
        "wanted": [(f"{p}_wanted{end}", name) for p, name in PLACES.items()],
        "gauge": units.INCHES.name if us else "mm",
        "owner": is_owner(request),
    }  # fmt: skip
    return render(request, "studio/trials.html", context)


def _start(row: Form, found: Trials, us: bool) -> dict[str, Any]:
    """What the next entry begins with: the ball advised, the stop and the walls wanted as they were last."""
    last = found.last[-1] if found.last else None
    start: dict[str, Any] = {
        "ball_g": found.next.ball_g if found.next else row.ball_g, "spare_g": "", "filled": True,
        "stop": last.stop if last else "", "changed": "", "verdict": "again",
    }  # fmt: skip
    for place in PLACES:
        start[f"{place}{'_inch' if us else ''}"] = ""
        wanted = last.values.get(f"{place}_wanted") if last else None
        key = f"{place}_wanted{'_inch' if us else ''}"
        start[key] = "" if wanted is None else f"{wanted / 254:.3f}" if us else f"{wanted / 10:g}"
    return start
