"""The workshop's air as its page shows it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils.translation import gettext as _

from studio import units
from studio.models import Fact, Studio
from studio.queries.cards import local
from studio.queries.record import settled
from studio.translate.air import air_of, air_words, reading_of


@dataclass(frozen=True)
class AirView:
    """What is said of it, and the reading as ``entered``: temperature (``field``) in the studio's own degrees."""

    said: str
    read: bool
    field: str
    degrees: str
    least: int
    most: int
    entered: dict[str, int | str]


def air_seen(studio: Studio) -> AirView:
    """The air as read, or as this kind of week has it."""
    read = reading_of(studio) is not None
    air = air_of(studio)
    us = units.current() == units.US
    value = round(air.temperature_c * 1.8 + 32 if us else air.temperature_c)
    field, degrees, least, most = ("temperature_f", "°F", 32, 122) if us else ("temperature_c", "°C", 0, 50)
    entered: dict[str, int | str] = {field: value, "humidity_pct": round(air.humidity * 100)} if read else {}
    return AirView(air_words(studio), read, field, degrees, least, most, {field: "", "humidity_pct": ""} | entered)


MOST_SAID = 8


@dataclass(frozen=True)
class AirSaid:
    """What was said of the air, and when."""

    at: datetime
    text: str


def air_history(studio: Studio) -> tuple[AirSaid, ...]:
    """What was said of the air and stands, the last first."""
    rows = Fact.objects.filter(studio=studio, kind="air").order_by("-happened_at", "-seq")
    ids = rows.values_list("public_id", flat=True)[: 3 * MOST_SAID]  # some may have been taken back
    told = sorted((f for f in settled(studio, ids).values() if f.kind == "air"), key=lambda f: f.place, reverse=True)
    return tuple(AirSaid(local(f.happened), air_told(f.data)) for f in told[:MOST_SAID])


def air_told(data: dict[str, Any]) -> str:
    """What a fact says of the air."""
    if data["tenths_c"] is None or data["humidity_pct"] is None:
        weeks = {"damp": _("a damp week"), "ordinary": _("an ordinary week"), "dry": _("a dry week")}
        return weeks[data["week"]]
    said = {"degrees": units.temperature(data["tenths_c"] / 10), "n": data["humidity_pct"]}
    return _("%(degrees)s, humidity %(n)d\u00a0%%") % said
