"""What holds for each page about what the studio has and owes: words for ears, live links, size, speed, policy."""

from __future__ import annotations

import gzip
import re

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from studio.demo import load_demo, plan_demo
from studio.models import Form, Kiln, Order, Person
from studio.models import Plan as PlanRow
from tests.pages.reading import Page
from tests.pages.visitor import Visitor
from tests.services.shop import Shop

pytestmark = pytest.mark.django_db
PAGES = (
    "orders/", "orders/?show=done", "orders/new/", "moulds/", "moulds/plaster/", "kiln/", "workshop/",
    "workshop/first/", "workshop/reckoning/", "faults/", "workshop/studio/", "workshop/people/", "workshop/stations/",
    "workshop/racks/", "workshop/kilns/", "workshop/glazes/", "workshop/forms/", "workshop/other/", "workshop/ware/",
    "workshop/members/", "workshop/phone/", "workshop/size/", "clay/", "moulds/stock/", "moulds/lives/",
)  # fmt: skip
LARGEST = 60_000  # bytes of a page's own HTML as sent; style, script and htmx take about 30 kB more of the 100
MOST_QUERIES = 45  # on the demo, whatever it holds


def with_things(shop: Shop) -> list[str]:
    """All pages, those of one thing each included."""
    for kind in ("delivered", "pugged"):
        shop.do("clay_in", clay_name="Grey", kg=20, how=kind)
    shop.do("clay_save", name="Black")
    shop.do("plaster_in", kg=25)
    shop.do("pressed", form=shop.ids["form"], count=2)
    cast = shop.do("cast_save", form=shop.ids["form"]).data["casts"][0]
    shop.order()
    live = shop.plan()
    firing = next(f.id for f in live.plan.firings if f.load)
    i = shop.ids
    return [*PAGES, f"moulds/cast/{cast}/",
            f"orders/{i['order']}/", f"moulds/{i['form']}/", f"kiln/load/{firing}/", f"kiln/{i['kiln']}/pack/",
            f"kiln/{i['kiln']}/fires/{i['glost']}/",
            f"workshop/glazes/{i['glaze']}/", f"workshop/forms/{i['form']}/",
            f"workshop/forms/{i['form']}/trials/", f"workshop/forms/{i['form']}/profile/",
            f"workshop/people/{i['person']}/"]  # fmt: skip


def test_every_entry_has_a_name_for_ears_and_an_id_of_its_own(shop: Shop, visitor: Visitor) -> None:
    shop.do("opening_ware", form=shop.ids["form"], count=5, stage="leather")
    for page in with_things(shop):
        visitor.open(page)
        labelled = set(re.findall(r'<label[^>]*\sfor="([^"]+)"', visitor.page))
        ids = re.findall(r'<(?:input|select|textarea)[^>]*\sid="([^"]+)"', visitor.page)
        assert len(ids) == len(set(ids)), page
        for tag in re.findall(r"<(?:input|select|textarea)[^>]*>", visitor.page):
            if 'type="hidden"' in tag or 'type="checkbox"' in tag or "aria-label" in tag:
                continue
            found = re.search(r'\sid="([^"]+)"', tag)
            assert found is not None and found.group(1) in labelled, (page, tag)


def test_every_link_leads_somewhere_and_every_form_to_the_door(shop: Shop, visitor: Visitor) -> None:
    for page in with_things(shop):
        visitor.open(page)
        opened = Page(visitor.page)
        inside = {h for h in opened.links.values() if h.startswith("/s/")}
        assert {h for h in inside if visitor.client.get(h).status_code != 200} == set(), page
        assert "" not in opened.links.values(), page
        doors = {f.action for f in opened.forms} - {visitor.path("seen/"), "/logout/", visitor.path("workshop/invite/")}
        assert doors <= {visitor.path("do/")}, page


def test_no_style_and_no_script_stand_in_a_page(shop: Shop, visitor: Visitor) -> None:
    for page in with_things(shop):
        visitor.open(page)
        assert not re.search(r"<[^>]+\s(style|on\w+)=|<script(?![^>]*\ssrc=)|<style", visitor.page), page


def test_what_people_typed_is_shown_as_they_typed_it(shop: Shop, visitor: Visitor) -> None:
    """Names with signs of HTML in them stay words."""
    name = '<b onclick="x()">Q & "A"</b>'
    shop.do("customer_save", name=name)
    shop.do("glaze_save", name=name, programs=[shop.ids["glost"]])
    shop.do("rack_save", name=name, use="damp", boards=2)
    for page in ("orders/new/", "workshop/glazes/", "workshop/racks/"):
        visitor.open(page)
        assert name not in visitor.page
        assert "&lt;b onclick=" in visitor.page


def test_the_demo_s_pages_are_small_and_ask_little() -> None:
    """Figures of the demo: each page small when sent, with few queries; ``measure`` tells the times."""
    user = User.objects.create(username="ansa")
    studio = load_demo(now=timezone.now(), user=user)
    plan_demo(studio, timezone.now(), seconds=0)
    client = Client()
    client.force_login(user)
    mine = {m: m.objects.filter(studio=studio).first().public_id for m in (Order, Form, Person, Kiln)}
    plan = PlanRow.objects.get(studio=studio, is_current=True).plan
    firing = next(f["id"] for f in plan["firings"] if f["load"])
    pages = [*PAGES, f"orders/{mine[Order]}/", f"moulds/{mine[Form]}/", f"workshop/forms/{mine[Form]}/",
             f"workshop/forms/{mine[Form]}/trials/", f"workshop/forms/{mine[Form]}/profile/",
             f"workshop/people/{mine[Person]}/",
             f"kiln/load/{firing}/", f"kiln/{mine[Kiln]}/pack/"]  # fmt: skip
    for page in pages:
        with CaptureQueriesContext(connection) as asked:
            answer = client.get(f"/s/{studio.public_id}/{page}")
        assert answer.status_code == 200
        assert len(asked) <= MOST_QUERIES, page
        assert len(gzip.compress(answer.content)) < LARGEST, page
