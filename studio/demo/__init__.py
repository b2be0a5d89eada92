"""An invented studio in the middle of its season, to look around in. No such place, person or customer exists."""

from studio.demo.load import load_demo
from studio.demo.plan import plan_demo

__all__ = ["load_demo", "plan_demo"]
