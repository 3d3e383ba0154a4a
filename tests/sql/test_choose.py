"""Estimated minutes and money of each option, and the volumes' plans, against figures worked by hand.

One store holds all volumes, each named after what it shows.
"""

from collections.abc import Iterator
from typing import Any

import pytest

from pipeline.store import Store
from tests.rows import row
from tests.sql.choose_case import AFTER, BEFORE, BOX, Case

OLD_LEAVES = {"existing_leaves": 8, "existing_leaf_thickness_um": 100.0}
WITHOUT_SHEETS = ("on_hold", "treat_first", "nothing_needed", "no_paper", "no_headroom")
PEOPLE = (
    ("V", "volunteer", 10.0, None),
    ("T", "technician", 30.0, 20.0),
    ("C", "conservator", 10.0, 40.0),
)
NO_MONEY = "no money"


@pytest.fixture(scope="module")
def store() -> Iterator[Store]:
    case = Case()
    case.volume("old leaves", sheets=(10,), **OLD_LEAVES).choose("old leaves", 1)
    case.volume("conservator", sheets=(10,), skill="conservator", enclosure="keep").choose("conservator", 1)
    case.volume("volunteer", sheets=(10,), skill="volunteer", enclosure="none").choose("volunteer", 1)
    case.volume("box only", state="nothing_needed").choose("box only", 0)
    case.volume("left alone", state="no_headroom", enclosure="keep").choose("left alone", 0)
    for option_no in range(3):
        volume_id = f"option {option_no}"
        case.volume(volume_id, sheets=(4, 10)).choose(
            volume_id, option_no, "" if option_no == 2 else NO_MONEY
        )
    case.volume("cheaper", sheets=(10, 10)).choose("cheaper", 1, "a cheaper paper is planned")
    for state in WITHOUT_SHEETS:
        case.volume(state, state=state)
        if state not in ("on_hold", "treat_first"):
            case.choose(state, 0, "its new enclosure waits", is_funded=False)
    case.volume("bulk", sheets=(20,), fore_edge_thickness_mm=21.0, **OLD_LEAVES).choose("bulk", 1)
    case.volume("posts", sheets=(20,), binding="post", extension_mm=1.5).choose("posts", 1)
    unchanged = {"fore_edge_thickness_mm": 23.0, "extension_mm": 2.0, **OLD_LEAVES}
    case.volume("unchanged", state="no_headroom", **unchanged).choose("unchanged", 0)
    for staff_id, skill, hours, rate in PEOPLE:
        person = {"staff_id": staff_id, "skill": skill, "hours_per_week": hours, "hourly_rate": rate}
        case.add("clean.staff", row_no=2, days="Mon", **person)
    case.add("clean.enclosure_stock", **(BOX | {"enclosure_id": "E", "inner_width_mm": 9.0, "on_hand": 3.0}))
    case.rows["clean.stock"] = [
        row("clean.stock", on_hand=5.0),
        row("clean.stock", stock_id="S2", pack_quantity=10, pack_price=20.0),
    ]
    with case.store(*BEFORE, *AFTER) as filled:
        yield filled


def minutes(store: Store, volume_id: str) -> dict[tuple[int, str], float]:
    rows = store.rows(
        "select option_no, skill, minutes from work.option_hours where volume_id = ?", [volume_id]
    )
    return {(option_no, skill): amount for option_no, skill, amount in rows}


def costs(store: Store, volume_id: str, option_no: int) -> tuple[float, float, float]:
    """Hours, supplies cost and staff cost of an option."""
    select = (
        "select hours, supplies_cost, staff_cost from work.option_costs where volume_id = ? and option_no = ?"
    )
    hours, supplies, staff = store.rows(select, [volume_id, option_no])[0]
    return hours, supplies, staff


def plan(store: Store, columns: str, volume_id: str) -> tuple[Any, ...]:
    return store.rows(f"select {columns} from work.volume_plans where volume_id = ?", [volume_id])[0]


def test_minutes_of_an_option_by_hand(store: Store) -> None:
    # fetch 5 + return 5, enclose made to measure 20 technician (no stock box), interleave 12 + 10 and check 6
    # by the volume's own least skill technician, remove 8 leaves x 0.5; cutting 10 x 1.03 x (12 + 6) / 40
    assert minutes(store, "old leaves") == {
        (1, "volunteer"): 10.0,
        (1, "technician"): pytest.approx(20 + 22 + 6 + 4 + 4.635),
    }


def test_the_volume_may_ask_for_a_higher_skill_than_the_rate(store: Store) -> None:
    assert minutes(store, "conservator") == {
        (1, "volunteer"): 10.0,
        (1, "technician"): pytest.approx(4.635),
        (1, "conservator"): pytest.approx(22 + 6),
    }


def test_a_volunteers_volume_keeps_the_rates_skill(store: Store) -> None:
    assert minutes(store, "volunteer") == {
        (1, "volunteer"): 10 + 22,
        (1, "technician"): pytest.approx(6 + 4.635),
    }


def test_left_out_whole_a_volume_takes_nothing(store: Store) -> None:
    assert costs(store, "option 0", 0) == (0.0, 0.0, 0.0)


def test_a_volume_without_sheets_is_fetched_enclosed_and_returned(store: Store) -> None:
    assert minutes(store, "box only") == {(0, "volunteer"): 10.0, (0, "technician"): 20.0}
    assert costs(store, "box only", 0)[:2] == (0.5, 28.0)


def test_a_volume_without_sheets_or_enclosure_is_left_alone(store: Store) -> None:
    assert costs(store, "left alone", 0) == (0.0, 0.0, 0.0)


def test_paper_costs_its_area_spares_and_waste_included(store: Store) -> None:
    # leaf 247 x 297 mm = 0.073359 m2; 10 x 1.03 / 0.85 x 2 a m2
    assert costs(store, "volunteer", 1)[1] == pytest.approx(10 * 1.03 / 0.85 * 0.073359 * 2.0)


def test_an_hour_costs_the_mean_of_those_who_may_do_it_by_their_hours(store: Store) -> None:
    # volunteers' work: (0 x 10 + 20 x 30 + 40 x 10) / 50 = 20; technicians': (20 x 30 + 40 x 10) / 40 = 25
    assert costs(store, "box only", 0)[2] == pytest.approx(10 / 60 * 20 + 20 / 60 * 25)


def test_what_stands_in_the_lab_is_worth_its_area_or_price(store: Store) -> None:
    # 5 sheets of 0.61 x 0.914 m at 2 a m2; three boxes at 10; S2 is dearer a square metre, its pack does not count
    rows = store.rows("select * from work.supply_packs order by supply, supply_id")
    assert rows == [
        ("enclosure", "", 0.0, 28.0),
        ("enclosure", "E", 30.0, 10.0),
        ("paper", "BUF", pytest.approx(5 * 0.61 * 0.914 * 2), 60.0),
    ]


def test_what_would_be_delivered_after_the_end_cannot_be_bought() -> None:
    # the campaign lasts 177 days: S1 comes on its last day, S2, dearer, a week earlier; the box one day too late
    case = Case().add("clean.enclosure_stock", **(BOX | {"enclosure_id": "E", "lead_days": 178}))
    lines = [("S1", 60.0, 177), ("S2", 90.0, 170)]
    case.rows["clean.stock"] = [
        row("clean.stock", stock_id=stock_id, pack_price=price, lead_days=days)
        for stock_id, price, days in lines
    ]
    with case.store("06_choose/supply_packs") as store:
        prices = store.rows("select supply_id, pack_price from work.supply_packs order by supply_id")
        assert prices == [("", 28.0), ("BUF", 60.0), ("E", None)]
    case.rows["clean.stock"][0]["lead_days"] = 178
    with case.store("06_choose/supply_packs") as store:
        assert store.rows("select pack_price from work.supply_packs where supply = 'paper'") == [(90.0,)]


@pytest.mark.parametrize(
    ("option_no", "state", "reason"),
    [(2, "covered", "all served"), (1, "prioritised", NO_MONEY), (0, "deferred", NO_MONEY)],
)
def test_a_budget_turns_covered_into_prioritised_or_deferred(
    store: Store, option_no: int, state: str, reason: str
) -> None:
    volume_id = f"option {option_no}"
    assert plan(store, "state, reason", volume_id) == (state, reason)
    assert plan(store, "sheets, added_um", volume_id) == ((0, 4, 10)[option_no], (0, 400, 1000)[option_no])


def test_a_cheaper_paper_for_every_wanted_opening_stays_covered(store: Store) -> None:
    assert plan(store, "state, reason", "cheaper") == ("covered", "a cheaper paper is planned")


@pytest.mark.parametrize("state", WITHOUT_SHEETS)
def test_states_without_sheets_stand(store: Store, state: str) -> None:
    reason = "all served" if state in ("on_hold", "treat_first") else "all served; its new enclosure waits"
    assert plan(store, "state, sheets, benefit_planned, reason", state) == (state, 0, 0.0, reason)


def test_bulk_and_wedge_after_by_hand(store: Store) -> None:
    # S = 20, F = 21, x = 0, w = 250; 8 old leaves of 100 um out, 20 sheets of 100 um in:
    # F' = 21 - 0.8 + 2 = 22.2, S' = min(20, max(20, 22.2)) = 20; wedge 2 atan(1/500), then 2 atan(2.2/500)
    columns = "fore_edge_before_mm, fore_edge_after_mm, spine_after_mm, wedge_before_deg, wedge_after_deg"
    assert plan(store, columns, "bulk") == pytest.approx((21.0, 22.2, 20.0, 0.229183, 0.504200), abs=1e-6)


def test_posts_let_the_spine_follow_the_fore_edge(store: Store) -> None:
    # x = 1.5: S' = min(20 + 1.5, max(20, 22)) = 21.5
    assert plan(store, "fore_edge_after_mm, spine_after_mm", "posts") == pytest.approx((22.0, 21.5))
    assert plan(store, "wedge_after_deg", "posts")[0] == pytest.approx(0.114592, abs=1e-6)


def test_a_volume_without_sheets_is_unchanged_and_keeps_its_old_leaves(store: Store) -> None:
    assert plan(store, "fore_edge_after_mm, spine_after_mm", "unchanged") == (23.0, 20.0)
    assert plan(store, "wedge_after_deg = wedge_before_deg", "unchanged") == (True,)


def test_no_volume_at_all() -> None:
    with Case().store(*BEFORE, *AFTER) as empty:
        assert empty.rows("select count(*) from work.volume_plans") == [(0,)]
        assert empty.rows("select count(*) from work.option_costs") == [(0,)]
