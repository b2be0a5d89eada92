"""What there is to choose from in the forms of the pages: ids with the names that people give the things."""

from __future__ import annotations

from dataclasses import dataclass

from studio.models import Customer, Form, Glaze, Studio
from studio.models.base import Retirable
from studio.queries.food import food_file

Choices = list[tuple[str, str]]


def choices_of(model: type[Retirable], studio: Studio) -> Choices:
    """The things of a kind that are in use, by name."""
    rows = model.objects.filter(studio=studio, retired_at=None)
    return sorted(((x.public_id, str(x)) for x in rows), key=lambda c: c[1].casefold())


def glaze_choices(studio: Studio) -> Choices:
    """The glazes in use by name, each with what has to stand beside it where it is not tested for food."""
    there = food_file(studio)
    return [(i, f"{name} ({warning})" if (warning := there.warning(i)) else name) for i, name in
            choices_of(Glaze, studio)]  # fmt: skip


@dataclass(frozen=True)
class OrderChoices:
    customers: Choices
    forms: Choices
    glazes: Choices


def order_choices(studio: Studio) -> OrderChoices:
    """What an order chooses from."""
    return OrderChoices(choices_of(Customer, studio), choices_of(Form, studio), glaze_choices(studio))
