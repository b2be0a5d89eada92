"""The demo in a data folder: its age, its login, and that it is never put in somebody's own studio's place."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from studio.bootstrap.errors import StartError
from studio.models import Studio
from studio.serve import demo_data, first_user
from studio.services.founding import open_studio

pytestmark = pytest.mark.django_db


@pytest.fixture
def folder(settings: object, tmp_path: Path) -> Path:
    """A data folder of the test's own."""
    settings.DATA = tmp_path  # type: ignore[attr-defined]
    return tmp_path


@pytest.fixture
def wren() -> User:
    return User.objects.create_user("wren", password="prop-foot-ball")


@pytest.fixture
def demo(wren: User) -> Studio:
    return open_studio(name="Sandbank", time_zone="Europe/London", owner=wren, is_demo=True)


def test_a_demo_grown_old_offers_a_fresh_one(demo: Studio) -> None:
    assert demo_data.age_note(demo.created_at + timedelta(days=6, hours=23)) == ""
    note = demo_data.age_note(demo.created_at + timedelta(days=8))
    assert note.startswith("This demo was loaded 8 days ago") and "--fresh" in note


def test_a_studio_of_ones_own_never_grows_old(wren: User) -> None:
    studio = open_studio(name="Clay End", time_zone="Europe/London", owner=wren)
    assert demo_data.age_note(studio.created_at + timedelta(days=400)) == ""


def test_the_login_is_shown_while_it_is_the_one_that_was_made(folder: Path, demo: Studio, wren: User) -> None:
    assert demo_data.login() is None
    (folder / demo_data.LOGIN).write_text("prop-foot-ball\n", "utf-8")
    assert demo_data.login() == ("wren", "prop-foot-ball")
    wren.set_password("something of her own")
    wren.save()
    assert demo_data.login() is None


def test_an_interrupted_load_is_noticed_but_not_over_a_studio_of_ones_own(folder: Path, wren: User) -> None:
    assert not demo_data.broke_off()
    (folder / demo_data.LOADING).touch()
    assert demo_data.broke_off()
    open_studio(name="Clay End", time_zone="Europe/London", owner=wren)
    assert not demo_data.broke_off()
    assert not (folder / demo_data.LOADING).exists()


def test_nothing_is_loaded_beside_a_studio(folder: Path, wren: User) -> None:
    open_studio(name="Clay End", time_zone="Europe/London", owner=wren)
    said: list[str] = []
    demo_data.ensure(timezone.now(), said.append)
    assert said == [] and Studio.objects.count() == 1


def test_an_empty_studio_is_not_founded_into_the_demo(demo: Studio) -> None:
    with pytest.raises(StartError, match="holds the demo studio"):
        first_user.ensure("Clay End", "ann", None, print)


def test_the_questions_are_asked_until_they_are_answered(monkeypatch: pytest.MonkeyPatch) -> None:
    answers = iter(["", "Clay End", "ann"])
    passwords = iter(["soft soap", "different", "potter", "potter", "soft soap and suds", "soft soap and suds"])
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("builtins.input", lambda question: next(answers))
    monkeypatch.setattr("getpass.getpass", lambda question: next(passwords))
    said: list[str] = []
    first_user.ensure(None, None, "Europe/Lisbon", said.append)
    studio = Studio.objects.get()
    assert (studio.name, studio.time_zone) == ("Clay End", "Europe/Lisbon")
    assert User.objects.get().check_password("soft soap and suds")
    first_user.ensure(None, None, None, said.append)
    assert Studio.objects.count() == 1


def test_the_computers_time_zone_is_a_name(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TZ", "America/Halifax")
    assert first_user.computer_zone() == "America/Halifax"
    monkeypatch.setenv("TZ", "UTC0")
    assert "/" in first_user.computer_zone()
