"""A form's profile: entered by table or pasted, kept with the form, and what follows from it."""

from __future__ import annotations

import re
from math import pi
from typing import Any

import pytest

from studio.models import Form, FormProfile
from studio.queries.profile import profile_of
from tests.pages.visitor import Visitor, check_door
from tests.services.shop import Shop

pytestmark = pytest.mark.django_db

# A tumbler of two cylinders, fired: 80 mm wide, 100 high, wall 4, bottom 5.
OUTER = "0 0\n40 0\n40 100"
INNER = "0 5\n36 5\n36 100"


def page(shop: Shop) -> str:
    return f"workshop/forms/{shop.ids['form']}/profile/"


def save(shop: Shop, **more: Any) -> dict[str, Any]:
    return {"form": shop.ids["form"], "size": "fired", "outer_paste": OUTER, "inner_paste": INNER, **more}


def test_the_door(shop: Shop, visitor: Visitor) -> None:
    check_door(page(shop), shop)
    visitor.open("workshop/forms/nosuch/profile/", status=404)


def test_two_columns_pasted_give_weights_capacity_and_a_ball(shop: Shop, visitor: Visitor) -> None:
    assert "It weighs" not in visitor.open(page(shop))
    text = visitor.send("profile_save", outer_paste=OUTER, inner_paste=INNER)
    # By hand: π 36² · 95 = 386.8 ml to the brim, π 36² · 85 = 346.1 ml to 10 mm below it.
    assert f"To the brim {round(pi * 36**2 * 95 / 1000)} ml" in text
    assert "To a line 10.0 mm below it 346 ml" in text
    # Clay fired π (40² · 100 − 36² · 95) = 115.9 cm³; wet / 0.88³ = 170.0 cm³; plastic clay of 22 % water weighs
    # 1 / (0.22 + 0.78/2.6) = 1.923 g/cm³: 327 g wet, 255 g dry, × 0.93 = 237 g fired; ball 327/0.96 = 340.6, 345 g.
    assert "Clay: 170 cm³ wet, 116 cm³ fired" in text
    assert "Wet 327 g Bone-dry 255 g Fired 237 g" in text
    assert "a ball of 345 g: 4 % of it is spare" in text
    assert "In the mould 90.9 mm × 113.6 mm" in text  # 80 and 100 over 0.88
    assert "Wall 4.0 mm to 5.0 mm" in text


def test_a_profile_as_in_the_mould_is_fired_smaller(shop: Shop, visitor: Visitor) -> None:
    visitor.open(page(shop))
    text = visitor.send("profile_save", size="mould", outer_paste=OUTER, inner_paste=INNER)
    assert "Fired 70.4 mm × 88.0 mm" in text and "In the mould 80.0 mm × 100.0 mm" in text
    assert f"To the brim {round(pi * 36**2 * 95 / 1000 * 0.88**3)} ml" in text


def test_the_table_is_kept_row_by_row_and_an_emptied_one_is_left_out(shop: Shop, visitor: Visitor) -> None:
    visitor.open(page(shop))
    visitor.send("profile_save", outer_r=["0", "40", "40", "40,5"], outer_z=["0", "0", "90", "100"],
                 inner_r=["0", "36", "36"], inner_z=["5", "5", "100"])  # fmt: skip
    row = FormProfile.objects.get(studio=shop.studio)
    assert row.outer == [[0, 0], [4000, 0], [4000, 9000], [4050, 10000]]
    fields = visitor.form("profile_save")
    assert fields["outer_r"] == ["0", "40", "40", "40.5", "", "", "", ""]  # four empty rows to go on in
    shop.later(minutes=5)
    visitor.send("profile_save", outer_r=["0", "40", "", "40.5"], outer_z=["0", "0", "", "100"])
    rows = list(FormProfile.objects.filter(studio=shop.studio).order_by("valid_from"))
    assert [len(r.outer) for r in rows] == [4, 3]  # the one before stays in the book


def test_saved_as_it_stands_nothing_is_added(shop: Shop, visitor: Visitor) -> None:
    visitor.open(page(shop))
    visitor.send("profile_save", outer_paste=OUTER, inner_paste=INNER)
    assert "Nothing was changed." in visitor.send("profile_save")
    assert FormProfile.objects.count() == 1


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ({"outer_paste": "0 0"}, "Give from 2 to 200 points"),
        ({"outer_paste": "0 0\n40 x\n40 100"}, "Line 2 (“40 x”) is not two numbers"),
        ({"outer_paste": "0 0\n40 0 3\n40 100"}, "Line 2 (“40 0 3”) is not two numbers"),
        ({"outer_paste": "0 0\n5000 0\n40 100"}, "is not two numbers"),
        ({"outer_paste": "5 0\n40 0\n40 100"}, "begins 5 mm off the middle axis"),
        ({"inner_paste": "0 5\n45 5\n36 100"}, "crosses or touches itself"),
        ({"outer_paste": INNER, "inner_paste": OUTER}, "lies below the outer one: are the two swapped?"),
        ({"outer_paste": "\n".join(f"{i} 0" for i in range(250))}, "Give from 2 to 200 points"),
        ({"outer_paste": "1 " * 5200}, "too much text"),
    ],
)
def test_what_is_no_profile_is_refused_in_words_and_stays_in_the_form(
    shop: Shop, visitor: Visitor, said: dict[str, str], expected: str
) -> None:
    visitor.open(page(shop))
    text = visitor.send("profile_save", **{"outer_paste": OUTER, "inner_paste": INNER, **said})
    assert expected in text
    assert FormProfile.objects.count() == 0
    assert visitor.form("profile_save")["inner_paste"].strip() == said.get("inner_paste", INNER)


def test_a_row_that_cannot_be_read_is_marked_in_its_place(shop: Shop, visitor: Visitor) -> None:
    visitor.open(page(shop))
    text = visitor.send("profile_save", outer_r=["0", "40", "4o"], outer_z=["0", "0", "100"],
                        inner_r=["0", "36", "36"], inner_z=["5", "5", ""])  # fmt: skip
    assert text.count("Enter a number, at most 1000.") == 3  # at both cells, and the first of them on top
    assert re.search(r'name="outer_r"[^>]*value="4o"[^>]*aria-invalid="true"', visitor.page)


def test_columns_by_semicolon_tab_and_decimal_comma_are_read(shop: Shop) -> None:
    outer = "0;0\r\n40,0\t0\r\n\r\n40 100,0"
    shop.do("profile_save", **save(shop, outer_paste=outer, inner_paste="0, 5\n36, 5\n36, 100"))
    row = FormProfile.objects.get()
    assert row.outer == [[0, 0], [4000, 0], [4000, 10000]] and row.inner == [[0, 500], [3600, 500], [3600, 10000]]


def test_in_inches_it_comes_back_as_it_was_entered(shop: Shop) -> None:
    shop.do("studio_save", name="Barn", time_zone="America/New_York", units="us", week="ordinary",
            version=shop.studio.version)  # fmt: skip
    visitor = Visitor(shop)
    visitor.open(page(shop))
    inner = "0 .197\n1.417 .197\n1.417 3.937"
    text = visitor.send("profile_save", outer_paste="0 0\n1.575 0\n1.575 3.937", inner_paste=inner)
    assert "fl oz" in text and "in³" in text and " mm" not in text and " ml" not in text
    fields = visitor.form("profile_save")
    assert fields["outer_r_inch"][:3] == ["0", "1.575", "1.575"] and fields["inner_z_inch"][0] == "0.197"
    assert "Nothing was changed." in visitor.send("profile_save")


def test_a_line_of_the_studio_s_own(shop: Shop, visitor: Visitor) -> None:
    shop.do("profile_save", **save(shop))
    text = visitor.open(f"{page(shop)}?below=45")
    assert "To a line 45.0 mm below it 204 ml" in text  # π 36² · 50
    assert "that is below its bottom" in visitor.open(f"{page(shop)}?below=99")
    assert "Enter how far below the brim" in visitor.open(f"{page(shop)}?below=lots")


def test_the_picture_is_to_scale_and_the_table_tells_the_same(shop: Shop, visitor: Visitor) -> None:
    shop.do("profile_save", **save(shop))
    visitor.open(page(shop))
    clay = re.search(r'class="clay" d="([^"]+)"', visitor.page)
    assert clay is not None and clay[1] == "M0 0L40 0L40 -100L36 -100L36 -5L0 -5Z"  # the points, in mm, upside down
    form = Form.objects.get(public_id=shop.ids["form"])
    found = profile_of(shop.studio, form).reckoned
    assert found is not None
    dots = re.findall(r'<circle cx="([-\d.]+)" cy="([-\d.]+)"', visitor.page)
    assert [(float(x), -float(y)) for x, y in dots] == [
        (pytest.approx(w.radius_mm, abs=0.01), pytest.approx(w.height_mm, abs=0.01)) for w in found.walls
    ]
    assert visitor.text.count("4.0 4.5") >= 8  # fired and wet, 4 / 0.88, up the wall


def test_a_form_with_its_profile_is_drawn(shop: Shop, visitor: Visitor) -> None:
    new = shop.do("form_begin", name="Tumbler", shape="beaker", fired_mm=80).data["form"]
    shop.do("profile_save", **save(shop, form=new))
    assert "Next: Model" in visitor.open(f"workshop/forms/{new}/")


def test_a_maker_looks_and_does_not_change(shop: Shop) -> None:
    maker = shop.maker()
    shop.refused(403, "profile_save", **save(shop), by=maker)
    shop.do("profile_save", **save(shop))
    assert "To the brim" in Visitor(shop, maker).open(page(shop))


def test_another_studio_s_form_is_not_found(shop: Shop) -> None:
    Shop(name="Next Door", now=shop.now).furnish().refused(404, "profile_save", **save(shop))
