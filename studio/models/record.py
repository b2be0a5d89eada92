"""What happened: commands as they came in, the facts they left, and droppable snapshots of the derived state."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from studio.models.base import StudioRow


class Command(models.Model):
    """A wish from a page or a phone, kept as it came, with the answer it got; the same id gets it again."""

    studio = models.ForeignKey("studio.Studio", on_delete=models.PROTECT, related_name="+")
    client_id = models.CharField(max_length=80)  # made by the client
    kind = models.CharField(max_length=40)
    payload = models.JSONField()
    recorded_at = models.DateTimeField(null=True)  # by the client's clock
    sent_at = models.DateTimeField(null=True)  # by the client's clock
    happened_at = models.DateTimeField()  # by ours
    arrived_at = models.DateTimeField()
    user = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    status = models.PositiveSmallIntegerField()  # 200 done, 4xx refused
    answer = models.JSONField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["studio", "client_id"], name="command_once")]

    def __str__(self) -> str:
        return f"{self.kind} {self.client_id}"


class Fact(StudioRow):
    """One thing that happened; never changed, never deleted. Folded in the order (happened_at, seq)."""

    seq = models.PositiveBigIntegerField()
    kind = models.CharField(max_length=40)
    data = models.JSONField()
    task = models.CharField(max_length=80, blank=True)  # the planned task that it fulfils
    happened_at = models.DateTimeField()
    arrived_at = models.DateTimeField()
    person = models.ForeignKey("studio.Person", null=True, on_delete=models.SET_NULL, related_name="+")
    command = models.ForeignKey(Command, null=True, on_delete=models.PROTECT, related_name="facts")

    class Meta(StudioRow.Meta):
        constraints = [
            *StudioRow.Meta.constraints,
            models.UniqueConstraint(fields=["studio", "seq"], name="fact_seq_in_studio"),
        ]
        indexes = [models.Index(fields=["studio", "happened_at", "seq"])]


class Snapshot(models.Model):
    """The state after all facts up to (happened_at, seq); may be dropped at any time."""

    studio = models.ForeignKey("studio.Studio", on_delete=models.CASCADE, related_name="+")
    happened_at = models.DateTimeField()
    seq = models.PositiveBigIntegerField()  # place of the last folded fact
    known_seq = models.PositiveBigIntegerField()  # facts up to this place in the record had arrived
    shape = models.PositiveIntegerField()  # version of the state's form; another one is ignored
    state = models.JSONField()

    def __str__(self) -> str:
        return f"snapshot at {self.seq}"
