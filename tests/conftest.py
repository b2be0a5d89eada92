"""What all tests share."""

from __future__ import annotations

import os

# Playwright's synchronous interface keeps an event loop in the test's thread, which Django takes for async code.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")

pytest_plugins = ["tests.browsing"]
