"""The tests' settings for a worker process beside them: the same database, named by the test that starts it."""

from __future__ import annotations

import os

from tests.settings import *  # noqa: F403
from tests.settings import DATABASES

DATABASES["default"]["NAME"] = os.environ["STUDIO_TEST_DATABASE"]
