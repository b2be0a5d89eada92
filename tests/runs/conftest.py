"""What the tests of runs share."""

from __future__ import annotations

import pytest

from tests.services.shop import Shop


@pytest.fixture
def shop(db: None) -> Shop:
    """A small studio with an order, so that there is something to plan."""
    shop = Shop().furnish()
    shop.order(qty=10)
    return shop
