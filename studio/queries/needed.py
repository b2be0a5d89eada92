"""What the plan in use still takes, as work that the craft adds up, and what each figure rests on."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from planner.craft.needs import Fired, Glazing, Item, Kind, Pouring, Pressing, Work, reclaimed_g
from planner.craft.plaster import WASTE, plaster_in_g
from studio import units
from studio.models import Form, Glaze, Kiln, KilnProgram, Studio
from studio.queries.buckets import USUAL_G_L
from studio.queries.glaze_grams import Grams, rests_on
from studio.queries.stock import PLASTER, Span, Stock
from studio.record.glazes import batch_in_use
from studio.record.state import State
from studio.translate.firings import Figure, known_of
from studio.translate.moulds_water import DRY_A_BALL, own_dry_g


@dataclass(frozen=True)
class Use:
    """Work that takes something; ``rests`` says what its figure was reckoned from."""

    item: Item
    name: str
    work: Work
    rests: str


def clay_uses(stock: Stock) -> Iterator[Use]:
    """Balls and handles by form, as the plan presses them."""
    found: Counter[tuple[str, Pressing]] = Counter()
    for p in stock.planned:
        if isinstance(p.work, Pressing):
            one = Pressing(p.work.clay, 1, p.work.ball_g, p.work.spare_g, p.work.handle_g)
            found[p.form.name, one] += p.work.count
    for (form, one), n in sorted(found.items(), key=lambda x: x[0][0]):
        item, work = (Kind.CLAY, one.clay), Pressing(one.clay, n, one.ball_g, one.spare_g, one.handle_g)
        yield Use(item, stock.names.get(item, _("Clay")), work, _ball(n, form, one) + _back(work))


def _ball(n: int, form: str, one: Pressing) -> str:
    given = {"n": n, "form": form, "ball": units.weight(one.ball_g), "handle": units.weight(one.handle_g)}
    if one.handle_g:
        return _("%(n)d × %(form)s: balls of %(ball)s, %(handle)s for each handle") % given
    return _("%(n)d × %(form)s: balls of %(ball)s") % given


def _back(work: Pressing) -> str:
    back = reclaimed_g(work)
    return _("; some %(back)s come back as trimmings, later") % {"back": units.bulk(back)} if back >= 50 else ""


def plaster_uses(studio: Studio, span: Span, stock: Stock) -> Iterator[Use]:
    """Moulds to pour: by the mix told for the form, else by the weight of its moulds, else by its ball."""
    item = (Kind.PLASTER, PLASTER)
    told: Counter[tuple[str, float]] = Counter()
    for p in stock.planned:
        if isinstance(p.work, Pouring):
            told[p.form.name, p.work.plaster_g] += p.work.count
    for (form, grams), n in told.items():
        yield Use(item, _("Plaster"), Pouring(PLASTER, n, grams), _poured(n, form, grams, _("by its mix")))
    casts = span.live.plan.casts
    pours = Counter(span.live.scenario.cast[c.id].form for c in casts if span.left(c.pour))
    forms = {f.public_id: f for f in Form.objects.filter(studio=studio, public_id__in=pours)} if pours else {}
    for key, n in pours.items():
        row = forms.get(key)
        if row is not None and row.name in stock.unknown:
            grams, why = _mould_g(studio, row, span.state)
            yield Use(item, _("Plaster"), Pouring(PLASTER, n, grams), _poured(n, row.name, grams, why))


def _poured(n: int, form: str, grams: float, why: str) -> str:
    return _("%(n)d × %(form)s: %(each)s each, %(why)s") % {
        "n": n, "form": form, "each": units.bulk(grams), "why": why}  # fmt: skip


def _mould_g(studio: Studio, form: Form, state: State) -> tuple[float, str]:
    rows = form.moulds.filter(studio=studio).values_list("public_id", flat=True)
    dry = [g for m in rows if m in state.moulds and (g := own_dry_g(state.moulds[m])) is not None]
    if dry:
        weight, why = sum(dry) / len(dry), _("by the dry weight of its moulds")
    else:
        weight, why = DRY_A_BALL * form.ball_g, _("three times the ball when dry: common practice, no source")
    return plaster_in_g(max(1.0, weight)) * (1 + WASTE), why


def glaze_uses(studio: Studio, span: Span, grams: Grams) -> Iterator[Use]:
    """Pieces still to be glazed, by glaze and form."""
    live = span.live
    orders = [(live.scenario.order[x.order], x.count) for x in live.plan.lots if span.left(x.glaze)]
    found: Counter[tuple[str, str]] = Counter()
    for order, n in orders:
        found[order.glaze, order.form] += n
    glazes = dict(Glaze.objects.filter(studio=studio).values_list("public_id", "name"))
    forms = dict(Form.objects.filter(studio=studio).values_list("public_id", "name"))
    for (glaze, form), n in sorted(found.items(), key=lambda x: forms.get(x[0][1], "")):
        each = grams.of(form, glaze)
        said = {"n": n, "form": forms.get(form, form), "each": units.scale(each.dry_g), "why": rests_on(each)}
        work = Glazing(glaze, n, each.dry_g, density_g_l(span.state, glaze))
        text = _("%(n)d × %(form)s: %(each)s each, %(why)s") % said
        yield Use((Kind.GLAZE, glaze), glazes.get(glaze, glaze), work, text)


def density_g_l(state: State, glaze: str) -> int:
    """Of the bucket in use as it was weighed last, else a usual one."""
    batch = batch_in_use(state, glaze)
    return batch.g_l if batch is not None and batch.g_l is not None else USUAL_G_L


def energy_uses(studio: Studio, span: Span) -> Iterator[Use]:
    """Firings that are still to be lit, by kiln and program."""
    found = Counter(_to_be_lit(span))
    if not found:
        return
    rows = KilnProgram.objects.filter(studio=studio).select_related("kiln", "program")
    known = {(r.kiln.public_id, r.program.public_id): (r, known_of(r, span.state.firings.values())) for r in rows}
    names = dict(Kiln.objects.filter(studio=studio).values_list("public_id", "name"))
    for (kiln, program), n in sorted(found.items()):
        if (kiln, program) in known:
            row, of = known[kiln, program]
            given = {"n": n, "program": row.program.name, "kwh": of.kwh.used, "why": _kwh_why(of.kwh)}
            text = _("%(n)d × %(program)s: %(kwh)d kWh each, %(why)s") % given
            yield Use((Kind.ENERGY, kiln), names.get(kiln, kiln), Fired(kiln, n, of.kwh.used), text)


def _kwh_why(kwh: Figure) -> str:
    if not kwh.by_record:
        return _("as put in for this kiln")
    return ngettext("by %(n)d firing on record", "by %(n)d firings on record", kwh.firings) % {"n": kwh.firings}


def _to_be_lit(span: Span) -> Iterable[tuple[str, str]]:
    for firing in span.live.plan.firings:
        lit = span.state.firings.get(firing.id)
        if firing.fire is None or firing.program is None or (lit is not None and lit.lit is not None):
            continue
        if span.before(firing.fire):
            yield firing.kiln, firing.program
