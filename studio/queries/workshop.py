"""What the studio has, for its own page and for the first hour: how far it is set up and what comes next."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from studio.models import (
    BlockedTime,
    ClayBody,
    Fact,
    Form,
    Glaze,
    Job,
    Kiln,
    KilnProgram,
    Member,
    Mould,
    Order,
    Person,
    Plan,
    Rack,
    Station,
    Studio,
    WeeklyHours,
)
from studio.models.base import Retirable
from studio.words import Text


@dataclass(frozen=True)
class Step:
    """One step of the first hour. ``page`` is the name of its page; an ``easy`` one may well be left out."""

    key: str
    title: Text
    why: Text
    page: str
    easy: bool = False


STEPS = (
    Step("studio", gettext_lazy("Name and time zone"),
         gettext_lazy("Every time on these pages is this studio’s own."), "workshop_studio"),
    Step("people", gettext_lazy("People and their hours"),
         gettext_lazy("A plan gives work only to hours that somebody has."), "workshop_people"),
    Step("machine", gettext_lazy("The machine"),
         gettext_lazy("One thing at a time is pressed on it."), "workshop_stations"),
    Step("racks", gettext_lazy("Racks and ware boards"),
         gettext_lazy("Ware needs a board to stand on, or it is not pressed."), "workshop_racks"),
    Step("kiln", gettext_lazy("The kiln and its firings"),
         gettext_lazy("A kiln pays when it is full, and cannot be opened before it is cool."), "workshop_kilns"),
    Step("glazes", gettext_lazy("Glazes"),
         gettext_lazy("An order is for a form in a glaze, and a glaze has its firing."), "workshop_glazes"),
    Step("forms", gettext_lazy("Forms and their moulds"),
         gettext_lazy("Six questions for each; the rest starts from common practice."), "workshop_forms"),
    Step("ware", gettext_lazy("What stands there already"),
         gettext_lazy("Bisque on the shelf need not be pressed again."), "workshop_ware", easy=True),
    Step("orders", gettext_lazy("The orders"),
         gettext_lazy("Who wants what, by which day."), "order_new"),
    Step("plan", gettext_lazy("The first plan"),
         gettext_lazy("From here on Today says what comes next."), "plan"),
)  # fmt: skip


@dataclass(frozen=True)
class Place:
    """A step with its place in the row, and whether it is done."""

    step: Step
    number: int
    done: bool


@dataclass(frozen=True)
class FirstHour:
    """How far a studio is set up."""

    places: tuple[Place, ...]

    @property
    def n_done(self) -> int:
        return sum(p.done for p in self.places)

    @property
    def of(self) -> int:
        return len(self.places)

    @property
    def over(self) -> bool:
        """Whether there is a plan: then all that one needs was there."""
        return self.at("plan").done

    @property
    def can_plan(self) -> bool:
        """Whether all is there that a plan needs."""
        return all(p.done or p.step.easy or p.step.key in ("studio", "orders", "plan") for p in self.places)

    @property
    def next(self) -> Place | None:
        """The first step that is still open."""
        return next((p for p in self.places if not p.done), None)

    def at(self, key: str) -> Place:
        return next(p for p in self.places if p.step.key == key)

    def after(self, key: str) -> Place | None:
        """The step that comes after this one."""
        here = self.at(key).number
        return next((p for p in self.places if p.number == here + 1), None)


def first_hour(studio: Studio) -> FirstHour:
    """Which of the steps are done, by what the studio has."""
    return FirstHour(tuple(Place(s, i + 1, DONE[s.key](studio)) for i, s in enumerate(STEPS)))


def _any(model: type[Retirable], studio: Studio) -> bool:
    return model.objects.filter(studio=studio, retired_at=None).exists()


def _has_people(studio: Studio) -> bool:
    return WeeklyHours.objects.filter(studio=studio, person__retired_at=None).exists()


def _has_racks(studio: Studio) -> bool:
    rows = Rack.objects.filter(studio=studio, retired_at=None, boards__gt=0)
    return set(rows.values_list("use", flat=True)) == set(Rack.Use.values)


def _has_kiln(studio: Studio) -> bool:
    rows = KilnProgram.objects.filter(studio=studio, kiln__retired_at=None)
    return set(rows.values_list("program__stage", flat=True)) == {"bisque", "glost"}


def _has_machine(studio: Studio) -> bool:
    return any("press" in s.kinds for s in Station.objects.filter(studio=studio, retired_at=None))


def _has_glaze(studio: Studio) -> bool:
    return Glaze.objects.filter(studio=studio, retired_at=None, programs__isnull=False).exists()


def _has_moulds(studio: Studio) -> bool:
    return Mould.objects.filter(studio=studio, retired_at=None, form__retired_at=None).exists()


DONE: dict[str, Callable[[Studio], bool]] = {
    "studio": lambda s: s.version > 1 or s.is_demo,  # somebody looked at it and saved it
    "people": _has_people,
    "machine": _has_machine,
    "racks": _has_racks,
    "kiln": _has_kiln,
    "glazes": _has_glaze,
    "forms": _has_moulds,
    "ware": lambda s: Fact.objects.filter(studio=s, kind__in=("opening", "pressed")).exists(),
    "orders": lambda s: Order.objects.filter(studio=s).exists(),
    "plan": lambda s: Plan.objects.filter(studio=s, is_current=True).exists(),
}


@dataclass(frozen=True)
class PartView:
    """One part of the studio with what there is of it, in a few words."""

    page: str
    title: str
    said: str


@dataclass(frozen=True)
class Workshop:
    """The studio at a glance."""

    studio: Studio
    first: FirstHour

    @cached_property
    def parts(self) -> tuple[PartView, ...]:
        s = self.studio
        return (
            PartView("workshop_forms", _("Forms"), self._forms()),
            PartView("workshop_people", _("People and hours"), self._names(Person)),
            PartView("workshop_stations", _("Machines and benches"), self._names(Station)),
            PartView("workshop_racks", _("Racks"), self._boards()),
            PartView("workshop_kilns", _("Kilns and firings"), self._names(Kiln)),
            PartView("clay", _("Clay"), self._names(ClayBody)),
            PartView("workshop_glazes", _("Glazes"), self._names(Glaze)),
            PartView("workshop_other", _("Weekly work, teaching, fairs"), self._other()),
            PartView("workshop_ware", _("What stands there"), _("put ware in the book that it does not know of")),
            PartView("workshop_studio", _("Name, time zone, units"), s.time_zone),
            PartView("workshop_members", _("Who may come in"), self._members()),
        )  # fmt: skip

    def _forms(self) -> str:
        n = Form.objects.filter(studio=self.studio, retired_at=None).count()
        moulds = Mould.objects.filter(studio=self.studio, retired_at=None).count()
        if not n:
            return _("none yet")
        said = (ngettext("%(n)d form", "%(n)d forms", n) % {"n": n},
                ngettext("%(n)d mould", "%(n)d moulds", moulds) % {"n": moulds})  # fmt: skip
        return ", ".join(said)

    def _names(self, model: type[Retirable]) -> str:
        rows = model.objects.filter(studio=self.studio, retired_at=None).order_by("pk")
        return ", ".join(str(r) for r in rows) or _("none yet")

    def _boards(self) -> str:
        n = sum(Rack.objects.filter(studio=self.studio, retired_at=None).values_list("boards", flat=True))
        return ngettext("%(n)d ware board", "%(n)d ware boards", n) % {"n": n} if n else _("none yet")

    def _other(self) -> str:
        names = [str(r) for m in (Job, BlockedTime) for r in m.objects.filter(studio=self.studio, retired_at=None)]
        return ", ".join(dict.fromkeys(names)) or _("none yet")

    def _members(self) -> str:
        rows = Member.objects.filter(studio=self.studio, left_at=None).select_related("user").order_by("pk")
        return ", ".join(m.user.get_username() for m in rows)


def workshop_of(studio: Studio) -> Workshop:
    """The studio at a glance."""
    return Workshop(studio, first_hour(studio))

