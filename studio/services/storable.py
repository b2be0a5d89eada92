"""What every database can keep of a value that came from outside."""

from __future__ import annotations

import math
import re
from typing import Any

# NUL and halves of a surrogate pair are valid in JSON's escapes, but PostgreSQL refuses them in text.
NOT_TEXT = re.compile("[\x00\ud800-\udfff]")


def storable(value: Any) -> Any:
    """A JSON value with those signs left out of its texts and keys, and null for numbers that are none."""
    if isinstance(value, str):
        return NOT_TEXT.sub("", value)
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, list):
        return [storable(each) for each in value]
    if isinstance(value, dict):
        return {storable(key): storable(each) for key, each in value.items()}
    return value
