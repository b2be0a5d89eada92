"""Tries to log in, kept for minutes so that guessing is slow."""

from __future__ import annotations

from django.db import models


class LoginAttempt(models.Model):
    """One try, counted under one key. The key is a keyed hash: neither name nor address is kept."""

    key = models.CharField(max_length=64)
    at = models.DateTimeField()

    class Meta:
        indexes = [
            models.Index(fields=["key", "at"], name="login_attempt_by_key"),
            models.Index(fields=["at"], name="login_attempt_by_age"),
        ]

    def __str__(self) -> str:
        return f"try at {self.at:%H:%M:%S}"
