"""What the tests of the translation share: a small studio made through its own door."""

from __future__ import annotations

import pytest

from tests.services.shop import Shop


@pytest.fixture
def shop(db: None) -> Shop:
    """A studio with one form, its moulds, a machine and a kiln."""
    return Shop().furnish()
