"""What the studio makes with: stations, racks, glazes, programs, kilns, tools, forms, moulds, casts, jobs."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from studio.models.base import Retirable, StudioRow


class Stage(models.TextChoices):
    BISQUE = "bisque", _("bisque")
    GLOST = "glost", _("glost")


class Station(Retirable):
    """A machine, wheel or bench; ``kinds`` lists the task kinds done there, one at a time."""

    name = models.CharField(max_length=80)
    kinds = models.JSONField(default=list)


class Rack(Retirable):
    """Room for ware boards."""

    class Use(models.TextChoices):
        DAMP = "damp", _("damp cupboard")
        DRYING = "drying", _("drying rack")
        GLAZED = "glazed", _("glazed ware")

    name = models.CharField(max_length=80)
    use = models.CharField(max_length=8, choices=Use.choices)
    boards = models.PositiveIntegerField()


class Program(Retirable):
    """A firing that the studio knows by name; how long it takes is told by kiln."""

    name = models.CharField(max_length=80)
    stage = models.CharField(max_length=8, choices=Stage.choices)
    # As it is set: [{"rate": tenths of °C an hour, "target": tenths of °C, "hold": minutes}], or nothing.
    ramps = models.JSONField(default=list, blank=True)


class Glaze(Retirable):
    """A glaze and the glost programs it may be fired with; whether it is tested for food is a matter of the record."""

    name = models.CharField(max_length=80)
    fixed_min = models.PositiveIntegerField(default=25)
    programs = models.ManyToManyField(Program, blank=True, related_name="glazes")


class Kiln(Retirable):
    name = models.CharField(max_length=80)
    stack_mm = models.PositiveIntegerField()
    shelf_mm = models.PositiveIntegerField(default=20)
    shelves = models.PositiveIntegerField()
    load_min = models.PositiveIntegerField(default=60)
    unload_min = models.PositiveIntegerField(default=40)
    shelf_kind = models.CharField(max_length=8, default="590")  # which column of the shelf table fits it
    power_tenths_kw = models.PositiveIntegerField(null=True, blank=True)  # by its plate
    open_tenths_c = models.PositiveSmallIntegerField(default=1000)  # it may be opened: common practice, no source
    # Loads known not to fit: [{"stage", "counts": {form: n}}], with "placed" where the places of a plan's pieces showed
    # it; with "fits" instead, loads of which the studio says that they do go in.
    limits = models.JSONField(default=list)


class KilnProgram(StudioRow):
    """How long a program takes in one kiln, and what it uses: as the studio has put it in.

    ``keeps``: it is planned with these figures, whatever recorded firings say.
    """

    kiln = models.ForeignKey(Kiln, on_delete=models.CASCADE, related_name="kiln_programs")
    program = models.ForeignKey(Program, on_delete=models.PROTECT, related_name="+")
    fire_min = models.PositiveIntegerField()
    cool_min = models.PositiveIntegerField()
    kwh = models.PositiveIntegerField()
    keeps = models.BooleanField(default=False)

    class Meta(StudioRow.Meta):
        constraints = [
            *StudioRow.Meta.constraints,
            models.UniqueConstraint(fields=["kiln", "program"], name="one_timing_a_kiln_and_program"),
        ]


class KilnStart(StudioRow):
    """A stretch of a weekday in which the kiln may be lit; none at all = any time."""

    kiln = models.ForeignKey(Kiln, on_delete=models.CASCADE, related_name="starts")
    weekday = models.PositiveSmallIntegerField()
    starts = models.TimeField()
    ends = models.TimeField()

    class Meta(StudioRow.Meta):
        constraints = [
            *StudioRow.Meta.constraints,
            models.CheckConstraint(condition=Q(ends__gt=F("starts")), name="kiln_start_end_after_start"),
        ]


class Tool(Retirable):
    """A profile tool; it may form several forms."""

    name = models.CharField(max_length=80)
    setup_min = models.PositiveIntegerField(default=25)
    recheck_min = models.PositiveIntegerField(default=5)
    check_after = models.PositiveIntegerField(default=1000)  # pressings; common practice, no source


class Form(Retirable):
    """A shape that the studio makes. Its timings are dated and stand in :class:`FormTimings`.

    One that began as a drawing has ``begun_at``; ``life`` says how its steps are planned: ``{"minutes": {step:
    minutes}, "person": public id or null}``.
    """

    class Foot(models.TextChoices):
        MOULD = "mould", _("from the mould")
        TURNED = "turned", _("turned")

    name = models.CharField(max_length=80)
    kind = models.CharField(max_length=20)  # a key of studio.defaults: egg_cup, beaker, mug, bowl, …
    fired_mm = models.PositiveIntegerField()
    foot = models.CharField(max_length=8, choices=Foot.choices, default=Foot.MOULD)
    handle = models.BooleanField(default=False)
    ball_g = models.PositiveIntegerField()
    in_cupboard = models.BooleanField(default=False)  # its moulds dry in the studio's drying cupboard
    tool = models.ForeignKey(Tool, on_delete=models.PROTECT, related_name="forms")
    clay = models.ForeignKey(  # none: the studio's usual body
        "studio.ClayBody", null=True, blank=True, on_delete=models.PROTECT, related_name="forms"
    )
    begun_at = models.DateTimeField(null=True, blank=True)
    life = models.JSONField(default=dict, blank=True)


class FormProfile(StudioRow):
    """The profile of a form, valid from an instant on; an edit adds a row.

    ``outer`` and ``inner`` are lists of ``[radius, height]`` in hundredths of a millimetre, from the middle outwards.
    """

    class Size(models.TextChoices):
        FIRED = "fired", _("as fired")
        MOULD = "mould", _("as in the mould, wet")

    form = models.ForeignKey(Form, on_delete=models.CASCADE, related_name="profiles")
    valid_from = models.DateTimeField()
    size = models.CharField(max_length=8, choices=Size.choices, default=Size.FIRED)
    outer = models.JSONField()
    inner = models.JSONField()


class FormTimings(StudioRow):
    """What the planner needs of a form, valid from an instant on; an edit adds a row, so the past stays as it was.

    ``*_s`` are seconds a piece, ``*_min`` minutes; windows are ``[lo, hi]`` minutes or null.
    """

    form = models.ForeignKey(Form, on_delete=models.CASCADE, related_name="timings")
    valid_from = models.DateTimeField()
    press_s = models.PositiveIntegerField()
    release_s = models.PositiveIntegerField()
    glaze_s = models.PositiveIntegerField()
    finish_s = models.PositiveIntegerField()
    release_after = models.JSONField()
    release_after_covered = models.JSONField(null=True, blank=True)
    mould_rest_min = models.PositiveIntegerField()
    mould_rest_damp_min = models.PositiveIntegerField()
    steps = models.JSONField(default=list)  # [{"kind", "fixed", "each_s", "after", "after_covered"}]
    dry_min = models.PositiveIntegerField()
    dry_damp_min = models.PositiveIntegerField()
    green_per_board = models.PositiveIntegerField()
    glazed_per_board = models.PositiveIntegerField()
    bisque = models.JSONField()  # {"clearance_mm", "per_shelf": {kiln public id: pieces}}
    glost = models.JSONField()
    glaze_dry_min = models.PositiveIntegerField(default=240)
    loss_making_pct = models.PositiveSmallIntegerField(default=4)
    loss_bisque_pct = models.PositiveSmallIntegerField(default=1)
    loss_glost_pct = models.PositiveSmallIntegerField(default=4)

    class Meta(StudioRow.Meta):
        constraints = [
            *StudioRow.Meta.constraints,
            models.UniqueConstraint(fields=["form", "valid_from"], name="one_timing_a_form_and_instant"),
        ]


class Mould(Retirable):
    """A working mould. ``life`` is the number of pressings it is expected to stand, ``uses_before`` those it
    had before this record began, ``ready_from`` the first instant it is dry enough when new."""

    form = models.ForeignKey(Form, on_delete=models.PROTECT, related_name="moulds")
    number = models.PositiveIntegerField()  # cut into the plaster
    ready_from = models.DateTimeField()
    uses_before = models.PositiveIntegerField(default=0)
    life = models.PositiveIntegerField(default=90)

    class Meta(Retirable.Meta):
        constraints = [
            *StudioRow.Meta.constraints,
            models.UniqueConstraint(fields=["form", "number"], name="mould_number_in_form"),
        ]


class Cast(Retirable):
    """A working mould that could be poured; its ``public_id`` becomes the mould's when it is lifted."""

    form = models.ForeignKey(Form, on_delete=models.PROTECT, related_name="casts")
    pour_min = models.PositiveIntegerField(default=45)
    lift_after = models.JSONField(default=list)  # [lo, hi] minutes
    lift_min = models.PositiveIntegerField(default=10)
    dry_min = models.PositiveIntegerField(default=8 * 1440)
    uses = models.PositiveIntegerField(default=90)
    holds = models.JSONField(default=list)  # names of the model and the frame it occupies
    cost = models.PositiveIntegerField(default=3)
    required = models.BooleanField(default=False)


class Job(Retirable):
    """Other work that must be done: once between two instants, or weekly between two wall times."""

    name = models.CharField(max_length=80)
    minutes = models.PositiveIntegerField()
    person = models.ForeignKey("studio.Person", null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    station = models.ForeignKey(Station, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    weekday = models.PositiveSmallIntegerField(null=True, blank=True)
    starts = models.TimeField(null=True, blank=True)
    ends = models.TimeField(null=True, blank=True)
    not_before = models.DateTimeField(null=True, blank=True)
    not_after = models.DateTimeField(null=True, blank=True)
