"""What people say in passing: with "done" in one tap, or of ware that stands there."""

from __future__ import annotations

from studio.models import Fact
from studio.record.state import LEATHER
from tests.services.shop import Shop
from tests.services.test_tasks import do_all, to


def test_how_it_came_out_is_told_with_done_in_one_tap_and_one_undo_takes_both(shop: Shop) -> None:
    shop.order(qty=4)
    live = shop.plan()
    release = do_all(shop, live, "release")
    answer = shop.do("task_done", task=to(shop, live, release), said="clean")
    assert [r.word for r in shop.state.remarks[shop.ids["form"]]] == ["clean"]
    shop.do("undo", command=answer.undo)
    assert shop.state.remarks == {}
    assert shop.state.done_tasks.keys() & {release.id} == set()


def test_a_word_of_other_work_is_passed_over_and_the_work_counts(shop: Shop) -> None:
    shop.order(qty=4)
    live = shop.plan()
    press = do_all(shop, live, "press")
    shop.do("task_done", task=to(shop, live, press), said="clean")
    assert not Fact.objects.filter(kind="said").exists()
    shop.refused(422, "task_done", task=press.id, said="lovely")


def test_bone_dry_now_lets_ware_into_the_kiln_and_is_noted_once(shop: Shop) -> None:
    shop.do("week_set", week="damp")
    shop.studio.refresh_from_db()
    shop.order(qty=4)
    live = shop.plan()
    do_all(shop, live, "load")
    ware = next(w for w in shop.state.ware.values() if w.stage == LEATHER)
    shop.later(hours=20)
    shop.do("said", batches=[ware.id], word="bone_dry")
    now = int(shop.now.timestamp()) // 60
    assert shop.state.ware[ware.id].dry_at == now
    assert shop.state.remarks[ware.form][-1].slow == 200
    again = shop.do("said", batches=[ware.id], word="bone_dry")
    assert again.undo is None
    assert Fact.objects.filter(kind="said").count() == 1


def test_what_cannot_be_said_is_refused_also_to_another_studio(shop: Shop) -> None:
    batch = shop.do("pressed", form=shop.ids["form"], count=2).data["batch"]
    shop.refused(404, "said", batches=[batch], word="bone_dry")
    shop.refused(404, "said", batches=["nothing"], word="clean")
    shop.refused(422, "said", batches=[batch], word="lovely")
    other = Shop("Another Yard")
    other.refused(404, "said", batches=[batch], word="clean")
    maker = shop.maker()
    shop.later(hours=5)
    assert shop.send("said", by=maker, batches=[batch], word="clean").status == 200
