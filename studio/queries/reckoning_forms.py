"""The studio's own figures of clay bodies, forms and tools, in sentences for the page "how we reckon"."""

from __future__ import annotations

from django.utils.translation import gettext as _

from planner.craft.trial import SPARE
from studio import units
from studio.models import ClayBody, Studio, Tool
from studio.queries.bodies import BodyShrinkage, shrinkage_of
from studio.queries.profile import LOST_IN_FIRE, MOISTURE
from studio.queries.tools import WORN_MM


def own_forms(studio: Studio) -> tuple[str, ...]:
    """What each body shrinks, then what forms, tools and the steps of a new form begin with."""
    bodies = ClayBody.objects.filter(studio=studio, retired_at=None).order_by("-usual", "name")
    shrinks = tuple(_shrinks(shrinkage_of(studio, b)) for b in list(bodies) or [None])
    given = {"water": round(100 * MOISTURE), "fire": round(100 * LOST_IN_FIRE), "spare": round(100 * SPARE),
             "check": Tool._meta.get_field("check_after").default, "worn": units.gauge(WORN_MM)}  # fmt: skip
    clay = _(
        "A form from its profile: clay with %(water)d %% water where nobody told of the batch, of which %(fire)d %% of "
        "the dry weight burn out, and %(spare)d %% of a ball as spare: common practice, no source."
    )
    tool = _(
        "A profile tool is looked at after %(check)d pressings, and is worn where the wall is %(worn)s thicker than "
        "new: common practice, no source; each tool may have its own figure."
    )
    steps = _("The minutes of a new form’s steps are common practice, no source, until you say your own.")
    return (*shrinks, clay % given, tool % given, steps)


def _shrinks(body: BodyShrinkage) -> str:
    given = {"clay": body.name or _("Clay"), "total": f"{body.total_pct:.1f}", "drying": f"{body.drying_pct:.1f}",
             "source": body.source}  # fmt: skip
    return _("%(clay)s: shrinks %(total)s %% of the wet length in all, %(drying)s %% in drying (%(source)s).") % given
