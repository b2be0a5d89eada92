"""Nothing is open but what stands in the one list."""

from __future__ import annotations

import pytest
from django.test import Client

from studio.security.public import PUBLIC_VIEWS
from tests.platform.addresses import Address, all_addresses

pytestmark = pytest.mark.django_db
ADDRESSES = all_addresses()


@pytest.mark.parametrize("address", ADDRESSES, ids=lambda address: address.path)
@pytest.mark.parametrize("method", ["get", "post"])
def test_a_page_that_is_not_in_the_list_sends_a_stranger_to_the_login(
    client: Client, address: Address, method: str
) -> None:
    answer = getattr(client, method)(address.path)
    if address.name in PUBLIC_VIEWS:
        assert answer.headers.get("Location", "").startswith("/login/") is False
    else:
        assert answer.status_code == 302
        assert answer.headers["Location"].startswith("/login/?next=/")


def test_each_view_has_a_name_so_that_the_list_can_name_it() -> None:
    assert [address.path for address in ADDRESSES if not address.name] == []


def test_each_name_in_the_list_belongs_to_a_view() -> None:
    assert PUBLIC_VIEWS - {address.name for address in ADDRESSES} == set()


def test_an_address_that_does_not_exist_tells_a_stranger_nothing_more(client: Client) -> None:
    answer = client.get("/no-such-page/")
    assert answer.status_code == 404
    assert "There is nothing here" in answer.content.decode()
