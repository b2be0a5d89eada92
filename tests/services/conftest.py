"""What the tests of the services share."""

from __future__ import annotations

import pytest

from tests.services.shop import Shop


@pytest.fixture
def empty(db: None) -> Shop:
    """A studio that has nothing yet."""
    return Shop()


@pytest.fixture
def shop(db: None) -> Shop:
    """A studio with one form, its moulds, a machine and a kiln."""
    return Shop().furnish()
