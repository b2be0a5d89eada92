"""The pages as an app: manifest, icons, worker, and which pages say that a phone may keep them."""

from __future__ import annotations

import json
import re
import struct
from pathlib import Path

import pytest
from django.contrib.auth.models import AnonymousUser, User
from django.contrib.staticfiles import finders
from django.test import Client

from studio import offline
from studio.measuring.icons import SIZES, icon
from studio.measuring.png import _pixels
from studio.services.commands import kinds
from tests.platform.addresses import all_addresses
from tests.services.shop import Shop

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(db: None) -> Shop:
    return Shop().furnish()


def test_the_manifest_says_what_a_phone_needs_to_install_it(client: Client) -> None:
    answer = client.get("/manifest.webmanifest")
    assert answer.headers["Content-Type"] == "application/manifest+json"
    said = json.loads(answer.content)
    assert (said["name"], said["start_url"], said["display"]) == ("The potter’s week", "/", "standalone")
    have = {(i["sizes"], i["purpose"]) for i in said["icons"] if i["type"] == "image/png"}
    assert have == {("192x192", "any"), ("512x512", "any"), ("512x512", "maskable")}
    for entry in said["icons"]:
        assert finders.find(entry["src"].removeprefix("/static/")), entry


@pytest.mark.parametrize("name", SIZES)
def test_an_icon_is_what_its_drawing_says(name: str) -> None:
    png = Path(str(finders.find(f"studio/{name}"))).read_bytes()
    size, maskable = SIZES[name]
    assert struct.unpack(">II", png[16:24]) == (size, size)
    assert _pixels(png) == _pixels(icon(size, maskable=maskable))


def test_a_maskable_icon_keeps_its_picture_in_the_middle() -> None:
    # W3C Web Application Manifest, "Icon masks": a circle with a radius of 2/5 of the side is always shown.
    size, maskable = SIZES["icon-maskable-512.png"]
    _width, _height, pixels = _pixels(icon(size, maskable=maskable))
    ground, middle = pixels[0], (size - 1) / 2
    for i, pixel in enumerate(pixels):
        if pixel != ground:
            assert (i % size - middle) ** 2 + (i // size - middle) ** 2 <= (0.4 * size) ** 2


def test_the_worker_is_at_the_root_and_new_with_every_file(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    answer = client.get("/sw.js")
    assert answer.headers["Content-Type"].startswith("text/javascript")
    assert "no-store" in answer.headers["Cache-Control"]
    assert offline.build() in answer.content.decode()
    before = offline.build()
    monkeypatch.setattr(offline, "STATIC", offline.STATIC[1:])
    offline._build.cache_clear()
    assert offline.build() != before
    offline._build.cache_clear()


def test_the_shell_is_all_that_a_page_names(shop: Shop) -> None:
    client = Client()
    client.force_login(shop.owner)
    html = client.get(f"/s/{shop.studio.public_id}/").content.decode()
    named = set(re.findall(r'<(?:link|script)\b[^>]*?\b(?:href|src)="(/static/[^"]+)"', html))
    assert {address for address in named if "icon-180" not in address} <= set(offline.shell())
    for address in offline.shell():
        assert finders.find(address.removeprefix("/static/")), address


def test_the_offline_page_holds_nothing_of_anybody(client: Client) -> None:
    html = client.get("/offline/").content.decode()
    assert "No network" in html
    assert "data-person" not in html


def test_a_person_s_word_tells_people_apart_and_says_nothing_else(shop: Shop) -> None:
    keys = {offline.person_key(user) for user in (shop.owner, shop.maker())}
    assert len(keys) == 2 and all(re.fullmatch(r"[0-9a-f]{16}", key) for key in keys)
    assert offline.person_key(AnonymousUser()) == "" == offline.person_key(None)


def test_only_pages_of_the_list_may_be_kept(shop: Shop) -> None:
    names = {address.name for address in all_addresses()}
    assert names >= offline.KEPT_VIEWS
    client = Client()
    client.force_login(shop.owner)
    base = f"/s/{shop.studio.public_id}/"
    for path, may in (("", True), ("week/", True), ("moulds/", True), ("workshop/members/", False), ("plan/", False)):
        assert (client.get(base + path).headers.get("X-Studio-Person") == offline.person_key(shop.owner)) is may, path


def test_what_may_wait_is_a_command_and_no_form_brings_a_secret() -> None:
    assert set(offline.LATER) <= set(kinds())
    assert not {"invite", "member_save", "member_leave"} & set(offline.LATER)


@pytest.mark.parametrize(("secure", "words"), [(True, "On this address the phone keeps"), (False, "plain http")])
def test_the_phone_s_page_says_whether_it_works_without_a_network(shop: Shop, secure: bool, words: str) -> None:
    client = Client()
    client.force_login(User.objects.get(pk=shop.owner.pk))
    html = client.get(f"/s/{shop.studio.public_id}/workshop/phone/", secure=secure).content.decode()
    assert words in html
