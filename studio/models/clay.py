"""The clay bodies that a studio makes with. Their batches are facts of the record."""

from __future__ import annotations

from django.db import models

from studio.models.base import Retirable


class ClayBody(Retirable):
    """A clay by its name; ``usual`` marks the one of all forms that name no other."""

    name = models.CharField(max_length=80)
    usual = models.BooleanField(default=False)
