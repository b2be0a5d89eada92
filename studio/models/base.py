"""What every table has in common: it belongs to a studio and is known outside by a random id."""

from __future__ import annotations

import secrets

from django.db import models

ALPHABET = "23456789abcdefghjkmnpqrstuvwxyz"  # no letters or digits that are read wrongly off a screen


def new_id() -> str:
    """A random public id of 12 characters (about 59 bits), never a row number."""
    return "".join(secrets.choice(ALPHABET) for _ in range(12))


class StudioRow(models.Model):
    """A row of one studio."""

    studio = models.ForeignKey("studio.Studio", on_delete=models.PROTECT, related_name="+")
    public_id = models.CharField(max_length=80, default=new_id, editable=False)
    version = models.PositiveIntegerField(default=1)  # raised by every edit, so that a stale one is noticed

    class Meta:
        abstract = True
        constraints = [
            models.UniqueConstraint(fields=["studio", "public_id"], name="%(class)s_public_id_in_studio"),
        ]

    def __str__(self) -> str:
        return getattr(self, "name", "") or self.public_id


class Retirable(StudioRow):
    """A thing that can be retired but is never deleted, since the record speaks of it."""

    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta(StudioRow.Meta):
        abstract = True
