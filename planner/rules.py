"""The fourteen rules that make a plan valid, with their numbers, short names and meaning for people."""

from __future__ import annotations

from enum import Enum


class Rule(Enum):
    """One rule of the plan; ``name`` is its number, ``title`` its short name, ``meaning`` a sentence for people."""

    R01 = (
        "hands",
        "Every task is done by one person who is there and can do it, at the right place, in the time that it takes.",
    )
    R02 = (
        "pressing",
        "Every piece is pressed in a dry mould of its own form with uses left, after the tool is mounted and aligned.",
    )
    R03 = (
        "taking out",
        "A piece comes out of its mould when it is firm enough and before it dries on, and the mould then rests.",
    )
    R04 = (
        "leather-hard work",
        "Turning, fettling and joining follow in order while the clay is leather-hard, not before and not after.",
    )
    R05 = ("ware boards", "No rack ever holds more ware boards than it has room for.")
    R06 = ("drying", "Nothing is packed for bisque before it is bone-dry.")
    R07 = (
        "firing",
        "A kiln holds one load at a time, is lit when it may be, fires the right ware and is opened when it is cool.",
    )
    R08 = ("packing the kiln", "The load fits on the shelves and props that the kiln has.")
    R09 = (
        "glazing",
        "Bisque is glazed after it is out of the kiln, with its order's glaze, and is dry before it is packed.",
    )
    R10 = ("sorting and packing", "Pots are sorted and packed for their own order once they are out of the glost.")
    R11 = (
        "pouring moulds",
        "A poured mould is lifted while the plaster allows it, and a model or frame serves one mould at a time.",
    )
    R12 = ("counting", "No more pieces are taken from anywhere than are there.")
    R13 = (
        "work under way",
        "What is in moulds or leather-hard now is carried on or openly given up, and other jobs are done in time.",
    )
    R14 = ("reckoning", "The costs and the dates of the orders are what the plan really gives.")

    def __init__(self, title: str, meaning: str) -> None:
        self.title = title
        self.meaning = meaning
