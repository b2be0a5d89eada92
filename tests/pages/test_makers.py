"""What only an owner may change is offered to nobody else."""

from __future__ import annotations

from html.parser import HTMLParser

import pytest

from studio.services.commands import MAKER, kinds
from tests.pages.conftest import Browser
from tests.services.shop import Shop

PAGES = (
    "", "week/", "plan/", "record/", "wrong/", "unplanned/", "orders/", "orders/new/", "orders/{order}/", "moulds/",
    "moulds/{form}/", "kiln/", "kiln/load/{load}/", "workshop/", "workshop/first/", "workshop/studio/",
    "workshop/people/", "workshop/people/{person}/", "workshop/stations/", "workshop/racks/", "workshop/kilns/",
    "workshop/glazes/", "workshop/forms/", "workshop/forms/{form}/", "workshop/other/", "workshop/ware/",
    "workshop/members/",
)  # fmt: skip


class Offered(HTMLParser):
    """The kinds of command for which a page has a button that can be pressed."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.kinds: set[str] = set()
        self._kind, self._shut = "", [False]
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        have = dict(attrs)
        if tag == "fieldset":
            self._shut.append("disabled" in have)
        elif tag == "form":
            self._kind = ""
        elif tag == "input" and have.get("name") == "kind":
            self._kind = have.get("value") or ""
        elif tag == "button" and self._kind and not any(self._shut):
            self.kinds.add(self._kind)

    def handle_endtag(self, tag: str) -> None:
        if tag == "fieldset":
            self._shut.pop()
        elif tag == "form":
            self._kind = ""


@pytest.mark.parametrize("page", PAGES)
def test_a_maker_is_offered_only_what_a_maker_may_do(shop: Shop, page: str) -> None:
    shop.do("cast_save", form=shop.ids["form"])
    shop.do("blocked_save", name="Class", weekday=1, starts="18:00", ends="20:00", people=[shop.ids["person"]])
    shop.order(qty=10)
    ids = {**shop.ids, "load": next(f.id for f in shop.plan().plan.firings if f.load)}
    maker, owner = Browser(shop, shop.maker()), Browser(shop)
    offered = Offered(maker.open(page.format(**ids)).html).kinds
    assert {k for k in offered if MAKER not in kinds()[k].roles} == set()
    assert offered <= Offered(owner.open(page.format(**ids)).html).kinds
