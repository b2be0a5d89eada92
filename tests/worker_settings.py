"""The tests' settings for a worker process beside them: the database and the clock that the test names."""

from __future__ import annotations

import os

from django.utils import timezone

from tests.clock import shifted_now
from tests.settings import *  # noqa: F403
from tests.settings import DATABASES

DATABASES["default"]["NAME"] = os.environ["STUDIO_TEST_DATABASE"]
timezone.now = shifted_now
