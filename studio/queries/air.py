"""The workshop's air as its page shows it."""

from __future__ import annotations

from dataclasses import dataclass

from studio import units
from studio.models import Studio
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
