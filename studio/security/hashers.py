"""Password hashing that fits a small machine."""

from __future__ import annotations

import threading

from django.contrib.auth.hashers import Argon2PasswordHasher


class BoundedArgon2(Argon2PasswordHasher):
    """Argon2id at OWASP's minimum (19 MiB, two passes, one lane), at most two at once in a process.

    Django's default takes 100 MiB for each login at a time, which a few phones in the morning or anybody
    guessing could turn into the end of a 2 GB machine.
    """

    time_cost = 2
    memory_cost = 19 * 1024
    parallelism = 1
    _places = threading.BoundedSemaphore(2)

    def encode(self, password: str, salt: str) -> str:
        """Hash one password."""
        with self._places:
            return super().encode(password, salt)

    def verify(self, password: str, encoded: str) -> bool:
        """Compare one password with its hash."""
        with self._places:
            return super().verify(password, encoded)
