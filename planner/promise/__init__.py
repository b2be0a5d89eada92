"""When could it be ready? The earliest date for a new order that makes no present order later."""

from planner.promise.answer import promise
from planner.promise.records import EarlierDay, Later, Option, Promise, as_json

__all__ = ["EarlierDay", "Later", "Option", "Promise", "as_json", "promise"]
