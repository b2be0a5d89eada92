"""The figures that a new form starts from, against the table of common practice (no source) and by hand."""

from __future__ import annotations

import pytest

from studio.defaults import KINDS, form_defaults, usual_ball_g

# The table again, as it is handed round among potters: common practice, no source. Columns: weighing and pressing
# together, take-out, glaze, sort and wrap together (s); open and covered window, rest ordinary and damp, drying (h).
TABLE = {
    "egg_cup": (110, 20, 60, 85, (4, 10), (12, 22), (12, 24), 24),
    "beaker": (175, 25, 90, 105, (5, 12), (12, 22), (12, 24), 30),
    "mug": (190, 25, 120, 125, (5, 12), (12, 22), (12, 24), 48),
    "bowl": (210, 30, 100, 125, (6, 12), (14, 24), (14, 28), 36),
    "soup_plate": (275, 50, 120, 140, (4, 8), (12, 18), (16, 30), 60),
    "side_plate": (240, 40, 90, 110, (4, 8), (12, 18), (16, 30), 54),
    "dinner_plate": (340, 60, 150, 165, (5, 8), (14, 20), (18, 36), 72),
    "serving_bowl": (465, 60, 180, 200, (6, 12), (14, 24), (20, 36), 72),
}


def usual(kind: str) -> object:
    row = KINDS[kind]
    return form_defaults(kind, row.fired_mm, row.foot, row.handle, row.ball_g)


@pytest.mark.parametrize("kind", sorted(TABLE))
def test_a_form_of_the_usual_size_has_the_figures_of_the_table(kind: str) -> None:
    press, release, glaze, finish, open_h, covered_h, rest, dry = TABLE[kind]
    t = usual(kind).timings
    assert (t["press_s"], t["release_s"], t["glaze_s"], t["finish_s"]) == (press, release, glaze, finish)
    assert t["release_after"] == [h * 60 for h in open_h]
    assert t["release_after_covered"] == [h * 60 for h in covered_h]
    assert [t["mould_rest_min"], t["mould_rest_damp_min"]] == [h * 60 for h in rest]
    assert t["dry_min"] == dry * 60


def test_a_full_kiln_of_dinner_plates_costs_a_day_of_hands_and_one_of_mugs_three() -> None:
    # By hand: 9 shelves × 4 plates = 36; 5 shelves × 22 mugs = 110 (110 + 20 mm a shelf, 5 in 690 mm).
    # 36 × (40+300+60+75+150+45+120) s = 7.9 h; 110 × (25+165+25+60+240+120+35+90) s = 23.2 h.
    assert hands("dinner_plate", 36) == pytest.approx(7.9, abs=0.05)
    assert hands("mug", 110) == pytest.approx(23.2, abs=0.05)
    assert loads("dinner_plate") == 36
    assert loads("mug") == 110


def hands(kind: str, pieces: int) -> float:
    t = usual(kind).timings
    each = sum(t[k] for k in ("press_s", "release_s", "glaze_s", "finish_s")) + sum(s["each_s"] for s in t["steps"])
    return pieces * each / 3600


def loads(kind: str) -> int:
    """Pieces of one kind in the large kiln: shelves of the stack, at most nine."""
    draft = usual(kind)
    shelves = min(9, 690 // (draft.clearance_mm["glost"] + 20))
    return shelves * draft.per_shelf("glost", "590")


def test_the_worked_example_of_a_larger_bowl() -> None:
    draft = form_defaults("bowl", 180, "turned", False, 800)
    # Three rows of three: 180 / 0.94 × 0.994 = 190.3 mm wide before the glost, 3 × 190.3 + 2 × 6 = 583 mm.
    assert draft.per_shelf("glost", "590") == 9
    assert draft.clearance_mm["glost"] == 100  # 80 × 1.2 = 96
    assert draft.timings["dry_min"] == 36 * 60  # 1.43 / 1.44 = 0.99: rounded up to the hour
    assert draft.timings["press_s"] == 255  # 210 × (1 + 800/560) / 2 = 255


@pytest.mark.parametrize(
    ("shelf", "pieces"),
    [("590", 12), ("s590", 12), ("s500", 9), ("430", 4), ("r430", 4), ("r300", 1)],
    # 158.6 mm before the glost: 3 × 158.6 + 2 × 6 = 488 mm; two take 323 mm
)
def test_pieces_are_set_out_on_the_shelf(shelf: str, pieces: int) -> None:
    assert usual("bowl").per_shelf("glost", shelf) == pieces


def test_a_kiln_too_small_for_a_piece_is_left_out() -> None:
    assert usual("dinner_plate").shelving("glost", {"big": "590", "test": "s200"})["per_shelf"] == {"big": 4}


def test_round_shelves_take_bisque_in_the_piles_of_the_square_one() -> None:
    # 265 mm are 282 mm before the bisque: one pile of three on a round 430 shelf, where a square one takes four.
    assert usual("dinner_plate").per_shelf("bisque", "430") == 3
    # A round edge wastes more: fewer than by area, 110 × π × 215² / 590² = 45.9.
    assert 40 <= usual("egg_cup").per_shelf("bisque", "430") <= 45


def test_a_handle_and_a_turned_foot_are_work() -> None:
    steps = form_defaults("mug", 85, "turned", True, 460).timings["steps"]
    assert [(s["kind"], s["each_s"]) for s in steps] == [("turn", 150), ("join", 240)]
    assert [s["kind"] for s in form_defaults("mug", 85, "mould", False, 460).timings["steps"]] == ["fettle"]


def test_the_usual_ball_goes_with_the_cube_of_the_width() -> None:
    assert usual_ball_g("bowl", 150) == 560
    assert usual_ball_g("bowl", 300) == 4480  # 8 × 560


def test_losses_add_up_to_the_table() -> None:
    for kind, row in KINDS.items():
        t = usual(kind).timings
        assert t["loss_making_pct"] + t["loss_bisque_pct"] + t["loss_glost_pct"] == row.loss_pct


def test_far_from_the_usual_size_is_noted() -> None:
    assert form_defaults("bowl", 400, "turned", False).notes == ["far_from_usual"]


@pytest.mark.parametrize("bad", [("teapot", 100, "mould", False, 1), ("bowl", 0, "mould", False, 1),
                                 ("bowl", 100, "glued", False, 1), ("bowl", 100, "mould", False, -1)])  # fmt: skip
def test_what_is_no_form_is_refused(bad: tuple[str, int, str, bool, int]) -> None:
    with pytest.raises(ValueError, match="no such form"):
        form_defaults(*bad)


@pytest.mark.parametrize("kind", sorted(KINDS))
@pytest.mark.parametrize("width", [20, 60, 150, 400, 800])
@pytest.mark.parametrize("ball", [10, 500, 20_000])
def test_any_answers_make_figures_that_the_planner_takes(kind: str, width: int, ball: int) -> None:
    draft = form_defaults(kind, width, "turned", True, ball)
    t = draft.timings
    for name in ("press_s", "release_s", "glaze_s", "finish_s", "mould_rest_min", "dry_min", "green_per_board",
                 "glazed_per_board"):  # fmt: skip
        assert 1 <= t[name] <= 1_000_000
    for lo, hi in (t["release_after"], t["release_after_covered"], *(s["after"] for s in t["steps"])):
        assert 0 <= lo < hi
    assert all(c >= 5 for c in draft.clearance_mm.values())


@pytest.mark.parametrize("kind", sorted(set(KINDS) - {"ramekin"}))
def test_the_usual_size_keeps_the_table_s_count_on_a_shelf(kind: str) -> None:
    row, draft = KINDS[kind], usual(kind)
    assert draft.per_shelf("bisque", "590") == row.bisque[0]
    assert draft.per_shelf("glost", "590") == row.glost[0]
    assert draft.per_shelf("glost", "430") == row.glost_round


def test_no_default_is_more_than_stands_on_the_shelf() -> None:
    # The table's 50 ramekins of 90 mm: 95 + 6 mm apart, at most (590 + 6)² / (101.2² × 0.866) = 40 can lie there.
    assert 30 <= usual("ramekin").per_shelf("glost", "590") <= 40
