"""The studio's own figures of clay, plaster and the lives of moulds, as sentences."""

from __future__ import annotations

from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from studio import units
from studio.models import Form, MouldMix, Studio
from studio.queries.clay import balls_of
from studio.queries.mould_lives import mould_lives
from studio.record.clay import COMES_BACK_PCT
from studio.translate.moulds_water import SPARE


def own_clay_and_moulds(studio: Studio) -> tuple[str, ...]:
    """What is cut off and comes back, the mixes kept, and how long moulds last."""
    return (_clay(studio), *_mixes(studio), *_lives(studio))


def _clay(studio: Studio) -> str:
    balls = balls_of(studio, Form.objects.filter(studio=studio, retired_at=None))
    n = sum(b.measured for b in balls.values())
    measured = ngettext("of %(n)d form the spare was measured", "of %(n)d forms the spare was measured", n) % {"n": n}
    said = {"measured": measured, "spare": round(100 * SPARE), "back": COMES_BACK_PCT}
    return _("Clay: %(measured)s; else %(spare)d %% of the ball. %(back)d %% of it and of wet pieces lost come back as "
             "reclaim: common practice, no source.") % said  # fmt: skip


def _mixes(studio: Studio) -> tuple[str, ...]:
    rows = MouldMix.objects.filter(studio=studio, form__retired_at=None).select_related("form").order_by("form__name")
    kept = [f"{m.form.name} {units.volume(m.ml / 1000)}" for m in rows]
    return (_("Plaster of one mould: %(kept)s.") % {"kept": ", ".join(kept)},) if kept else ()


def _lives(studio: Studio) -> tuple[str, ...]:
    forms = mould_lives(studio, timezone.localtime()).forms
    own = tuple(f"{_('Moulds of %(form)s') % {'form': f.form.name}}: {f.from_record}" for f in forms if f.ended)
    if own or not forms:
        return own
    return (_("No mould has ended yet: lives are those stated of them, common practice, no source."),)
