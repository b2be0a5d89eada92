"""What people say of ware in passing: kept by form, so that its times can be learned."""

from __future__ import annotations

from dataclasses import replace

from studio.record.happening import Happening
from studio.record.state import IN_MOULD, LEATHER, REMARKS_KEPT, Remark, Ware

IN_MOULD_WORDS = ("too_soft", "stuck", "clean")
BOARD_WORDS = ("leather_hard", "too_dry", "bone_dry")


def stages_of(word: str) -> tuple[str, ...]:
    """Of ware at which stages a word can be said: one on the board says nothing of ware in its mould."""
    return (IN_MOULD, LEATHER) if word in IN_MOULD_WORDS else (LEATHER,)


def said(h: Happening) -> None:
    """A word on ware; bone-dry ware is dry from then on."""
    word = h.data["word"]
    ware = h.ware(h.data["batch"], *stages_of(word))
    if ware is None:
        return
    keep(h, ware, word)
    if word == "bone_dry":
        ware.dry_at = h.fact.happened if ware.dry_at is None else min(ware.dry_at, h.fact.happened)


def keep(h: Happening, ware: Ware, word: str) -> None:
    """Keep the word with how long the ware had stood, if that is known."""
    span = _span(ware, word, h.fact.happened)
    if span is None or span[1] <= span[0]:
        return
    minutes, kept = span[1] - span[0], h.state.remarks.get(ware.form, [])
    remark = Remark(word, minutes, _shut(ware, word), h.data.get("slow", 100), ware.id)
    if word in ("too_soft", "clean"):  # what was said of the same ware before goes into the later word
        before = [r for r in kept if (r.ware, r.word) == (ware.id, "too_soft") and r.minutes <= minutes]
        kept = [r for r in kept if r not in before]
        if before and word == "clean":
            remark = replace(remark, soft=max(r.minutes for r in before))
    h.state.remarks[ware.form] = [*kept, remark][-REMARKS_KEPT:]


def _span(ware: Ware, word: str, at: int) -> tuple[int, int] | None:
    if ware.implied:
        return None
    if word in IN_MOULD_WORDS:
        out = ware.released[0] if ware.released is not None else at
        return (ware.pressed[1], min(at, out)) if ware.pressed is not None else None
    if word == "bone_dry":
        return (ware.last_end, at) if ware.last_end is not None and ware.pressed is not None else None
    return (ware.released[1], at) if ware.released is not None else None


def _shut(ware: Ware, word: str) -> bool:
    """Whether it stood under a sheet; from the last work to bone-dry it stands open."""
    if word in IN_MOULD_WORDS:
        return ware.covered_in_mould
    return ware.wrapped and word != "bone_dry"
