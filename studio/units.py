"""How lengths, weights and temperatures are said and entered: metric, or pounds, inches and °F.

Everything is kept in whole millimetres and grams. An entry of up to three decimals in inches or pounds comes back as
the same whole millimetre or gram, so that opening and saving a form changes nothing.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass

from django.utils.formats import number_format
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

METRIC, US = "metric", "us"
# Exact by definition: international yard and pound agreement of 1959.
MM_PER_INCH, G_PER_POUND = 25.4, 453.59237
C_PER_F, F_AT_ZERO = 5 / 9, 32  # exact: one degree Fahrenheit, and what it shows at 0 °C
ML_PER_FLUID_OUNCE = 29.5735295625  # the US one: 231/128 cubic inches, exact
L_PER_QUART = 0.946352946  # the US liquid quart: 57.75 cubic inches, exact

_units: ContextVar[str] = ContextVar("units", default=METRIC)


@contextmanager
def override(units: str) -> Iterator[None]:
    """Say everything in these units while the block runs, as ``timezone.override`` does with times."""
    token = _units.set(units)
    try:
        yield
    finally:
        _units.reset(token)


def current() -> str:
    """The units in which things are said now."""
    return _units.get()


def length(mm: float) -> str:
    """150 mm, or 5.9 in."""
    if current() == US:
        return _("%(n)s in") % {"n": _short(mm / MM_PER_INCH, 1)}
    return _("%(n)s mm") % {"n": _short(mm, 0)}


def gauge(mm: float) -> str:
    """A length as a gauge shows it: 4.5 mm, or 0.177 in."""
    if current() == US:
        return _("%(n)s in") % {"n": f"{mm / MM_PER_INCH:.3f}"}
    return _("%(n)s mm") % {"n": f"{mm:.1f}"}


def gauge_bare(mm: float) -> str:
    """The same without its unit, for a column whose head names it."""
    return f"{mm / MM_PER_INCH:.3f}" if current() == US else f"{mm:.1f}"


def weight(grams: float) -> str:
    """A ball or a mould: 1300 g, or 2 lb 13.9 oz."""
    if current() != US:
        return _("%(n)s g") % {"n": _short(grams, 0)}
    tenths = round(grams / G_PER_POUND * 160)
    pounds, rest = divmod(tenths, 160)
    ounces = _("%(n)s oz") % {"n": _short(rest / 10, 1)}
    if not pounds:
        return ounces
    whole = _("%(n)d lb") % {"n": pounds}
    return f"{whole} {ounces}" if rest else whole


def bulk(grams: float) -> str:
    """A lot of clay: 6.7 kg, or 14.8 lb."""
    if current() == US:
        return _("%(n)s lb") % {"n": f"{grams / G_PER_POUND:.1f}"}
    return _("%(n)s kg") % {"n": f"{grams / 1000:.1f}"}


def kilos(grams: float) -> str:
    """A stock of clay or plaster: 40 kg, 6.5 kg, or 88 lb."""
    if current() == US:
        return _("%(n)s lb") % {"n": _short(grams / G_PER_POUND, 0 if grams >= 10_000 else 1)}
    return _("%(n)s kg") % {"n": _short(grams / 1000, 0 if grams >= 10_000 else 1)}


def scale(grams: float) -> str:
    """What is weighed out on a scale: 850 g, 4.83 kg, or 2 lb 13.9 oz."""
    if current() != US and grams >= 1000:
        return _("%(n)s kg") % {"n": f"{grams / 1000:.2f}"}
    return weight(grams)


def volume(litres: float) -> str:
    """Slurry or a bucket: 3.1 l, 0.45 l, or 3.3 qt."""
    value, said_as = (litres / L_PER_QUART, _("%(n)s qt")) if current() == US else (litres, _("%(n)s l"))
    return said_as % {"n": _short(value, 1 if value >= 1 else 2)}


def money(amount: float, sign: str, digits: int = 2) -> str:
    """29.82 €, but £29.82 and $29.82."""
    said = number_format(round(amount, digits), digits, use_l10n=True)
    return f"{sign}{said}" if sign in ("£", "$") else f"{said} {sign}".strip()


def temperature(celsius: float) -> str:
    """1222 °C, or 2232 °F."""
    if current() == US:
        return _("%(n)s °F") % {"n": _short(fahrenheit(celsius), 0)}
    return _("%(n)s °C") % {"n": _short(celsius, 0)}


def fahrenheit(celsius: float) -> float:
    """The same temperature in °F."""
    return celsius / C_PER_F + F_AT_ZERO


def entered_c(celsius: float) -> str:
    """A kept temperature as it stands in a field: whole °F, or °C with the tenth that it may have."""
    return f"{fahrenheit(celsius):.0f}" if current() == US else f"{round(celsius, 1):g}"


def ramp(celsius_an_hour: float) -> str:
    """How fast a kiln heats: 60 °C an hour, or 108 °F an hour."""
    if current() == US:
        return _("%(n)s °F an hour") % {"n": _short(celsius_an_hour / C_PER_F, 0)}
    return _("%(n)s °C an hour") % {"n": _short(celsius_an_hour, 0)}


def degree() -> str:
    """The end of the name of a field for a temperature: c or f."""
    return "f" if current() == US else "c"


def capacity(ml: float) -> str:
    """What a pot holds: 320 ml, 1.25 l, or 10.8 fl oz."""
    if current() == US:
        return _("%(n)s fl oz") % {"n": _short(ml / ML_PER_FLUID_OUNCE, 1)}
    return _("%(n)s ml") % {"n": _short(ml, 0)} if ml < 1000 else _("%(n)s l") % {"n": _short(ml / 1000, 2)}


def cubic(cm3: float) -> str:
    """A volume of clay: 290 cm³, or 17.7 in³."""
    if current() == US:
        return _("%(n)s in³") % {"n": _short(cm3 / (MM_PER_INCH / 10) ** 3, 1)}
    return _("%(n)s cm³") % {"n": _short(cm3, 0)}


def area(cm2: float) -> str:
    """A surface: 540 cm², or 83.7 in²."""
    if current() == US:
        return _("%(n)s in²") % {"n": _short(cm2 / (MM_PER_INCH / 10) ** 2, 1)}
    return _("%(n)s cm²") % {"n": _short(cm2, 0)}


def _short(value: float, digits: int) -> str:
    text = f"{value:.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def said(text: str | Promise) -> str:
    """A sentence of ours with its metric measures in the units of now: about 100 °C becomes about 212 °F."""
    plain = str(text)
    if current() != US:
        return plain
    for pattern, change in _SAID:
        plain = re.sub(pattern, change, plain)
    return plain


def _board(found: re.Match[str]) -> str:
    a, b = (round(float(found[i]) * 1000 / MM_PER_INCH) for i in (1, 2))
    return f"{a} by {b} in"


_SAID = (
    (r"(\d+) °C", lambda m: f"{round(int(m[1]) * 9 / 5 + 32)} °F"),
    (r"(\d+(?:\.\d+)?) kg\b", lambda m: f"{round(float(m[1]) * 1000 / G_PER_POUND)} lb"),
    (r"(\d+(?:\.\d+)?) by (\d+(?:\.\d+)?) m\b", _board),
)


@dataclass(frozen=True)
class Entry:
    """A unit in which figures are entered: ``end`` is added to the field's name, ``each`` is in whole mm or g."""

    end: str
    each: float
    name: str | Promise
    digits: int

    def shown(self, kept: float) -> str:
        """A kept figure as it stands in a field: 150 (mm) is 5.906."""
        return _short(kept / self.each, self.digits)

    def kept(self, entered: float) -> int:
        """An entry as it is kept."""
        return round(entered * self.each)


INCHES = Entry("_in", MM_PER_INCH, gettext_lazy("inches"), 3)
POUNDS = Entry("_lb", G_PER_POUND, gettext_lazy("pounds"), 3)
QUARTS = Entry("_qt", L_PER_QUART, gettext_lazy("quarts"), 2)  # of litres; asked only, never kept
KILOS = Entry("", 1000, gettext_lazy("kg"), 3)  # stocks of clay and plaster
ENTRIES = (INCHES, POUNDS)


def entry_of(name: str) -> Entry | None:
    """The unit in which the figure ``name`` (of mm, g or l) is entered now; None where it is entered as it is kept."""
    if current() != US:
        return None
    if name.endswith("_l"):
        return QUARTS
    return INCHES if name.endswith("_mm") else POUNDS if name.endswith(("_g", "grams")) else None
