"""Estimated minutes and money of each option, and the volumes' plans, against figures worked by hand."""

from typing import Any

import pytest

from pipeline.store import Store
from tests.rows import row
from tests.sql.choose_case import AFTER, BEFORE, BOX, Case


def minutes(store: Store, volume_id: str = "A") -> dict[tuple[int, str], float]:
    rows = store.rows(
        "select option_no, skill, minutes from work.option_hours where volume_id = ? order by all", [volume_id]
    )
    return {(option_no, skill): amount for option_no, skill, amount in rows}


def costs(store: Store, volume_id: str = "A") -> list[tuple[Any, ...]]:
    return store.rows(
        "select option_no, hours, supplies_cost, staff_cost from work.option_costs where volume_id = ? order by 1",
        [volume_id],
    )


def test_minutes_of_an_option_by_hand() -> None:
    # fetch 5 + return 5, enclose made to measure 20 technician (no stock box), interleave 12 + 10 and check 6 by the
    # volume's own least skill technician, remove 8 leaves x 0.5; cutting 10 x 1.03 x (12 + 6) / 40 = 4.635
    case = Case().volume(sheets=(10,), existing_leaves=8, existing_leaf_thickness_um=100.0)
    found = minutes(case.store(*BEFORE))
    assert found == {(1, "volunteer"): 10.0, (1, "technician"): pytest.approx(20 + 22 + 6 + 4 + 4.635)}


def test_the_volume_may_ask_for_a_higher_skill_than_the_rate() -> None:
    case = Case().volume(sheets=(10,), skill="conservator", enclosure="keep")
    found = minutes(case.store(*BEFORE))
    assert found == {
        (1, "volunteer"): 10.0,
        (1, "technician"): pytest.approx(4.635),
        (1, "conservator"): pytest.approx(22 + 6),
    }


def test_a_volunteers_volume_keeps_the_rates_skill() -> None:
    case = Case().volume(sheets=(10,), skill="volunteer", enclosure="none")
    found = minutes(case.store(*BEFORE))
    assert found == {(1, "volunteer"): 10 + 22, (1, "technician"): pytest.approx(6 + 4.635)}


def test_left_out_whole_a_volume_takes_nothing() -> None:
    store = Case().volume(sheets=(5, 10)).store(*BEFORE)
    assert costs(store)[0] == (0, 0.0, 0.0, 0.0)


def test_a_volume_without_sheets_is_fetched_enclosed_and_returned() -> None:
    store = Case().volume(state="nothing_needed").store(*BEFORE)
    assert minutes(store) == {(0, "volunteer"): 10.0, (0, "technician"): 20.0}
    assert costs(store) == [(0, 0.5, 28.0, 0.0)]


def test_a_volume_without_sheets_or_enclosure_is_left_alone() -> None:
    store = Case().volume(state="no_headroom", enclosure="keep").store(*BEFORE)
    assert costs(store) == [(0, 0.0, 0.0, 0.0)]


def test_paper_costs_its_area_spares_and_waste_included() -> None:
    # leaf 247 x 297 mm = 0.073359 m2; 10 x 1.03 / 0.85 x 2 a m2
    store = Case().volume(sheets=(10,), enclosure="keep").store(*BEFORE)
    assert costs(store)[1][2] == pytest.approx(10 * 1.03 / 0.85 * 0.073359 * 2.0)


def test_an_hour_costs_the_mean_of_those_who_may_do_it_by_their_hours() -> None:
    # volunteers' work: (0 x 10 + 20 x 30 + 40 x 10) / 50 = 20; technicians': (20 x 30 + 40 x 10) / 40 = 25
    case = Case().volume(state="nothing_needed")
    for staff_id, skill, hours, rate in (
        ("V", "volunteer", 10.0, None),
        ("T", "technician", 30.0, 20.0),
        ("C", "conservator", 10.0, 40.0),
    ):
        person = {"staff_id": staff_id, "skill": skill, "hours_per_week": hours, "hourly_rate": rate}
        case.add("clean.staff", row_no=2, days="Mon", **person)
    assert costs(case.store(*BEFORE))[0][3] == pytest.approx(10 / 60 * 20 + 20 / 60 * 25)


def test_what_stands_in_the_lab_is_worth_its_area_or_price() -> None:
    # 5 sheets of 0.61 x 0.914 m at 2 a m2; three boxes at 10
    case = Case().volume().add("clean.enclosure_stock", **(BOX | {"enclosure_id": "E", "on_hand": 3.0}))
    case.rows["clean.stock"] = [row("clean.stock", on_hand=5.0)]
    rows = case.store(*BEFORE).rows("select * from work.supplies_on_hand order by supply")
    assert rows == [("enclosure", "E", 30.0), ("paper", "BUF", pytest.approx(5 * 0.61 * 0.914 * 2))]


def plan(store: Store, columns: str, volume_id: str = "A") -> tuple[Any, ...]:
    return store.rows(f"select {columns} from work.volume_plans where volume_id = ?", [volume_id])[0]


@pytest.mark.parametrize(
    ("option_no", "state", "reason"),
    [(2, "covered", "all served"), (1, "prioritised", "no money"), (0, "deferred", "no money")],
)
def test_a_budget_turns_covered_into_prioritised_or_deferred(option_no: int, state: str, reason: str) -> None:
    case = Case().volume(sheets=(4, 10)).choose("A", option_no, "" if option_no == 2 else "no money")
    store = case.store(*BEFORE, *AFTER)
    assert plan(store, "state, reason") == (state, reason)
    assert plan(store, "sheets, added_um") == ((0, 4, 10)[option_no], (0, 400, 1000)[option_no])


def test_a_cheaper_paper_for_every_wanted_opening_stays_covered() -> None:
    case = Case().volume(sheets=(10, 10)).choose("A", 1, "a cheaper paper is planned")
    assert plan(case.store(*BEFORE, *AFTER), "state, reason") == ("covered", "a cheaper paper is planned")


@pytest.mark.parametrize("state", ["on_hold", "treat_first", "nothing_needed", "no_paper", "no_headroom"])
def test_states_without_sheets_stand(state: str) -> None:
    case = Case().volume(state=state)
    if state not in ("on_hold", "treat_first"):
        case.choose("A", 0, "its new enclosure waits", is_funded=False)
    store = case.store(*BEFORE, *AFTER)
    reason = "all served" if state in ("on_hold", "treat_first") else "all served; its new enclosure waits"
    assert plan(store, "state, sheets, benefit_planned, reason") == (state, 0, 0.0, reason)


def test_bulk_and_wedge_after_by_hand() -> None:
    # S = 20, F = 21, x = 0, w = 250; 8 old leaves of 100 um out, 20 sheets of 100 um in: F' = 21 - 0.8 + 2 = 22.2,
    # S' = min(20, max(20, 22.2)) = 20; wedge before 2 atan(1 / 500), after 2 atan(2.2 / 500)
    case = Case().volume(
        sheets=(20,),
        fore_edge_thickness_mm=21.0,
        existing_leaves=8,
        existing_leaf_thickness_um=100.0,
    )
    store = case.choose("A", 1).store(*BEFORE, *AFTER)
    columns = "fore_edge_before_mm, fore_edge_after_mm, spine_after_mm, wedge_before_deg, wedge_after_deg"
    assert plan(store, columns) == pytest.approx((21.0, 22.2, 20.0, 0.229183, 0.504200), abs=1e-6)


def test_posts_let_the_spine_follow_the_fore_edge() -> None:
    # x = 1.5: S' = min(20 + 1.5, max(20, 22)) = 21.5
    case = Case().volume(sheets=(20,), binding="post", extension_mm=1.5).choose("A", 1)
    store = case.store(*BEFORE, *AFTER)
    assert plan(store, "fore_edge_after_mm, spine_after_mm") == pytest.approx((22.0, 21.5))
    assert plan(store, "wedge_after_deg")[0] == pytest.approx(0.114592, abs=1e-6)


def test_a_volume_without_sheets_is_unchanged_and_keeps_its_old_leaves() -> None:
    case = Case().volume(
        state="no_headroom",
        fore_edge_thickness_mm=23.0,
        extension_mm=2.0,
        existing_leaves=8,
        existing_leaf_thickness_um=100.0,
    )
    store = case.choose("A", 0).store(*BEFORE, *AFTER)
    assert plan(store, "fore_edge_after_mm, spine_after_mm") == (23.0, 20.0)
    assert plan(store, "wedge_after_deg = wedge_before_deg") == (True,)


def test_no_volume_at_all() -> None:
    store = Case().store(*BEFORE, *AFTER)
    assert store.rows("select count(*) from work.volume_plans") == [(0,)]
    assert store.rows("select count(*) from work.option_costs") == [(0,)]
