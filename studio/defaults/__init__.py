"""Figures to start from, where a studio has not measured its own. All of them: common practice, no source."""

from studio.defaults.forms import KINDS, FormDraft, Kind, form_defaults, usual_ball_g
from studio.defaults.shop import (
    BOARDS,
    CAST,
    KILNS,
    MOST_RAMPS,
    RECHECK_MIN,
    KilnDraft,
    ProgramDraft,
)

__all__ = [
    "BOARDS", "CAST", "KILNS", "KINDS", "MOST_RAMPS", "RECHECK_MIN", "FormDraft", "KilnDraft", "Kind",
    "ProgramDraft", "form_defaults", "usual_ball_g",
]  # fmt: skip
