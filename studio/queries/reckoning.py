"""How the studio reckons: each formula in words with its source, and the studio's own figures beside it."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from planner.craft.air import ORDINARY
from planner.craft.glaze_coat import USUAL_LAYER_MM
from planner.craft.rows import Row, Tag
from planner.craft.sources import by_subject
from studio import units
from studio.models import Studio
from studio.queries.buckets import USUAL_G_L
from studio.queries.glaze_grams import Grams
from studio.queries.reckoning_forms import own_forms
from studio.queries.reckoning_kilns import own_cupboard, own_kilns
from studio.queries.reckoning_stock import own_clay_and_moulds
from studio.translate.air import air_of, air_words, reading_of
from studio.words import Text

FOUNDED: dict[Tag, Text] = {
    Tag.PUBLISHED: gettext_lazy("published"),
    Tag.DERIVED: gettext_lazy("worked out here from the others"),
    Tag.PRACTICE: gettext_lazy("common practice, no source"),
    Tag.MEMORY: gettext_lazy("from memory, not looked up"),
}


@dataclass(frozen=True)
class Formula:
    """A row for people: ``founded`` says how well."""

    row: Row
    founded: Text


@dataclass(frozen=True)
class Reckoning:
    """The formulas by subject, and sentences on the studio's own figures."""

    subjects: tuple[tuple[str, tuple[Formula, ...]], ...]
    own: tuple[str, ...]


def reckoning_of(studio: Studio) -> Reckoning:
    """All of it."""
    subjects = tuple(
        (subject, tuple(Formula(row, FOUNDED[row.tag]) for row in rows)) for subject, rows in by_subject().items()
    )
    kilns = (*own_cupboard(studio), *own_kilns(studio))
    own = (*_air(studio), *kilns, *_glaze(studio), *own_forms(studio), *own_clay_and_moulds(studio))
    return Reckoning(subjects, own)


def _air(studio: Studio) -> tuple[str, ...]:
    air = air_of(studio)
    read = reading_of(studio) is not None
    how = _("read by instruments") if read else _("usual for this kind of week: common practice, no source")
    given = {
        "c": round(air.temperature_c), "humidity": round(air.humidity * 100), "how": how, "pa": round(air.deficit_pa),
        "usual": round(ORDINARY.deficit_pa),
    }  # fmt: skip
    said = _("The air: %(c)d °C, humidity %(humidity)d %% (%(how)s).") % given
    thirst = _("It could take up %(pa)d Pa more water vapour; in an ordinary week %(usual)d Pa.") % given
    return units.said(said), thirst, air_words(studio)


def _glaze(studio: Studio) -> tuple[str, ...]:
    pieces = sum(w.pieces for w in Grams(studio).weighed)
    weighed = ngettext("%(n)d piece was weighed", "%(n)d pieces were weighed", pieces) % {"n": pieces}
    given = {"weighed": weighed, "layer": units.gauge(USUAL_LAYER_MM), "g": f"{USUAL_G_L / 10:g}"}
    layer = _("Glaze: %(weighed)s with glaze on; where none says more, a layer of %(layer)s is taken.") % given
    bucket = _("A bucket that nobody weighed is taken to weigh %(g)s g in 100 ml: common practice, no source.") % given
    return layer, bucket
