"""What is on file of each glaze for tableware, in words: without a laboratory's result it is not tested for food."""

from __future__ import annotations

from django.utils.translation import gettext_lazy

from studio.models import Fact, Studio
from studio.queries.record import read_facts
from studio.record.fold import fold
from studio.record.form import ABOUT_FACTS
from studio.record.glazes import Food, food_of
from studio.record.state import State
from studio.words import Text

# All that says which recipe a glaze is mixed by and what was found on it; no other fact changes that.
SPEAK_OF_IT = ("glaze_mixed", "glaze_weighed", "glaze_in_use", "glaze_used_up", "food_result", *ABOUT_FACTS)
FOOD: dict[Food, Text] = {
    Food.WITHIN: gettext_lazy("tested for food: within the limits"),
    Food.OVER: gettext_lazy("over the limits: not for food"),
    Food.OTHER_RECIPE: gettext_lazy("not tested for food by this recipe"),
    Food.NOT_TESTED: gettext_lazy("not tested for food"),
}


def food_warning(state: State, glaze: str) -> Text:
    """What has to stand beside its name; nothing where a result within the limits is on file."""
    word = food_of(state, glaze).word
    return "" if word is Food.WITHIN else FOOD[word]


class FoodFile:
    """What is on file, by glaze."""

    def __init__(self, state: State) -> None:
        self._state = state

    def word(self, glaze: str) -> Food:
        """Of the glaze as it is used now."""
        return food_of(self._state, glaze).word

    def warning(self, glaze: str) -> Text:
        """What has to stand beside its name, or nothing."""
        return food_warning(self._state, glaze)


def food_file(studio: Studio) -> FoodFile:
    """The studio's file, in one query."""
    rows = Fact.objects.filter(studio=studio, kind__in=SPEAK_OF_IT)
    return FoodFile(fold(read_facts(rows)))
