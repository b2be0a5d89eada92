"""What the record keeps of what people say of ware in passing."""

from __future__ import annotations

import json

from studio.record.fold import fold
from studio.record.state import REMARKS_KEPT, Remark
from studio.record.store import state_from_json, state_to_json
from tests.record.making import T0, fact, pressed, step_done, taken_out, undo


def test_a_word_is_kept_with_the_time_in_the_mould_and_its_air() -> None:
    soft = fact("too_soft", 300, batch="b", ask_at=T0 + 360, slow=140)
    assert fold([pressed(0), soft]).remarks["bowl"] == [Remark("too_soft", 300, False, 140, "b")]
    out = taken_out(600)
    clean = fact("said", 640, batch="b", word="clean")
    told = fold([pressed(0), out, clean])
    assert told.remarks["bowl"] == [Remark("clean", out.data["started"] - T0, False, 100, "b")]
    assert told.troubles == []
    both = fold([pressed(0), fact("too_soft", 200, batch="b", ask_at=T0 + 260), soft, out, clean]).remarks["bowl"]
    assert [(r.word, r.soft) for r in both] == [("clean", 300)]  # one piece between two bounds, not two pieces


def test_words_on_the_board_run_from_the_taking_out_and_bone_dry_from_the_last_work() -> None:
    out, work = taken_out(600), step_done(700)
    right = fact("said", 700, batch="b", word="leather_hard")
    dry = fact("said", 2600, batch="b", word="bone_dry")
    state = fold([pressed(0), out, work, right, dry])
    assert [(r.word, r.minutes) for r in state.remarks["bowl"]] == [("leather_hard", 100), ("bone_dry", 1900)]
    assert state.ware["b"].dry_at == T0 + 2600


def test_a_word_taken_back_leaves_nothing_and_one_said_twice_counts_once() -> None:
    facts = [pressed(0), taken_out(600), step_done(700)]
    dry = fact("said", 2600, batch="b", word="bone_dry")
    gone = fold([*facts, dry, undo(2700, dry)])
    assert (gone.remarks, gone.ware["b"].dry_at) == ({}, None)
    twice = fold([*facts, dry, fact("said", 2900, batch="b", word="bone_dry")])
    assert len(twice.remarks["bowl"]) == 1
    assert twice.ware["b"].dry_at == T0 + 2600


def test_a_word_that_cannot_be_is_a_trouble() -> None:
    in_mould = fold([pressed(0), fact("said", 300, batch="b", word="bone_dry")])
    assert [t.code for t in in_mould.troubles] == ["other_stage"]
    assert in_mould.remarks == {}
    assert [t.code for t in fold([fact("said", 0, batch="x", word="clean")]).troubles] == ["no_such_ware"]


def test_only_the_last_words_are_kept_through_a_snapshot_and_a_copy_is_its_own() -> None:
    facts = []
    for n in range(REMARKS_KEPT + 5):
        facts += [pressed(n * 9000, f"b{n}"), fact("too_soft", n * 9000 + 10 + n, batch=f"b{n}", ask_at=T0)]
    state = fold(facts)
    assert [r.minutes for r in state.remarks["bowl"]] == list(range(15, REMARKS_KEPT + 15))
    assert state_from_json(json.loads(json.dumps(state_to_json(state)))) == state
    copy = state.clone()
    copy.remarks["bowl"].clear()
    assert len(state.remarks["bowl"]) == REMARKS_KEPT
