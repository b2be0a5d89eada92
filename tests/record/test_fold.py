"""What each kind of fact does to the state, and what is kept where it does not add up."""

from __future__ import annotations

import pytest

from studio.record.fold import fold
from studio.record.mend import MENDS, mend
from studio.record.state import BISQUED, FIRED, IN_MOULD, KILN, LEATHER, State, Tally
from tests.record.making import (
    T0,
    correction,
    drawn,
    fact,
    glazed,
    packed,
    pressed,
    sorted_,
    step_done,
    taken_out,
    undo,
    whole_way,
)

pytestmark = pytest.mark.one_lane  # no database


def codes(state: State) -> list[str]:
    return [t.code for t in state.troubles]


def test_pieces_go_the_whole_way_and_nothing_is_left() -> None:
    state = fold(whole_way())
    assert codes(state) == [] and state.ware == {} and state.kilns["a"].holds is None
    assert state.lines["line"] == Tally(firsts=2, seconds=1, lost=0, shipped=2)
    assert state.stock["bowl/chalk"] == Tally(seconds=1)
    assert state.made == {"bowl": 3} and state.mounted == {"jolley": ("bowl", T0 - 30)}


def test_a_filled_mould_is_free_again_when_its_piece_is_out() -> None:
    state = fold([pressed(0)])
    assert state.ware["b"].stage == IN_MOULD and state.moulds["m1"].filled_by == "b"
    state = fold([pressed(0), taken_out(600)])
    assert state.ware["b"].stage == LEATHER and state.ware["b"].moulds == []
    assert state.moulds["m1"].filled_by is None and state.moulds["m1"].emptied == T0 + 600
    assert state.moulds["m1"].uses == 1


def test_what_is_left_in_the_moulds_is_a_batch_of_its_own() -> None:
    state = fold([pressed(0), taken_out(600, good=1, lost=1, left=1, moulds=["m3", "m1"])])
    assert (state.ware["b"].count, state.ware["b"].stage) == (1, LEATHER)
    rest = state.ware["b-rest"]
    assert (rest.count, rest.stage, rest.moulds, rest.parent) == (1, IN_MOULD, ["m2"], "b")
    assert state.moulds["m2"].filled_by == "b-rest" and state.lost == {"bowl/in_mould": 1}
    state = fold([pressed(0), taken_out(600, good=1, left=2), taken_out(700, "b-rest", good=2)])
    assert codes(state) == [] and state.ware["b-rest"].stage == LEATHER


def test_leather_hard_work_may_be_done_in_parts() -> None:
    state = fold([pressed(0), taken_out(600), step_done(660, good=1, left=2), step_done(700, "b-rest", good=2)])
    assert codes(state) == [] and state.ware["b"].steps == ["turn"] and state.ware["b-rest"].steps == ["turn"]
    assert state.ware["b-rest"].last_end == T0 + 700


def test_a_part_in_the_kiln_gets_an_id_of_its_own_and_the_rest_keeps_it() -> None:
    state = fold([pressed(0), taken_out(600), packed(2400, b=2)])
    assert (state.ware["f.b"].count, state.ware["f.b"].stage) == (2, KILN) and state.ware["b"].count == 1
    assert state.firings["f"].pieces == {"f.b": 2} and state.ware["f.b"].parent == "b"
    state = fold([pressed(0), taken_out(600), packed(2400, b=2), fact("lit", 2500, firing="f"), drawn(4000)])
    assert state.ware["f.b"].stage == BISQUED and state.ware["f.b"].firing == "f"


def test_pieces_lost_in_the_kiln_are_gone() -> None:
    facts = [pressed(0), taken_out(600), packed(2400, b=3), fact("lit", 2500, firing="f"), drawn(4000, b=2)]
    state = fold(facts)
    assert state.ware["b"].count == 1 and state.lost == {"bowl/kiln": 2}


def test_undo_and_its_undo() -> None:
    out = taken_out(600)
    back = undo(610, out)
    assert fold([pressed(0), out, back]).ware["b"].stage == IN_MOULD
    assert fold([pressed(0), out, back, undo(620, back)]).ware["b"].stage == LEATHER
    again = undo(620, back)
    assert fold([pressed(0), out, back, again, undo(630, again)]).ware["b"].stage == IN_MOULD


def test_an_undo_cannot_speak_of_what_comes_after_it() -> None:
    out = taken_out(600, seq=10**8, fact_id="later")
    assert fold([pressed(0), out, undo(590, out)]).ware["b"].stage == LEATHER


def test_a_correction_replaces_keys_and_may_itself_be_corrected() -> None:
    out = taken_out(600)
    first = correction(610, out, good=1, lost=2)
    assert fold([pressed(0), out, first]).ware["b"].count == 1
    second = correction(620, first, good=2, lost=1)
    assert fold([pressed(0), out, first, second]).ware["b"].count == 2
    assert fold([pressed(0), out, first, second, undo(630, second)]).ware["b"].count == 1
    assert fold([pressed(0), out, first, second, undo(630, first)]).ware["b"].count == 3


def test_a_correction_that_breaks_the_form_is_told_and_without_effect() -> None:
    out = taken_out(600)
    state = fold([pressed(0), out, correction(610, out, good="three")])
    assert state.ware["b"].count == 3 and codes(state) == ["correction_cannot_be"]


def test_the_same_thing_recorded_twice_counts_once() -> None:
    first, second = taken_out(600, good=3), taken_out(605, good=1, lost=2)
    state = fold([pressed(0), first, second])
    assert state.ware["b"].count == 3 and state.twice == {second.id: first.id} and codes(state) == []
    one, two = sorted_(6500, 3, l=3, task="t"), sorted_(6501, 2, 1, l=3, task="t")
    state = fold([*whole_way()[:-2], one, two])
    assert state.twice == {two.id: one.id} and state.lines["line"].firsts == 3


def test_a_planned_task_is_known_to_be_done() -> None:
    out = taken_out(600, task="t7")
    assert fold([pressed(0), out]).done_tasks == {"t7": out.id}
    assert fold([pressed(0), out, undo(601, out)]).done_tasks == {}


@pytest.mark.parametrize(
    ("facts", "code"),
    [
        ([taken_out(600)], "no_such_ware"),
        ([pressed(0), step_done(660)], "other_stage"),
        ([pressed(0), taken_out(600, good=5)], "more_than_there_are"),
        ([pressed(0), taken_out(600, good=1)], "fewer_than_there_are"),
        ([pressed(0), pressed(60, "c", ("m1",))], "mould_filled"),
        ([fact("mould_cracked", 0, mould="m1", piece_lost=False), pressed(60)], "mould_gone"),
        ([pressed(0), taken_out(600, moulds=["m9"])], "mould_elsewhere"),
        ([pressed(0), taken_out(9), packed(60, b=1), packed(200, "g", "bisque", b=1)], "kiln_full"),
        ([fact("lit", 0, firing="f")], "no_such_firing"),
        ([pressed(0), taken_out(9), packed(60, b=1), drawn(200)], "drawn_unlit"),
        ([pressed(0), taken_out(9), packed(60, b=1), fact("lit", 70, firing="f"), drawn(200, z=1)], "not_in_this_kiln"),
        ([pressed(0), taken_out(9), packed(60, b=1), drawn(200), fact("lit", 210, firing="f")], "drawn_unlit"),
        ([fact("shipped", 0, lines=[{"line": "x", "count": 2}])], "sent_more_than_sorted"),
        ([fact("lifted", 0, cast="c", started=T0, ended=T0)], "no_such_cast"),
        ([pressed(0), fact("opening", 5, id="b", form="bowl", count=1, stage="fired", at=T0, order=None, glaze=None,
                           dry_at=None)], "id_used"),
        ([fact("sang", 0)], "unknown_kind"),
        ([fact("lit", 0)], "wrong_form"),
    ],
)  # fmt: skip
def test_what_does_not_add_up_is_kept_with_a_way_to_mend_it(facts: list, code: str) -> None:
    state = fold(facts)
    assert codes(state)[0] == code
    assert all(mend(t) and t.fact in {f.id for f in facts} and t.code in MENDS for t in state.troubles)


def test_moulds_pressed_again_give_up_their_pieces_until_their_taking_out_is_told() -> None:
    told = [pressed(0), pressed(900, "c")]
    state = fold(told)
    assert state.ware["b"].stage == LEATHER and state.ware["b"].implied and state.ware["c"].moulds == ["m1", "m2", "m3"]
    assert codes(state) == ["mould_filled"] * 3
    assert fold([*told, taken_out(600)]).troubles == []  # recorded late, in its time
    late = fold([*told, taken_out(1000, good=2, lost=1)])  # recorded with a later time: still heard
    assert late.ware["b"].count == 2 and codes(late) == ["mould_filled"] * 3


def test_some_of_a_batch_driven_out_by_the_next_pressing_are_a_part_of_their_own() -> None:
    state = fold([pressed(0), pressed(900, "c", ("m1", "m2"))])
    assert (state.ware["b"].count, state.ware["b"].moulds) == (1, ["m3"])
    assert (state.ware["c.b"].count, state.ware["c.b"].stage) == (2, LEATHER)


def test_a_kiln_packed_again_was_drawn_if_it_was_lit_and_unpacked_if_not() -> None:
    before = [pressed(0), taken_out(600), packed(2400, b=3)]
    again = [pressed(50, "c", ("m4",)), taken_out(650, "c", good=1), packed(9000, "g", "bisque", c=1)]
    state = fold([*before, *again])
    assert state.ware["b"].stage == LEATHER and state.kilns["a"].holds == "g"
    state = fold([*before, fact("lit", 2500, firing="f"), *again])
    assert state.ware["b"].stage == BISQUED and state.kilns["a"].holds == "g"
    state = fold([*before, fact("lit", 2500, firing="f"), *again, drawn(9100, b=1)])  # its drawing told afterwards
    assert state.ware["b"].count == 2 and state.kilns["a"].holds == "g" and codes(state) == ["kiln_full"]


def test_a_cracked_mould_takes_its_piece_only_if_told_so() -> None:
    state = fold([pressed(0), fact("mould_cracked", 5, mould="m2", piece_lost=True)])
    assert (state.ware["b"].count, state.ware["b"].moulds) == (2, ["m1", "m3"]) and state.moulds["m2"].gone == "cracked"
    state = fold([pressed(0), fact("mould_retired", 5, mould="m2", piece_lost=False)])
    assert state.ware["b"].count == 3 and state.moulds["m2"].filled_by == "b"


def test_pots_lost_in_their_moulds_leave_them_empty() -> None:
    state = fold([pressed(0), fact("lost", 100, batch="b", count=2, where="mould", why="stuck")])
    assert state.ware["b"].moulds == ["m1"] and state.moulds["m3"].filled_by is None
    assert fold([pressed(0), fact("lost", 100, batch="b", count=9, where="", why="")]).ware == {}


def test_a_cast_becomes_a_mould_and_a_lost_one_may_be_poured_again() -> None:
    pour = fact("poured", 0, cast="c", form="bowl", started=T0, ended=T0 + 45)
    lift = fact("lifted", 100, cast="c", started=T0 + 100, ended=T0 + 110)
    state = fold([pour, lift])
    assert state.casts["c"].lifted == T0 + 110 and "c" in state.moulds
    pour2 = fact("poured", 300, cast="c", form="bowl", started=T0 + 300, ended=T0 + 345)
    state = fold([pour, fact("cast_lost", 200, cast="c"), pour2])
    assert codes(state) == [] and state.twice == {} and not state.casts["c"].gone


def test_sending_more_than_a_line_has_takes_stock_where_its_kind_is_told() -> None:
    for_stock = whole_way()[:-2]
    for_stock.append(sorted_(6500, 3, order=None, l=3))
    row = {"line": "line", "count": 2, "form": "bowl", "glaze": "chalk"}
    state = fold([*for_stock, fact("shipped", 6600, lines=[row])])
    assert codes(state) == [] and state.stock["bowl/chalk"].shipped == 2 and state.lines["line"].shipped == 2
    assert state.shelf == {"bowl/chalk": 1}


def test_what_was_sorted_for_one_line_may_be_sent_for_another_of_its_kind() -> None:
    row = {"line": "other", "count": 2, "form": "bowl", "glaze": "chalk"}
    state = fold([*whole_way()[:-1], fact("shipped", 6600, lines=[row])])
    assert codes(state) == [] and state.shelf == {"bowl/chalk": 0} and state.stock["bowl/chalk"].shipped == 0
    state = fold([*whole_way()[:-1], fact("shipped", 6600, lines=[{**row, "count": 3}])])
    assert codes(state) == ["sent_more_than_sorted"] and state.troubles[0].counts == {"said": 3, "there": 2}


def test_seconds_that_a_customer_takes_go_with_its_line() -> None:
    row = {"line": "line", "count": 3, "form": "bowl", "glaze": "chalk"}
    taken = fact("seconds_taken", 6550, line="line", form="bowl", glaze="chalk", count=1)
    state = fold([*whole_way()[:-1], taken])
    assert state.seconds == {"bowl/chalk": 1} and state.lines["line"].taken == 1  # it stands there until it is sent
    state = fold([*whole_way()[:-1], taken, fact("shipped", 6600, lines=[row])])
    assert codes(state) == [] and state.seconds == {"bowl/chalk": 0} and state.shelf == {"bowl/chalk": 0}
    assert state.lines["line"] == Tally(firsts=2, seconds=1, shipped=3, taken=1, taken_sent=1)
    state = fold([*whole_way()[:-1], fact("shipped", 6600, lines=[row])])
    assert codes(state) == ["sent_more_than_sorted"] and state.seconds == {"bowl/chalk": 1}
    too_many = fact("seconds_taken", 6550, line="line", form="bowl", glaze="chalk", count=4)
    state = fold([*whole_way()[:-1], too_many])
    assert codes(state) == ["more_than_there_are"] and state.lines["line"].taken == 1


def test_what_leaves_the_shelf_is_not_there_any_more() -> None:
    gone = {"form": "bowl", "glaze": "chalk", "how": "sold"}
    state = fold([*whole_way()[:-1], fact("off_shelf", 6550, **gone, firsts=1, seconds=1)])
    assert codes(state) == [] and state.shelf == {"bowl/chalk": 1} and state.seconds == {"bowl/chalk": 0}
    assert state.lost == {}
    state = fold([*whole_way()[:-1], fact("off_shelf", 6550, **gone, firsts=0, seconds=2)])
    assert codes(state) == ["more_than_there_are"] and state.troubles[0].counts == {"said": 2, "there": 1}


def test_what_stands_there_at_the_start() -> None:
    common = {"form": "bowl", "count": 4, "at": T0, "order": None, "glaze": "chalk", "dry_at": None}
    stages = ("leather", "bisqued", "glazed", "fired")
    state = fold([fact("opening", 0, **{**common, "id": s, "stage": s}) for s in stages])
    assert {w.id: w.stage for w in state.ware.values()} == {s: s for s in stages}
    assert state.ware["leather"].dry_at == T0


def test_glazing_takes_only_bisque_of_its_form() -> None:
    facts = [*whole_way()[:6], glazed(4100, form="mug", b=3)]
    state = fold(facts)
    assert codes(state) == ["other_form"] and state.ware["b"].stage == BISQUED and "l" not in state.ware


def test_ware_past_its_time_and_too_soft_are_heard() -> None:
    state = fold(
        [
            pressed(0),
            fact("still_good", 700, batch="b", until=T0 + 900),
            fact("too_soft", 60, batch="b", ask_at=T0 + 120),
        ]
    )
    assert (state.ware["b"].until, state.ware["b"].ask_at) == (T0 + 900, T0 + 120)


def test_fired_ware_waits_for_sorting() -> None:
    state = fold(whole_way()[:-2])
    assert state.ware["l"].stage == FIRED and state.ware["l"].order == "line" and state.ware["l"].at == T0 + 6400
