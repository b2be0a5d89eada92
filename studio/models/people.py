"""The people, their week, and the time that is taken from it."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from studio.models.base import Retirable, StudioRow


class Person(Retirable):
    """Somebody with two hands. ``skills`` is a list of task kinds, or null for all of them."""

    name = models.CharField(max_length=80)
    skills = models.JSONField(null=True, blank=True)


class WeeklyHours(StudioRow):
    """A stretch of a weekday (0 = Monday, local wall time); an ``evening`` is worked only where it helps."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="weekly_hours")
    weekday = models.PositiveSmallIntegerField()
    starts = models.TimeField()
    ends = models.TimeField()
    evening = models.BooleanField(default=False)

    class Meta(StudioRow.Meta):
        constraints = [
            *StudioRow.Meta.constraints,
            models.CheckConstraint(condition=Q(weekday__lte=6), name="hours_weekday"),
            models.CheckConstraint(condition=Q(ends__gt=F("starts")), name="hours_end_after_start"),
        ]


class DayOff(StudioRow):
    """Whole days away, both dates included."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="days_off")
    first = models.DateField()
    last = models.DateField()

    class Meta(StudioRow.Meta):
        constraints = [
            *StudioRow.Meta.constraints,
            models.CheckConstraint(condition=Q(last__gte=F("first")), name="day_off_last_after_first"),
        ]


class BlockedTime(Retirable):
    """Teaching, office, a fair: time in which people, a station or a kiln is taken, weekly or on one date."""

    name = models.CharField(max_length=80)
    weekday = models.PositiveSmallIntegerField(null=True, blank=True)
    date = models.DateField(null=True, blank=True)
    starts = models.TimeField()
    ends = models.TimeField()
    people = models.ManyToManyField(Person, blank=True, related_name="+")
    stations = models.ManyToManyField("studio.Station", blank=True, related_name="+")
    kilns = models.ManyToManyField("studio.Kiln", blank=True, related_name="+")

    class Meta(Retirable.Meta):
        constraints = [
            *StudioRow.Meta.constraints,
            models.CheckConstraint(
                condition=Q(weekday__isnull=True) ^ Q(date__isnull=True), name="blocked_weekly_or_on_a_date"
            ),
            models.CheckConstraint(condition=Q(ends__gt=F("starts")), name="blocked_end_after_start"),
        ]
