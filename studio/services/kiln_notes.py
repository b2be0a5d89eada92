"""Notes on a kiln that the places of a plan's pieces teach: loads that are too much for it, and that no more are."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django.db import transaction

from studio.models import Kiln, Studio
from studio.queries.laid_kept import holds
from studio.translate.placing import Refusal

MOST = 50  # notes on one kiln


@transaction.atomic
def note_too_much(*, studio: Studio, refused: Iterable[Refusal]) -> tuple[Refusal, ...]:
    """Note on the kilns that such loads do not fit; those that were new and found room among the notes."""
    kilns = {k.public_id: k for k in Kiln.objects.select_for_update().filter(studio=studio)}
    noted = [r for r in refused if r.kiln in kilns and _note(kilns[r.kiln], r)]
    for kiln in {r.kiln for r in noted}:
        kilns[kiln].version += 1
        kilns[kiln].save(update_fields=["limits", "version"])
    return tuple(noted)


def _note(kiln: Kiln, refusal: Refusal) -> bool:
    """Add one note; notes of this kind that it makes needless go, the oldest where there are too many."""
    same = [x for x in kiln.limits if x["stage"] == refusal.stage and not x.get("fits")]
    if any(holds(refusal.counts, x["counts"]) for x in same):
        return False
    needless = [x for x in same if x.get("placed") and holds(x["counts"], refusal.counts)]
    left = [x for x in kiln.limits if x not in needless]
    oldest = next((x for x in left if x.get("placed")), None)
    if len(left) >= MOST and oldest is None:
        return False
    if len(left) >= MOST:
        left = [x for x in left if x is not oldest]
    kiln.limits = [*left, {"stage": refusal.stage, "counts": dict(refusal.counts), "placed": True}]
    return True


@transaction.atomic
def drop_notes(*, studio: Studio, outdated: Mapping[str, Sequence[dict[str, Any]]]) -> None:
    """Take notes off, by kiln, that the sizes of now do not bear out any more."""
    for kiln in Kiln.objects.select_for_update().filter(studio=studio, public_id__in=list(outdated)):
        left = [x for x in kiln.limits if x not in outdated[kiln.public_id]]
        if left != kiln.limits:
            kiln.limits, kiln.version = left, kiln.version + 1
            kiln.save(update_fields=["limits", "version"])
