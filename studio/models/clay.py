"""Clay bodies and mixes of plaster by name. Batches, bags and what is used of them are facts of the record."""

from __future__ import annotations

from django.db import models

from studio.models.base import Retirable, StudioRow


class ClayBody(Retirable):
    """A clay by its name; ``usual`` marks the one of all forms that name no other."""

    name = models.CharField(max_length=80)
    usual = models.BooleanField(default=False)


class MouldMix(StudioRow):
    """The plaster that one mould of a form takes. ``asked`` holds the figures that it was worked out from."""

    form = models.OneToOneField("studio.Form", on_delete=models.CASCADE, related_name="mix")
    ml = models.PositiveIntegerField()  # of slurry in one mould, without waste
    consistency_tenths = models.PositiveIntegerField(default=700)  # parts of water to 1000 of plaster
    waste_pct = models.PositiveSmallIntegerField(default=8)
    bucket_ml = models.PositiveIntegerField(default=10_000)
    asked = models.JSONField(default=dict)
