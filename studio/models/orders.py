"""Who ordered what, and for when."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from studio.models.base import Retirable, StudioRow
from studio.models.shop import Form, Glaze

MOST_SPARE_DAYS = 28  # before its promised day, at the most


class Customer(Retirable):
    name = models.CharField(max_length=80)
    note = models.TextField(blank=True, max_length=2000)


class Order(StudioRow):
    class Weight(models.IntegerChoices):
        ORDINARY = 1, _("ordinary")
        IMPORTANT = 2, _("important")
        FIXED = 3, _("fixed date")

    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="orders")
    due = models.DateField()  # ready by the end of this day's last hours
    weight = models.PositiveSmallIntegerField(choices=Weight.choices, default=Weight.ORDINARY)
    note = models.TextField(blank=True, max_length=2000)
    placed_at = models.DateTimeField()
    cancelled_at = models.DateTimeField(null=True, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)  # all shipped


class OrderLine(StudioRow):
    """So many of one form in one glaze: the planner's order."""

    order = models.ForeignKey(Order, on_delete=models.CASCADE, related_name="lines")
    form = models.ForeignKey(Form, on_delete=models.PROTECT, related_name="+")
    glaze = models.ForeignKey(Glaze, on_delete=models.PROTECT, related_name="+")
    qty = models.PositiveIntegerField()
    spare_days = models.PositiveSmallIntegerField(default=0)  # planned so many days before the promised day, to be sure
    spare_pieces = models.PositiveIntegerField(default=0)  # started beyond what the usual losses ask for
    cancelled_at = models.DateTimeField(null=True, blank=True)

    class Meta(StudioRow.Meta):
        constraints = [
            *StudioRow.Meta.constraints,
            models.CheckConstraint(condition=Q(qty__gte=1) & Q(qty__lte=100_000), name="line_qty"),
        ]
