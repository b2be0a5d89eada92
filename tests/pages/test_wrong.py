"""Something's wrong: from the picture to a fact on record and a plan that is worked on."""

from __future__ import annotations

import datetime as dt

import pytest

from studio.models import Fact, PlanRun
from studio.queries.plans import Live
from studio.record.state import IN_MOULD
from tests.pages.conftest import Browser, first
from tests.services.shop import Shop


def open_runs(shop: Shop) -> list[str]:
    """What new plans are worked on for."""
    return [r.why for r in PlanRun.objects.filter(studio=shop.studio, state=PlanRun.State.WAITING)]


def press_first(shop: Shop, live: Live) -> str:
    """Record the first pressing as planned; its ware."""
    task = first(live, "press")
    shop.now = live.when(task.end)
    shop.do("task_done", task=task.id)
    return next(iter(shop.state.ware))


def test_six_pictures(browser: Browser) -> None:
    page = browser.open("wrong/")
    assert page.html.count('<svg class="pic"') == 6


def test_mould_cracked_in_three_taps_from_today(shop: Shop, browser: Browser, live: Live) -> None:
    browser.open()
    browser.follow("Something’s wrong")
    browser.follow("A mould cracked")
    browser.press("Bowl")
    assert [f.kind for f in Fact.objects.filter(studio=shop.studio)] == ["mould_cracked"]
    assert open_runs(shop) == ["mould"]
    assert "cracked: 7 left" in browser.last.text
    assert "Putting the weeks together" in browser.last.text


def test_a_certain_mould_cracked_or_is_worn(shop: Shop, browser: Browser, live: Live) -> None:
    moulds = [m.id for m in live.scenario.moulds]
    browser.open("wrong/mould/")
    browser.press("This one cracked", mould=moulds[3])
    browser.open("wrong/mould/")
    browser.press("This one is worn", mould=moulds[5])
    gone = {m.id: m.gone for m in shop.state.moulds.values() if m.gone}
    assert gone == {moulds[3]: "cracked", moulds[5]: "retired"}


def test_no_mould_chosen_is_answered_plainly(shop: Shop, browser: Browser, live: Live) -> None:
    browser.open("wrong/mould/")
    page = browser.press("This one cracked", mould="")
    assert 'role="alert"' in page.html
    assert not Fact.objects.filter(studio=shop.studio).exists()


def test_pots_lost_with_what_is_seen(shop: Shop, browser: Browser, live: Live) -> None:
    ware = press_first(shop, live)
    n = shop.state.ware[ware].count
    browser.open("wrong/lost/")
    browser.press("These are lost", count="2", why="torn rim")
    assert shop.state.ware[ware].count == n - 2
    assert Fact.objects.filter(kind="lost").get().data["why"] == "torn rim"
    assert open_runs(shop) == ["lost"]
    assert "2 × Bowl lost: torn or ragged rim" in browser.open("record/").text


def test_stuck_can_wait_and_a_plan_is_made(shop: Shop, browser: Browser, live: Live) -> None:
    ware = press_first(shop, live)
    browser.open("wrong/stuck/")
    browser.press("3 h")
    assert shop.state.ware[ware].ask_at == int((shop.now + dt.timedelta(hours=3)).timestamp() // 60)
    assert open_runs(shop) == ["stuck"]


def test_stuck_can_be_good_for_longer(shop: Shop, browser: Browser, live: Live) -> None:
    ware = press_first(shop, live)
    browser.open("wrong/stuck/")
    browser.press("until tomorrow")
    assert shop.state.ware[ware].until == int((shop.now + dt.timedelta(hours=16)).timestamp() // 60)


def test_late_lists_what_should_be_over_and_makes_a_plan(shop: Shop, browser: Browser, live: Live) -> None:
    task = first(live, "press")
    shop.now = live.when(task.end) + dt.timedelta(hours=1)
    page = browser.open("wrong/late/")
    assert "These should be over by now" in page.text
    browser.press("Make a plan from where things stand")
    assert open_runs(shop) == ["late"]
    assert IN_MOULD not in {w.stage for w in shop.state.ware.values()}  # nothing was recorded by it


def test_late_without_a_plan_says_so(browser: Browser) -> None:
    browser.open("wrong/late/")
    assert "There is no plan yet" in browser.press("Make a plan from where things stand").text


def test_a_kiln_is_out_and_back(shop: Shop, browser: Browser, live: Live) -> None:
    browser.open("wrong/kiln/")
    browser.press("It is out of order")
    assert shop.state.kilns[shop.ids["kiln"]].out_since is not None
    assert open_runs(shop) == ["kiln"]
    assert "nobody knows until when" in browser.open("wrong/kiln/").text
    browser.press("It works again")
    assert shop.state.kilns[shop.ids["kiln"]].out_since is None


def test_a_kiln_is_out_until_a_known_time(shop: Shop, browser: Browser, live: Live) -> None:
    browser.open("wrong/kiln/")
    browser.press("until then", until="2027-03-18T12:00")
    noon = dt.datetime(2027, 3, 18, 12, 0, tzinfo=dt.UTC)  # London is on winter time until 28 March 2027
    assert shop.state.kilns[shop.ids["kiln"]].out_until == int(noon.timestamp() // 60)


def test_i_cannot_come(shop: Shop, browser: Browser, live: Live) -> None:
    member = shop.member(shop.owner)
    shop.do("member_save", member=member.public_id, version=member.version, role="owner", person=shop.ids["person"])
    browser.open("wrong/me/")
    browser.press("Today and tomorrow")
    night = dt.datetime(2027, 3, 16, 23, 59, tzinfo=dt.UTC)
    assert [(p, until) for p, _from, until in shop.state.away] == [(shop.ids["person"], int(night.timestamp() // 60))]
    assert open_runs(shop) == ["person"]


@pytest.mark.parametrize("until", ["", "soon", "1999-01-01T08:00"])
def test_an_end_that_cannot_be_is_answered_plainly(shop: Shop, browser: Browser, live: Live, until: str) -> None:
    browser.open("wrong/me/")
    page = browser.press("Away until then", until=until)
    assert 'role="alert"' in page.html
    assert shop.state.away == []


@pytest.mark.parametrize("what", ["weather", "mould%20x", "__class__"])
def test_another_picture_there_is_not(shop: Shop, browser: Browser, what: str) -> None:
    assert browser.client.get(f"/s/{shop.studio.public_id}/wrong/{what}/").status_code == 404
