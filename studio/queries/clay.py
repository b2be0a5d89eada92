"""Balls of clay and what is cut off them, by form: measured at trial pressings where there are any."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from studio.defaults.table import HANDLE_G
from studio.models import Form, Studio
from studio.queries.record import settled_of
from studio.translate.moulds_water import SPARE


@dataclass(frozen=True)
class Ball:
    """What one pressing takes: ball with the clay of its handle, and the spare cut off, in g."""

    ball_g: int
    handle_g: int
    spare_g: int
    measured: bool

    @property
    def grams(self) -> int:
        return self.ball_g + self.handle_g


def balls_of(studio: Studio, forms: Iterable[Form]) -> dict[str, Ball]:
    """By form. The spare is that of the setting that was kept, as a share of its ball; else the usual share."""
    forms = list(forms)
    shares = _measured(studio, [f.public_id for f in forms])
    return {f.public_id: _ball(f, shares.get(f.public_id)) for f in forms}


def _ball(form: Form, share: float | None) -> Ball:
    spare = round(form.ball_g * (SPARE if share is None else share))
    return Ball(form.ball_g, HANDLE_G if form.handle else 0, spare, share is not None)


def _measured(studio: Studio, forms: list[str]) -> dict[str, float]:
    """The share of the ball cut off at the last good trial pressing of each form."""
    facts = settled_of(studio, "trial", data__form__in=forms, data__verdict="good")
    return {f.data["form"]: f.data["spare_g"] / f.data["ball_g"] for f in facts if f.data["verdict"] == "good"}
