"""Random studios by seed: to measure the planner with, and for the tests that lean on reaching every key and branch."""

from planner.bench.studios.drawn import DAYS, disturbed, lifelike, strange
from planner.bench.studios.lifelike import SIZES

__all__ = ["DAYS", "SIZES", "disturbed", "lifelike", "strange"]
