"""How sure the days are and what would help, on the pages where a person decides."""

from __future__ import annotations

from studio.models import OrderLine, Plan, PlanRun
from studio.queries.plans import Live
from tests.pages.conftest import Browser
from tests.services.shop import Shop

SAID = {"on": 0.8, "day": "2027-04-01", "slack": 900, "enough": 0.85, "more": 2, "runs": 200}


def note(shop: Shop, live: Live) -> None:
    form, line = shop.ids["form"], shop.ids["line"]
    item = {"code": "mould", "things": {"form": form}, "counts": {"moulds": 1}, "minutes": {}, "rescued": [line],
            "piece_minutes": 34560, "finished": 3, "kwh": 0, "text": "x"}  # fmt: skip
    helps = {"done": False, "items": [item, {**item, "code": "boards", "things": {"rack": "damp"},
             "counts": {"boards": 5}, "rescued": [], "finished": 0}]}  # fmt: skip
    Plan.objects.filter(pk=live.row.pk).update(sure={line: SAID}, helps=helps)


def test_each_promised_day_says_how_sure_it_is(shop: Shop, browser: Browser, live: Live) -> None:
    told = "Ready on its day 8 times in 10; with 2 more pressed there are enough 9 times in 10; sure 9 times in 10 by"
    assert told not in browser.open("orders/").text
    note(shop, live)
    for page in ("orders/", f"orders/{shop.ids['order']}/", "plan/"):
        text = browser.open(page).text
        assert told + " Thursday 1 April." in text, page
        assert browser.last.html.count('<i class="full">') == 8


def test_what_would_help_is_said_best_first(shop: Shop, browser: Browser, live: Live) -> None:
    assert "What would help" not in browser.open("plan/").text
    note(shop, live)
    text = browser.open("plan/").text
    first = "1 more mould of Bowl, dry today: 1 order line in time (The Ninth Heron); 24 pieces a day sooner, all told"
    second = "5 more boards in the damp cupboard: 24 pieces a day sooner"
    assert text.index(first) < text.index(second)
    assert "the looking goes on" in text


def test_it_says_what_the_chances_rest_on(shop: Shop, browser: Browser, live: Live) -> None:
    note(shop, live)
    Plan.objects.filter(pk=live.row.pk).update(rests={"tasks": 0, "pressings": 0, "pieces": 0, "since": None})
    text = browser.open("plan/").text
    assert "How long work takes: the usual spread; nothing timed on record yet." in text
    assert "What is lost: what you told of each form; nothing recorded yet." in text
    told = {"tasks": 61, "pressings": 46, "pieces": 1, "since": "2027-02-03T09:00:00+00:00"}
    Plan.objects.filter(pk=live.row.pk).update(rests=told)
    text = browser.open("plan/").text
    assert "from 61 tasks timed on record since 3 February (46 pressings among them); the usual spread" in text
    assert "from 1 piece followed since 3 February" in text


def test_a_tap_plans_it_earlier_and_with_more_pieces_and_another_takes_it_back(
    shop: Shop, browser: Browser, live: Live
) -> None:
    note(shop, live)
    line = OrderLine.objects.get(public_id=shop.ids["line"])
    for page in (f"orders/{shop.ids['order']}/", "plan/"):
        browser.open(page)
        browser.press("Plan it 1 day earlier and start 2 pieces more")
        line.refresh_from_db()
        assert (line.spare_days, line.spare_pieces) == (1, 2)
        text = browser.open(f"orders/{shop.ids['order']}/").text
        assert "Planned 1 day before its day, to be sure. 2 pieces more are started, to be sure." in text
        browser.press("As usual again")
        line.refresh_from_db()
        assert (line.spare_days, line.spare_pieces) == (0, 0)
        PlanRun.objects.filter(studio=shop.studio).delete()


def test_a_sure_line_is_offered_nothing(shop: Shop, browser: Browser, live: Live) -> None:
    sure = {**SAID, "on": 0.97, "slack": 0, "enough": 0.99, "more": 0}
    Plan.objects.filter(pk=live.row.pk).update(sure={shop.ids["line"]: sure})
    assert "earlier" not in browser.open("plan/").text
