"""The figures: measured on what they say, in one table, in a folder of their own."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from studio.management.commands.measure import table
from studio.measuring import pages, pictures, throwaway
from studio.measuring.crack import CrackCost
from studio.measuring.pages import PageCost
from studio.measuring.units import UnitCost
from studio.measuring.year import year
from studio.record.facts import Fact
from studio.record.fold import fold
from studio.record.form import check_form
from tests.platform.commands import manage
from tests.services.shop import Shop

if TYPE_CHECKING:
    from playwright.sync_api import Browser

END = 30_000_000


def test_a_year_of_facts_has_the_form_of_facts_and_adds_up() -> None:
    facts = year(END)
    assert 14_900 < len(facts) <= 15_000
    assert [f for f in facts if check_form(f.kind, f.data)] == []
    assert len({f.id for f in facts}) == len(facts)
    state = fold([Fact(f.id, f.kind, f.happened, n, f.happened, data=f.data) for n, f in enumerate(facts, 1)])
    assert state.troubles == [] and state.twice == {}
    # 46 facts a round of eight batches of eight bowls, seven of each eight are firsts
    assert sum(line.firsts for line in state.lines.values()) == len(facts) // 46 * 8 * 7


@pytest.mark.django_db
def test_a_page_s_cost_is_that_of_the_page() -> None:
    shop = Shop().furnish()
    shop.order()
    shop.plan()
    named = dict(pages.addresses(shop.studio))
    cost = pages._cost(pages.visitor(shop.owner), "Orders", named["Orders"])
    assert 0 < cost.median <= cost.most
    assert cost.queries > 2  # session, user, membership at least
    client = pages.visitor(shop.owner)
    html = client.get(named["Orders"])
    assert html.headers["Content-Encoding"] == "gzip"
    parts = pages.ASSET.findall(pages.visitor_text(client, named["Orders"]))
    assert {Path(p).suffix for p in parts} == {".css", ".js", ".png", ".svg"}
    assert cost.sent > len(html.content) + 1000


@pytest.mark.django_db
def test_every_page_that_is_measured_works() -> None:
    shop = Shop().furnish()
    shop.order()
    shop.plan()
    client = pages.visitor(shop.owner)
    assert {client.get(path).status_code for _name, path in pages.addresses(shop.studio)} == {200}


def test_the_table_names_what_is_over_the_mark() -> None:
    today = PageCost("Today", 32.4, 94, 11, 34_000)
    costs = [today, PageCost("Slow", 201, 300, 2, 1), PageCost("Fat", 1, 2, 3, 100_001)]
    said = table(costs, CrackCost(7.04, 6, ["x"], True), [UnitCost("check", 2.2)])
    assert "| Today | 32 ms | 94 ms | 11 | 34 kB |" in said
    assert "6 s of search, valid | 7.0 s |" in said and "| check | 2 ms |" in said
    assert said.endswith("Pages over 200 ms or 100 kB: Slow, Fat.")
    assert "NOT VALID" in table([], CrackCost(1, 6, [], False), [])


def test_it_never_touches_a_folder_with_data(tmp_path: Path) -> None:
    (tmp_path / "studio.sqlite3").write_bytes(b"somebody's own")
    done = manage("measure", "--data", str(tmp_path))
    assert done.returncode == 1
    assert done.stderr == f"{tmp_path} holds data already, and this needs a new folder. Name another one.\n"
    assert [path.name for path in tmp_path.iterdir()] == ["studio.sqlite3"]


def test_a_demo_is_made_in_its_own_process_only() -> None:
    with pytest.raises(throwaway.StartError, match="throw-away"):
        throwaway.demo(seconds=0)


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_a_picture_has_a_phone_s_size(live_server: Any, chromium_browser: Browser, tmp_path: Path) -> None:
    file = tmp_path / "in" / "login.png"
    pictures.take(f"{live_server.url}/login/", file, height=844)
    png = file.read_bytes()
    assert (int.from_bytes(png[16:20], "big"), int.from_bytes(png[20:24], "big")) == (390 * 2, 844 * 2)
    assert len(png) < 120_000


def test_pictures_without_a_browser_are_one_sentence(tmp_path: Path) -> None:
    done = manage("pictures", "--to", str(tmp_path), PATH="/nowhere", STUDIO_CHROMIUM="")
    assert (done.returncode, done.stderr) == (
        1, "Pictures need a Chromium: install one, or name it in STUDIO_CHROMIUM.\n",
    )  # fmt: skip
