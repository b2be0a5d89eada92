"""Facts as sentences: what happened, in a potter's words."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any, Protocol

from django.utils.translation import gettext as _

from studio import form_steps, units, words
from studio.faults import name_of
from studio.models import Cast, ClayBody, Fact, Form, Glaze, Job, Kiln, Mould, Person, Studio, Tool
from studio.queries.air import air_told
from studio.queries.cards import local
from studio.queries.telling_glaze import TOLD_OF_GLAZE
from studio.queries.telling_stock import TOLD_OF_STOCK
from studio.record.forms import step_of_job
from studio.record.state import State

ROUNDS = 4  # remainder of a remainder of …


@dataclass
class Teller:
    """Says facts. All names that the given facts need are looked up once, in a handful of queries."""

    studio: Studio
    forms: dict[str, str] = field(default_factory=dict)
    things: dict[str, str] = field(default_factory=dict)  # kilns, people, glazes, jobs by public id
    moulds: dict[str, tuple[int, str]] = field(default_factory=dict)
    ware: dict[str, str] = field(default_factory=dict)  # ware id -> form
    kiln_of: dict[str, str] = field(default_factory=dict)  # firing -> kiln
    glaze_of: dict[str, str] = field(default_factory=dict)  # batch of glaze -> glaze

    def say(self, kind: str, data: dict[str, Any]) -> str:
        """One sentence without a full stop; a kind that is not known here is named as it is."""
        told = SENTENCES.get(kind)
        try:
            return told(self, data) if told else kind.replace("_", " ")
        except (KeyError, TypeError, ValueError, AttributeError, OverflowError):
            return _("something of the kind “%(kind)s” whose words cannot be made out") % {"kind": kind}

    def form(self, form: str) -> str:
        return self.forms.get(form, form)

    def form_of(self, ware: str) -> str:
        """The form of a ware id, also of a part that was split off it."""
        form = self.ware.get(ware) or self.ware.get(ware.rsplit(".", 1)[-1])
        return self.form(form) if form else _("ware")

    def mould(self, mould: str) -> str:
        if mould not in self.moulds:
            return _("a mould")
        number, form = self.moulds[mould]
        return _("mould %(n)s of %(form)s") % {"n": number, "form": self.form(form)}

    def kiln(self, data: dict[str, Any]) -> str:
        kiln = data.get("kiln") or self.kiln_of.get(data.get("firing", ""), "")
        return self.things.get(kiln, _("the kiln"))

    def glaze(self, data: dict[str, Any]) -> str:
        glaze = data.get("glaze") or self.glaze_of.get(data.get("glaze_batch") or "", "")
        return self.things.get(glaze, _("a glaze"))


class Told(Protocol):
    """A fact as far as names are read from it: a row of the record or a fact of the fold."""

    @property
    def data(self) -> dict[str, Any]: ...


def teller(studio: Studio, facts: Iterable[Told], state: State) -> Teller:
    """A teller that knows the names in ``facts``."""
    facts = list(facts)
    new = Teller(studio, forms=dict(Form.objects.filter(studio=studio).values_list("public_id", "name")))
    for model in (Kiln, Person, Glaze, Job, ClayBody, Tool):
        new.things.update(model.objects.filter(studio=studio).values_list("public_id", "name"))
    moulds = Mould.objects.filter(studio=studio).values_list("public_id", "number", "form__public_id")
    new.moulds = {mould: (number, form) for mould, number, form in moulds}
    casts = Cast.objects.filter(studio=studio).values_list("public_id", "form__public_id")
    new.ware.update({w.id: w.form for w in state.ware.values()} | dict(casts))
    new.glaze_of.update({b.id: b.glaze for b in state.glaze_batches.values()})
    new.things.update({c.id: new.things.get(c.body, "") for c in state.clay.values()})
    new.ware.update(dict.fromkeys(state.clay, ""))
    new.kiln_of.update({f.id: f.kiln for f in state.firings.values()})
    _find_forms(new, {ware for f in facts for ware in _wares(f.data)})
    return new


def _wares(data: dict[str, Any]) -> Iterable[str]:
    own = [data.get(k) for k in ("batch", "ware", "lot", "id")]
    rows = [row.get("batch") for key in ("pieces", "lost") if isinstance(data.get(key), list) for row in data[key]]
    return [w.rsplit(".", 1)[-1] for w in [*own, *rows] if isinstance(w, str)]


def _find_forms(new: Teller, wanted: set[str]) -> None:
    """Look up the forms of ware that is no longer there: by the fact that began it, or by what it was left over of."""
    parents: dict[str, str] = {}
    for _round in range(ROUNDS):
        missing = [w for w in wanted if w not in new.ware and w not in parents]
        if not missing:
            break
        begun = Fact.objects.filter(studio=new.studio, kind__in=("pressed", "opening", "glazed"))
        for key in ("batch", "id", "lot"):
            for data in begun.filter(**{f"data__{key}__in": missing}).values_list("data", flat=True):
                new.ware[data[key]] = data.get("form", "")
        left = Fact.objects.filter(studio=new.studio, data__remainder__in=[w for w in missing if w not in new.ware])
        for data in left.values_list("data", flat=True):
            parents[data["remainder"]] = data["batch"]
        wanted = wanted | set(parents.values())
    for ware in parents:
        root = ware
        for _round in range(ROUNDS):
            root = parents.get(root, root)
        if root in new.ware:
            new.ware[ware] = new.ware[root]


def _n(count: int, thing: str) -> str:
    return f"{count} × {thing}"


def _rest(data: dict[str, Any]) -> str:
    """What became of those that were not good: ``, 1 lost (torn rim), 2 still to do``."""
    said = []
    if data.get("lost"):
        why = f" ({name_of(data['why'])})" if data.get("why") else ""
        said.append(_("%(n)s lost") % {"n": data["lost"]} + why)
    if data.get("left"):
        said.append(_("%(n)s still to do") % {"n": data["left"]})
    return "".join(f", {s}" for s in said)


def _pressed(t: Teller, d: dict[str, Any]) -> str:
    text = _("%(what)s pressed") % {"what": _n(d["count"], t.form(d["form"]))}
    return text + (_(", covered") if d.get("covered") else "")


def _covered(t: Teller, d: dict[str, Any]) -> str:
    text = _("%(form)s: filled moulds covered") if d["what"] == "mould" else _("%(form)s: wrapped")
    return text % {"form": t.form_of(d["batch"])}


def _taken_out(t: Teller, d: dict[str, Any]) -> str:
    return _("%(what)s taken out") % {"what": _n(d["good"], t.form_of(d["batch"]))} + _rest(d)


def _step_done(t: Teller, d: dict[str, Any]) -> str:
    done = words.done(d["step"], n=d["good"])
    return f"{t.form_of(d['batch'])}: {done}{_rest(d)}"


def _lost(t: Teller, d: dict[str, Any]) -> str:
    text = _("%(what)s lost") % {"what": _n(d["count"], t.form_of(d["batch"]))}
    return f"{text}: {name_of(d['why'])}" if d.get("why") else text


def _seen(t: Teller, d: dict[str, Any]) -> str:
    said = {"fault": name_of(d["why"]), "what": _n(d["count"], t.form_of(d["batch"]))}
    return _("%(fault)s on %(what)s that go on") % said


def _packed(t: Teller, d: dict[str, Any]) -> str:
    return _("%(kiln)s packed: %(n)s pieces") % {"kiln": t.kiln(d), "n": sum(p["count"] for p in d["pieces"])}


def _fired(t: Teller, d: dict[str, Any]) -> str:
    said = []
    if "off" in d:
        said.append(_("went off %(when)s") % {"when": words.around(local(d["off"]))})
    if "read_tenths_c" in d:
        said.append(_("stood at %(c)s") % {"c": units.temperature(d["read_tenths_c"] / 10)})
    if "top_tenths_c" in d:
        said.append(_("hottest %(c)s") % {"c": units.temperature(d["top_tenths_c"] / 10)})
    if "cone" in d:
        said.append(_("cone %(cone)s %(bend)s") % {"cone": d["cone"], "bend": words.BENDS[d["bend"]]})
    meters = (("meter_before", _("meter before %(n)s")), ("meter_after", _("meter after %(n)s")))
    said += [text % {"n": f"{d[key] / 10:g}"} for key, text in (*meters, ("tenths_kwh", _("%(n)s kWh"))) if key in d]
    return f"{t.kiln(d)}: {', '.join(said)}"


def _drawn(t: Teller, d: dict[str, Any]) -> str:
    lost = sum(row["count"] for row in d.get("lost", []))
    return _("%(kiln)s drawn") % {"kiln": t.kiln(d)} + (_(", %(n)s lost") % {"n": lost} if lost else "")


def _glazed(t: Teller, d: dict[str, Any]) -> str:
    n = sum(p["count"] for p in d["pieces"])
    return _("%(what)s glazed: %(glaze)s") % {"what": _n(n, t.form(d["form"])), "glaze": t.things.get(d["glaze"], "")}


def _sorted(t: Teller, d: dict[str, Any]) -> str:
    said = {"form": t.form(d["form"]), "n": d["firsts"], "s": d["seconds"], "l": d["lost"]}
    text = _("%(form)s sorted: %(n)s firsts, %(s)s seconds, %(l)s lost") % said
    if not d.get("why"):
        return text
    showing = _(", also on %(n)s firsts") % {"n": d["showing"]} if d.get("showing") else ""
    return f"{text} ({name_of(d['why'])}{showing})"


def _off_shelf(t: Teller, d: dict[str, Any]) -> str:
    said = {"form": t.form(d["form"]), "n": d["firsts"], "s": d["seconds"], "how": words.LEFT[d["how"]]}
    return _("%(form)s off the shelf, %(how)s: %(n)s firsts, %(s)s seconds") % said


def _away(t: Teller, d: dict[str, Any]) -> str:
    until = words.half_day_at(local(d["until"]))
    return _("%(name)s away until %(until)s") % {"name": t.things.get(d["person"], ""), "until": until}


def _out(t: Teller, d: dict[str, Any]) -> str:
    if d.get("until"):
        said = {"kiln": t.kiln(d), "until": words.half_day_at(local(d["until"]))}
        return _("%(kiln)s out of order until %(until)s") % said
    return _("%(kiln)s out of order") % {"kiln": t.kiln(d)}




def _job(t: Teller, job: str) -> str:
    step = step_of_job(job)
    if step is not None:
        return form_steps.job_name(step[1], t.form(step[0]))
    return t.things.get(job) or t.things.get(job.rsplit("-", 3)[0]) or _("other work")


def _cast(text: str) -> Callable[[Teller, dict[str, Any]], str]:
    return lambda t, d: _(text) % {"form": t.form(d["form"]) if d.get("form") else t.form_of(d.get("cast", ""))}


SENTENCES: dict[str, Callable[[Teller, dict[str, Any]], str]] = {
    "pressed": _pressed, "covered": _covered, "taken_out": _taken_out, "step_done": _step_done, "lost": _lost,
    "seen": _seen,
    "packed": _packed, "fired": _fired, "drawn": _drawn, "glazed": _glazed, "sorted": _sorted, "person_away": _away,
    "kiln_out": _out,
    "air": lambda t, d: _("the air: %(said)s") % {"said": air_told(d)},
    "lit": lambda t, d: _("%(kiln)s lit") % {"kiln": t.kiln(d)},
    "kiln_back": lambda t, d: _("%(kiln)s works again") % {"kiln": t.kiln(d)},
    "seconds_taken": lambda t, d: _("%(form)s: the customer takes %(n)s seconds") % {
        "form": t.form(d["form"]), "n": d["count"]},
    "off_shelf": _off_shelf,
    "shipped": lambda t, d: _("%(n)s pieces sent off") % {"n": sum(x["count"] for x in d["lines"])},
    "mould_cracked": lambda t, d: _("%(mould)s cracked") % {"mould": t.mould(d["mould"])},
    "mould_retired": lambda t, d: _("%(mould)s put away") % {"mould": t.mould(d["mould"])},
    "weighed": lambda t, d: (_("%(mould)s weighed: %(weight)s, its dry weight") if d.get("dry") else
                             _("%(mould)s weighed: %(weight)s")) % {
        "mould": t.mould(d["mould"]), "weight": units.weight(d["grams"]),
    },
    **TOLD_OF_GLAZE,
    "poured": _cast("a mould poured: %(form)s"), "lifted": _cast("a mould lifted: %(form)s"),
    "cast_lost": _cast("a poured mould lost: %(form)s"),
    "trial": lambda t, d: _("a trial pressing of %(form)s: ball %(ball)s, spare %(spare)s") % {
        "form": t.form(d["form"]), "ball": units.weight(d["ball_g"]), "spare": units.weight(d["spare_g"])},
    **TOLD_OF_STOCK,
    "still_good": lambda t, d: _("%(form)s: still good until %(until)s") % {
        "form": t.form_of(d["batch"]), "until": words.half_day_at(local(d["until"]))},
    "said": lambda t, d: f"{t.form_of(d['batch'])}: {words.REMARKS[d['word']]}",
    "too_soft": lambda t, d: _("%(form)s: still too soft") % {"form": t.form_of(d["batch"])},
    "job_done": lambda t, d: _("%(job)s done") % {"job": _job(t, d["job"])},
    "form_step": lambda t, d: form_steps.said_done(d["step"], t.form(d["form"])),
    "setting": lambda t, d: _("%(form)s is pressed with: %(setting)s") % {
        "form": t.form(d["form"]), "setting": words.setting(d["ball_g"], t.things.get(d["tool"], ""), d["stop"])},
    "tool_checked": lambda t, d: (_("%(tool)s reground") if d["what"] == "reground" else _("%(tool)s checked")) % {
        "tool": t.things.get(d["tool"], _("a profile tool"))},
    "shrinkage": lambda t, d: (_("the shrinkage of %(clay)s told") if d["wet"] is None else
                               _("a shrinkage bar of %(clay)s measured")) % {
        "clay": t.things.get(d["body"]) or _("clay")},
    "opening": lambda t, d: _("%(what)s stood there at the start: %(stage)s") % {
        "what": _n(d["count"], t.form(d["form"])), "stage": words.stage(d["stage"])},
}  # fmt: skip
