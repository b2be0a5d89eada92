"""Plans, the runs that made them, and the tasks a person wants left alone."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from studio.models.base import StudioRow


class Plan(StudioRow):
    """A checked plan with the scenario it answers and the place in the record it was built on."""

    start = models.DateTimeField()  # minute 0
    scenario = models.JSONField()
    plan = models.JSONField()
    record_seq = models.PositiveBigIntegerField()
    made_at = models.DateTimeField()
    is_current = models.BooleanField(default=False)
    accepted_at = models.DateTimeField(null=True, blank=True)
    left_at = models.DateTimeField(null=True, blank=True)  # when another took its place, or it was left unused
    before = models.ForeignKey("self", null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    changes = models.JSONField(default=list)  # against the plan before, worded by studio.changes
    way = models.CharField(max_length=8, blank=True)  # where two were made: which of the two ways this one is
    sure = models.JSONField(null=True, blank=True)  # how sure its dates are; None while nobody has reckoned it
    margins = models.JSONField(default=dict, blank=True)  # by order line: minutes it was planned before its day
    rests = models.JSONField(null=True, blank=True)  # what ``sure`` rests on: so many tasks, pieces, since when
    helps = models.JSONField(null=True, blank=True)  # what would help; None while nobody has looked
    looked_seq = models.PositiveBigIntegerField(null=True, blank=True)  # the place in the record that ``sure`` knows
    look_until = models.DateTimeField(null=True, blank=True)  # the lease of the worker that looks at it
    look_tries = models.PositiveSmallIntegerField(default=0)

    class Meta(StudioRow.Meta):
        constraints = [
            *StudioRow.Meta.constraints,
            models.UniqueConstraint(fields=["studio"], condition=Q(is_current=True), name="one_current_plan"),
        ]


class PlanLoad(StudioRow):
    """One firing of a plan with the place of every piece, as the worker found it when the plan was made."""

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="loads")
    firing = models.CharField(max_length=80)
    fits = models.BooleanField()  # whether every piece found a place
    shelves = models.JSONField()  # from the bottom up, pieces by form
    laid = models.JSONField()  # what it was laid out from and where each piece stands: studio.queries.laid_kept

    class Meta(StudioRow.Meta):
        constraints = [
            *StudioRow.Meta.constraints,
            models.UniqueConstraint(fields=["plan", "firing"], name="one_load_a_plan_and_firing"),
        ]


class PlanRun(StudioRow):
    """One wish for a new plan, or one question by when something could be ready: the only truth about it, whatever
    happens to the worker. A question never stands in the way of a plan that is needed now."""

    class Kind(models.TextChoices):
        PLAN = "plan", _("a new plan")
        WHEN = "when", _("when it could be ready")

    class State(models.TextChoices):
        WAITING = "waiting", _("waiting to start")
        RUNNING = "running", _("being worked on")
        DONE = "done", _("done")
        IMPOSSIBLE = "impossible", _("cannot be done as things stand")
        STOPPED = "stopped", _("stopped")
        FAILED = "failed", _("broke off")

    kind = models.CharField(max_length=8, choices=Kind.choices, default=Kind.PLAN)
    state = models.CharField(max_length=12, choices=State.choices, default=State.WAITING)
    why = models.CharField(max_length=40, blank=True)  # what it was asked for: week, mould, kiln, …
    about = models.JSONField(default=dict)
    seconds = models.PositiveIntegerField(default=20)
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    asked_at = models.DateTimeField()
    started_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    lease_until = models.DateTimeField(null=True, blank=True)
    heartbeat_at = models.DateTimeField(null=True, blank=True)
    worker = models.CharField(max_length=80, blank=True)
    attempts = models.PositiveSmallIntegerField(default=0)
    stop_wish = models.BooleanField(default=False)
    progress = models.JSONField(default=dict)
    result = models.JSONField(default=dict)  # the answer to a question, the best so far
    message = models.TextField(blank=True)
    reasons = models.JSONField(default=list)
    plan = models.ForeignKey(Plan, null=True, blank=True, on_delete=models.SET_NULL, related_name="runs")
    other = models.ForeignKey(Plan, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")  # the other way

    class Meta(StudioRow.Meta):
        constraints = [
            *StudioRow.Meta.constraints,
            models.UniqueConstraint(
                fields=["studio", "kind"], condition=Q(state__in=["waiting", "running"]), name="one_run_of_a_kind"
            ),
        ]


class Pin(StudioRow):
    """A planned task that is to stay as it is."""

    task = models.CharField(max_length=80)
    until = models.DateTimeField(null=True, blank=True)

    class Meta(StudioRow.Meta):
        constraints = [
            *StudioRow.Meta.constraints,
            models.UniqueConstraint(fields=["studio", "task"], name="pin_once"),
        ]
