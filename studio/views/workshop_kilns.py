"""Kilns with their shelves and firings, and the glazes with the firings they go into."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils.dates import WEEKDAYS

from studio.defaults import KILNS
from studio.models import Form, Glaze, Kiln, Program, Stage, Studio
from studio.views.door import studio_page
from studio.views.filled import Filled, filled, hours, lines, things
from studio.views.refused import Refusal, take_refused
from studio.views.workshop import part

SIZES = ("name", "stack_mm", "shelf_mm", "shelves", "shelf_kind", "load_min", "unload_min")
FIRING = {"program": "", "fire_min_h": "", "cool_min_h": "", "kwh": ""}
START = {"weekday": "", "starts": "", "ends": ""}


@dataclass(frozen=True)
class Note:
    """A load noted on a kiln, by its place among the notes; ``how`` "fits", or too much by "placed" or a person."""

    place: int
    stage: str
    what: str
    how: str


@dataclass(frozen=True)
class KilnForm:
    """A kiln with its form and the form's lines."""

    row: Kiln | None
    form: Filled
    firings: list[Filled]
    starts: list[Filled]
    fires: tuple[tuple[str, str], ...] = ()  # its programs: public id and name
    notes: tuple[Note, ...] = ()


@studio_page
def workshop_kilns(request: HttpRequest, studio: Studio) -> HttpResponse:
    """Each kiln, and the firings that the studio knows by name."""
    refusal = take_refused(request, studio, "kiln_save", "program_save")
    rows = Kiln.objects.filter(studio=studio, retired_at=None).order_by("pk")
    rows = rows.prefetch_related("kiln_programs__program", "starts")
    programs = Program.objects.filter(studio=studio, retired_at=None).order_by("stage", "name")
    names = dict(Form.objects.filter(studio=studio).values_list("public_id", "name"))
    context = {
        "kilns": [replace(_kiln(refusal, k), notes=_notes(k, names)) for k in rows],
        "new": _kiln(refusal, None), "sizes": KILNS.items(),
        "programs": things(refusal, "program_save", "program", programs, _program),
        "new_program": filled(refusal, "program_save", {"name": "", "stage": "bisque"}, program=""),
        "program_choices": [(p.public_id, p.name) for p in programs], "stages": Stage.choices,
        "weekdays": [(d, WEEKDAYS[d]) for d in range(7)],
    }  # fmt: skip
    return part(request, studio, "studio/workshop_kilns.html", "kiln", context)


def _notes(row: Kiln, names: dict[str, str]) -> tuple[Note, ...]:
    def note(place: int, said: dict[str, Any]) -> Note:
        what = ", ".join(f"{n} × {names.get(form, form)}" for form, n in said["counts"].items())
        how = "fits" if said.get("fits") else "placed" if said.get("placed") else ""
        return Note(place, str(Stage(said["stage"]).label), what, how)

    return tuple(sorted((note(i, x) for i, x in enumerate(row.limits)), key=lambda n: n.how == "fits"))


def _program(row: Program) -> dict[str, Any]:
    return {"name": row.name, "stage": row.stage}


def _kiln(refusal: Refusal | None, row: Kiln | None) -> KilnForm:
    if row is None:
        usual = KILNS["large"]
        start = {k: getattr(usual, k) for k in SIZES} | {"name": ""}
        form = filled(refusal, "kiln_save", start, kiln="")
        return KilnForm(None, form, lines(form, [], FIRING, "programs", 2), lines(form, [], START, "start_spans", 1))
    form = filled(refusal, "kiln_save", {k: getattr(row, k) for k in SIZES}, version=row.version, kiln=row.public_id)
    firings = [
        {"program": t.program.public_id, "fire_min_h": hours(t.fire_min), "cool_min_h": hours(t.cool_min), "kwh": t.kwh}
        for t in row.kiln_programs.all()
    ]
    starts = [
        {"weekday": s.weekday, "starts": s.starts, "ends": s.ends}
        for s in sorted(row.starts.all(), key=lambda s: (s.weekday, s.starts))
    ]
    spans = lines(form, starts, START, "start_spans", 1)
    fires = tuple((t.program.public_id, t.program.name) for t in row.kiln_programs.all())
    return KilnForm(row, form, lines(form, firings, FIRING, "programs", 1), spans, fires)


@studio_page
def workshop_glazes(request: HttpRequest, studio: Studio) -> HttpResponse:
    """Each glaze."""
    refusal = take_refused(request, studio, "glaze_save")
    rows = Glaze.objects.filter(studio=studio, retired_at=None).order_by("name").prefetch_related("programs")
    programs = Program.objects.filter(studio=studio, retired_at=None, stage=Stage.GLOST).order_by("name")
    choices = [(p.public_id, p.name) for p in programs]
    start = {"name": "", "fixed_min": 25, "programs": [c[0] for c in choices]}
    context = {
        "glazes": things(refusal, "glaze_save", "glaze", rows, _glaze), "programs": choices,
        "new": filled(refusal, "glaze_save", start, glaze=""),
    }  # fmt: skip
    return part(request, studio, "studio/workshop_glazes.html", "glazes", context)


def _glaze(row: Glaze) -> dict[str, Any]:
    fired = [p.public_id for p in row.programs.all()]
    return {"name": row.name, "fixed_min": row.fixed_min, "programs": fired}
