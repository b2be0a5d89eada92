"""What a person can do about a fact that does not add up."""

from __future__ import annotations

from studio.record.state import Trouble

# The first is the likeliest. Pages word them; "undo" takes the fact back, "correct" opens it for a correction.
MENDS: dict[str, tuple[str, ...]] = {
    "no_such_ware": ("record_what_came_before", "correct", "undo"),
    "other_stage": ("record_what_came_before", "undo"),
    "id_used": ("undo",),
    "more_than_there_are": ("correct", "undo"),
    "fewer_than_there_are": ("correct", "undo"),
    "mould_filled": ("record_take_out", "correct_moulds", "undo"),
    "mould_gone": ("undo_crack", "correct_moulds", "undo"),
    "mould_elsewhere": ("correct_moulds", "leave"),
    "step_done_before": ("undo", "leave"),
    "kiln_full": ("record_draw", "undo"),
    "no_such_firing": ("record_pack", "undo"),
    "lit_after_drawing": ("undo",),
    "drawn_unlit": ("record_lit", "undo"),
    "not_in_this_kiln": ("correct", "undo"),
    "other_form": ("correct", "undo"),
    "sent_more_than_sorted": ("record_sorting", "correct", "leave"),
    "no_such_cast": ("record_pour", "undo"),
    "no_such_glaze_batch": ("record_mixing", "undo"),
    "no_such_clay": ("undo",),
    "no_such_bag": ("undo",),
    "correction_cannot_be": ("undo",),
    "unknown_kind": ("undo",),
    "wrong_form": ("undo",),
}


def mend(trouble: Trouble) -> tuple[str, ...]:
    """Codes of what would make it add up, the likeliest first; never empty."""
    return MENDS.get(trouble.code, ("undo",))
