"""What pieces with a fault went through, and what people call it: mould, tool, clay, glaze, firing, shelf."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property

from django.utils import formats
from django.utils.translation import gettext as _

from planner.craft.blame import Group, Link
from studio import units
from studio.models import ClayBody, Form, Glaze, Kiln, Mould, PlanLoad, Studio
from studio.queries.cards import local
from studio.queries.state import state_of
from studio.record.followed import BISQUE, GLOST, Followed, Links, Looked
from studio.record.state import State


class Ties:
    """Ties pieces to their clay and their shelf, which the walk along the record does not know."""

    def __init__(self, studio: Studio, walk: Followed) -> None:
        self._studio, self._walk = studio, walk

    @cached_property
    def state(self) -> State:
        return state_of(self._studio)

    @cached_property
    def shelves(self) -> dict[tuple[str, str], int]:
        """By firing and form the shelf, from the bottom, where all of the form stood on one and all went as planned."""
        rows = PlanLoad.objects.filter(studio=self._studio, firing__in=list(self._walk.firings), fits=True)
        rows = rows.filter(plan__accepted_at__isnull=False).order_by("plan__accepted_at")
        found: dict[tuple[str, str], int] = {}
        for firing, shelves in dict(rows.values_list("firing", "shelves")).items():
            forms = self._walk.firings[firing].forms
            if all(sum(s.get(f, 0) for s in shelves) == n for f, n in forms.items()):
                on = {f: [i for i, s in enumerate(shelves, 1) if s.get(f)] for f in forms}
                found |= {(firing, f): numbers[0] for f, numbers in on.items() if len(numbers) == 1}
        return found

    def of(self, links: Links, seen: str) -> dict[Link, str]:
        """By kind of link what it is, of those that can have made a fault that is ``seen`` there."""
        fired = seen in (BISQUE, GLOST)
        firing = links.firings.get(seen, "") if fired else ""
        shelf = self.shelves.get((firing, links.form)) if firing else None
        glazed = seen == GLOST
        found = {
            Link.FORM: links.form, Link.TOOL: links.setting, Link.MOULD: links.mould,
            Link.CLAY: self.state.clay_of.get(links.pressing, ""),
            Link.RECIPE: links.glaze if glazed else "", Link.GLAZE: links.glaze_batch if glazed else "",
            Link.FIRING: firing, Link.SHELF: f"{self._walk.firings[firing].kiln}/{shelf}" if shelf else "",
        }  # fmt: skip
        return {link: name for link, name in found.items() if name}


def groups(looked: Iterable[Looked], seen: str, ties: Ties) -> list[Group]:
    """Pieces looked at in one place, with what they went through."""
    return [Group(x.pieces, x.faults, ties.of(x.links, seen)) for x in looked if x.seen == seen]


class LinkNames:
    """What the links of offenders are called."""

    def __init__(self, studio: Studio, walk: Followed, ties: Ties) -> None:
        def named(model: type[Form | Glaze | Kiln | ClayBody]) -> dict[str, str]:
            return dict(model.objects.filter(studio=studio).values_list("public_id", "name"))

        self._forms, self._glazes, self._kilns, self._bodies = map(named, (Form, Glaze, Kiln, ClayBody))
        rows = Mould.objects.filter(studio=studio).values_list("public_id", "number", "form__name")
        self._moulds = {mould: (number, form) for mould, number, form in rows}
        self._firings, self._settings, self._state = walk.firings, walk.settings, ties.state

    def of(self, link: Link, name: str) -> str:
        """A link in words that begin a sentence."""
        words = {
            Link.FORM: self._form, Link.MOULD: self._mould, Link.TOOL: self._setting, Link.CLAY: self._clay,
            Link.RECIPE: self._glaze, Link.GLAZE: self._bucket, Link.FIRING: self._firing, Link.SHELF: self._shelf,
        }  # fmt: skip
        return words[link](name)

    def _mould(self, name: str) -> str:
        number, form = self._moulds.get(name, (0, ""))
        return _("mould %(n)d of %(form)s") % {"n": number, "form": form}

    def _form(self, name: str) -> str:
        return _("all of the form %(form)s") % {"form": self._forms.get(name, "")}

    def _setting(self, name: str) -> str:
        kept = self._settings[name]
        said = {"form": self._forms.get(kept.form, ""), "stop": kept.stop or "–", "day": _day(kept.at),
                "ball": units.weight(kept.ball_g)}  # fmt: skip
        return _("%(form)s by the setting of %(day)s: ball %(ball)s, stop %(stop)s") % said

    def _clay(self, name: str) -> str:
        batch = self._state.clay.get(name)
        said = {"body": self._bodies.get(batch.body, "") if batch else "", "day": _day(batch.came) if batch else ""}
        return _("clay %(body)s of %(day)s") % said

    def _glaze(self, name: str) -> str:
        return _("glaze %(name)s") % {"name": self._glazes.get(name, "")}

    def _bucket(self, name: str) -> str:
        batch = self._state.glaze_batches.get(name)
        said = {"name": self._glazes.get(batch.glaze, "") if batch else "", "day": _day(batch.mixed) if batch else ""}
        return _("the bucket of %(name)s mixed on %(day)s") % said

    def _firing(self, name: str) -> str:
        fired = self._firings[name]
        return _("%(kiln)s, packed on %(day)s") % {"kiln": self._kilns.get(fired.kiln, ""), "day": _day(fired.at)}

    def _shelf(self, name: str) -> str:
        kiln, _slash, number = name.rpartition("/")
        return _("%(kiln)s, shelf %(n)s from the bottom") % {"kiln": self._kilns.get(kiln, ""), "n": number}


def _day(minute: int) -> str:
    return formats.date_format(local(minute), "j F")
