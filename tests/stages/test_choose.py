"""The choice on tables: everything fits, nothing does, one person, reasons, places of the sheets,
corrections."""

from collections.abc import Callable
from dataclasses import asdict, dataclass
from datetime import date, datetime
from functools import cache
from typing import Any

import polars as pl
import pytest

from pipeline.contracts import TABLES
from pipeline.frames import Frames
from pipeline.solve.choose.setting import available_minutes
from pipeline.stages.choose import (
    CHOOSE_READS,
    RECONCILE_READS,
    choose_options,
    place_sheets,
    reconcile,
)
from tests import builders
from tests.builders import settings
from tests.rows import row
from tests.sql.choose_case import BEFORE, BOX, BUF, Case


@dataclass(frozen=True)
class Person:
    """Somebody on the staff."""

    staff_id: str = "T-1"
    skill: str = "conservator"
    hours_per_week: float = 30.0
    hourly_rate: float | None = 30.0


START, END = date(2027, 1, 4), date(2027, 1, 8)


def frames(build: Callable[[], Case], staff: tuple[Person, ...] = (Person(),), **campaign: Any) -> Frames:
    """The tables the choice reads: a campaign of one week, by default one conservator of 30 hours at 30."""
    settings_row = row(
        "clean.campaign", start_date=START, end_date=END, supplies_budget=None, staff_budget=None
    )
    table = TABLES["clean.campaign"].frame([settings_row | campaign])
    return _frames(build, staff) | {"clean.campaign": table}


@cache
def _frames(build: Callable[[], Case], staff: tuple[Person, ...]) -> Frames:
    case = build()
    people = [builders.person(**asdict(each)) for each in staff]
    case.rows["clean.staff"] = builders.frame("clean.staff", people).to_dicts()
    with case.store(*BEFORE) as store:
        read = {name: store.read(name) for name in CHOOSE_READS if store.has(name)}
        read |= {name: store.read(name) for name in ("work.option_sheets", "work.opening_groups")}
    for name in (*CHOOSE_READS, *RECONCILE_READS):
        read.setdefault(name, TABLES[name].empty())
    return read


def two_volumes() -> Case:
    """A and B of 10 sheets, in two options each; enclosures kept, so that only sheets cost. Packs of 0.90."""
    case = Case()
    case.rows["clean.stock"] = [row("clean.stock", pack_price=0.9)]
    for volume_id in ("A", "B"):
        case.volume(volume_id, sheets=(5, 10), enclosure="keep")
    return case


def chosen(read: Frames) -> dict[str, int]:
    choices = choose_options(read, settings())["work.choices"]
    return dict(choices.select("volume_id", "option_no").iter_rows())


def reason(read: Frames, volume_id: str) -> str:
    choices = choose_options(read, settings())["work.choices"]
    return str(choices.filter(pl.col("volume_id") == volume_id)["reason"].item())


def test_without_limits_everybody_gets_all_and_no_reason() -> None:
    answer = choose_options(frames(two_volumes), settings())
    assert answer["work.choices"].rows() == [("A", 2, True, ""), ("B", 2, True, "")]
    solve = answer["log.solve"].row(0, named=True)
    assert (solve["method"], solve["status"], solve["gap_frac"]) == ("everything fits", "optimal", 0)
    assert solve["objective"] == pytest.approx(2.0)


def test_a_supplies_budget_of_nothing_is_a_limit() -> None:
    read = frames(two_volumes, supplies_budget=0.0)
    assert chosen(read) == {"A": 0, "B": 0}
    assert reason(read, "A").startswith(
        "left out whole (0 of 10 sheets): the supplies budget of 0 EUR is used up; its first 5 sheets"
    )


def test_part_of_a_budget_pays_part_of_the_sheets() -> None:
    # five sheets cost 5 x 1.03 / 0.85 x 0.0734 m2 x 2 = 0.89; three packs at 0.90 pay for fifteen
    read = frames(two_volumes, supplies_budget=2.70)
    numbers = chosen(read)
    assert sorted(numbers.values()) == [1, 2]
    held = next(volume_id for volume_id, number in numbers.items() if number == 1)
    assert reason(read, held) == (
        "5 of 10 sheets planned: the supplies budget of 2.70 EUR is used up; its next 5 sheets would cost "
        "about 0.90 EUR and avoid 0.5 page losses; about 0.90 EUR more would bring it in"
    )


def test_a_must_of_the_surveyor_comes_before_the_rest() -> None:
    # the money for five sheets goes to one of two alike: to the one in which a person asked for a sheet
    read = frames(two_volumes, supplies_budget=0.9)
    for volume_id in ("A", "B"):
        must = TABLES["clean.decisions"].frame([row("clean.decisions", volume_id=volume_id, decision="must")])
        picks = chosen(read | {"clean.decisions": must})
        assert picks == {"A": 0, "B": 0} | {volume_id: 1}


def test_a_staff_budget_of_nothing_leaves_all_out_unless_people_are_unpaid() -> None:
    assert chosen(frames(two_volumes, staff_budget=0.0)) == {"A": 0, "B": 0}
    unpaid = Person(hourly_rate=None)
    assert chosen(frames(two_volumes, (unpaid,), staff_budget=0.0)) == {"A": 2, "B": 2}


def test_hours_of_one_person_bind() -> None:
    # each volume takes 10 + 22 + 6 + 4.6 minutes; an hour and a half in the week does both, an hour one
    assert chosen(frames(two_volumes, (Person(hours_per_week=1.5),))) == {"A": 2, "B": 2}
    read = frames(two_volumes, (Person(hours_per_week=1.0),))
    assert sorted(chosen(read).values()) == [0, 2]
    held = next(volume_id for volume_id, number in chosen(read).items() if number == 0)
    assert "the hours of the staff up to 2027-01-08 (1) are used up" in reason(read, held)


def test_nobody_with_the_skill_is_said_so() -> None:
    def build() -> Case:
        return Case().volume("A", sheets=(10,), skill="conservator", enclosure="keep")

    read = frames(build, (Person(skill="technician"),))
    assert chosen(read) == {"A": 0}
    assert "no working hours of a conservator fall between 2027-01-04 and 2027-01-08" in reason(read, "A")


@pytest.mark.parametrize("end", [date(2027, 1, 3), date(2026, 1, 8)])
def test_a_campaign_that_ends_before_it_starts_has_no_hours(end: date) -> None:
    read = frames(two_volumes, end_date=end)
    assert available_minutes(read) == (0, 0, 0)
    assert chosen(read) == {"A": 0, "B": 0}


def test_what_arrives_after_the_end_is_not_planned_and_said_so() -> None:
    def build() -> Case:
        case = boxes_case().volume("K", sheets=(10,), enclosure="keep")
        case.rows["clean.stock"] = [row("clean.stock", pack_price=0.9, lead_days=400)]
        return case

    read = frames(build)
    assert chosen(read) == {"A": 0, "K": 0, "N": 0}
    assert "its paper or enclosure would be delivered after the end of the campaign on 2027-01-08" in reason(
        read, "K"
    )


def test_hours_of_a_skill_include_those_of_higher_skills() -> None:
    staff = (Person("V", "volunteer", 5.0), Person("T", "technician", 10.0), Person("C", "conservator", 20.0))
    assert available_minutes(frames(two_volumes, staff)) == (35 * 60, 30 * 60, 20 * 60)


def boxes_case() -> Case:
    """N needs no sheets, A does; both are to be re-housed, made to measure at 28 each. Packs of 0.90."""
    case = Case().volume("A", sheets=(10,)).volume("N", state="nothing_needed")
    case.rows["clean.stock"] = [row("clean.stock", pack_price=0.9)]
    return case


def funded(read: Frames) -> dict[str, bool]:
    choices = choose_options(read, settings())["work.choices"]
    return dict(choices.select("volume_id", "is_funded").iter_rows())


def test_enclosures_come_first_in_the_supplies_budget() -> None:
    read = frames(boxes_case, supplies_budget=30.0)
    assert chosen(read) == {"A": 0, "N": 0}
    assert funded(read) == {"A": False, "N": True}
    assert "(28 EUR of it by enclosures that come first)" in reason(read, "A")


def test_policy_may_put_paper_before_enclosures() -> None:
    read = frames(boxes_case, supplies_budget=30.0)
    figures = read["policy.figures"]
    is_it = pl.col("key") == "choose.is_enclosure_before_paper"
    read["policy.figures"] = figures.with_columns(value=pl.when(is_it).then(0.0).otherwise(pl.col("value")))
    assert chosen(read) == {"A": 1, "N": 0}
    assert funded(read) == {"A": True, "N": False}


def test_an_enclosure_the_budget_does_not_reach_waits_and_says_so() -> None:
    read = frames(boxes_case, supplies_budget=10.0)
    assert funded(read) == {"A": False, "N": False}
    assert reason(read, "N") == (
        "its new enclosure (28 EUR) waits without a date: the supplies budget of 10 EUR does not reach for "
        "it; more of that budget would bring it in"
    )


def test_an_enclosure_in_the_lab_costs_nothing() -> None:
    def build() -> Case:
        box = BOX | {"enclosure_id": "E", "inner_height_mm": 310.0, "on_hand": 1.0}
        return boxes_case().add("clean.enclosure_stock", **box)

    read = frames(build, supplies_budget=0.0)
    assert funded(read) == {"A": False, "N": True}


def test_volumes_on_hold_or_to_be_treated_first_are_no_part_of_the_choice() -> None:
    def build() -> Case:
        return two_volumes().volume("H", state="on_hold").volume("T", state="treat_first")

    assert chosen(frames(build)) == {"A": 2, "B": 2}


def test_row_order_changes_nothing() -> None:
    read = frames(two_volumes, supplies_budget=2.70)
    turned = {name: table.reverse() for name, table in read.items()}
    assert choose_options(read, settings())["work.choices"].equals(
        choose_options(turned, settings())["work.choices"]
    )


def test_corrections_tighten_the_choice() -> None:
    read = frames(two_volumes, supplies_budget=2.70)
    about = {"round_no": 0, "volume_id": "", "paper_id": ""}
    dearer = about | {"limit": "paper", "paper_id": "BUF", "estimated": 1.0, "found": 1.6}
    read["work.corrections"] = TABLES["work.corrections"].frame([dearer])
    assert sorted(chosen(read).values()) == [0, 1]
    packs = about | {"limit": "packs", "paper_id": "BUF", "estimated": 0.9, "found": 1.9}
    read["work.corrections"] = TABLES["work.corrections"].frame([packs])
    assert sorted(chosen(read).values()) == [0, 1]
    late = [
        about | {"limit": "dates", "volume_id": "A", "estimated": 1.0, "found": 0.0},
        about | {"limit": "volume", "volume_id": "A", "estimated": 2.0, "found": 0.0},
    ]
    read["work.corrections"] = TABLES["work.corrections"].frame(late)
    assert chosen(read) == {"A": 0, "B": 2}
    assert reason(read, "A").startswith(
        "left out whole (0 of 10 sheets): no place for its work before the end"
    )


def placed(*sheets: tuple[str, int], openings: str | None = "2, 5-13") -> list[tuple[str, str | None, int]]:
    """Paper, openings and sheets of the interleaves of a group of ten openings with these papers."""
    read = frames(two_volumes)
    read["work.choices"] = choose_options(read, settings())["work.choices"]
    first = read["work.option_sheets"].row(0, named=True) | {"volume_id": "A", "option_no": 2}
    rows = [first | {"paper_id": paper, "sheets": count} for paper, count in sheets]
    read["work.option_sheets"] = TABLES["work.option_sheets"].frame(rows)
    read["work.opening_groups"] = read["work.opening_groups"].with_columns(
        openings=pl.lit(openings, dtype=pl.String)
    )
    answer = place_sheets(read, settings())["work.interleaves"]
    return list(answer.select("paper_id", "openings", "sheets").iter_rows())


def test_a_whole_group_keeps_its_openings() -> None:
    assert placed(("BUF", 10)) == [("BUF", "2, 5-13", 10)]


def test_part_of_a_group_lies_in_its_lowest_openings() -> None:
    assert placed(("BUF", 4)) == [("BUF", "2, 5-7", 4)]


def test_two_papers_share_a_group_the_first_by_id_below() -> None:
    assert placed(("P2", 5), ("P1", 3)) == [("P1", "2, 5-6", 3), ("P2", "7-11", 5)]


def test_where_places_are_not_noted_the_openings_stay_blank() -> None:
    assert placed(("P2", 5), ("P1", 3), openings=None) == [("P1", None, 3), ("P2", None, 5)]


def finished_round(build: Callable[[], Case], *, cost: float, late: str = "", **campaign: Any) -> Frames:
    """The tables after a round: packs bought for `cost`, every task an hour long and done by T-1 but the
    late."""
    read = frames(build, **campaign)
    read["work.choices"] = choose_options(read, settings())["work.choices"]
    planned = [volume_id for volume_id, option_no in chosen(read).items() if option_no]
    group = {
        "group_no": 1,
        "paper_id": "BUF",
        "sheets": 10,
        "benefit": 1.0,
        "thickness_um": 100.0,
        "reason": "",
    }
    need = {
        "stock_id": "S1",
        "paper_id": "BUF",
        "unit": "sheet",
        "needed": 9.0,
        "on_hand": 0.0,
        "to_buy": 9.0,
    }
    task = {"kind": "interleave", "task_minutes": 60, "skill": "technician"}
    on_time = {"staff_id": "T-1", "start_at": datetime(2027, 1, 4, 9), "finish_at": datetime(2027, 1, 4, 10)}
    tables: dict[str, list[dict[str, Any]]] = {
        "work.interleaves": [{"volume_id": volume_id} | group for volume_id in planned],
        "work.material_needs": [need | {"packs": 1, "cost": cost}],
        "work.tasks": [task | {"task_id": f"i-{volume_id}", "volume_id": volume_id} for volume_id in planned],
        "work.assignments": [
            {"task_id": f"i-{volume_id}"} | ({} if volume_id == late else on_time) for volume_id in planned
        ],
        "clean.stock": [row("clean.stock")],
        "work.paper_properties": [BUF],
    }
    return read | {name: TABLES[name].frame(rows) for name, rows in tables.items()}


def corrected(read: Frames) -> list[tuple[int, str, str]]:
    """Round, limit and volume of the corrections."""
    return reconcile(read, settings())["work.corrections"].select("round_no", "limit", "volume_id").rows()


PAPER = [(0, "paper", ""), (0, "shelf", ""), (0, "packs", "")]


def test_a_plan_that_holds_asks_for_no_further_round() -> None:
    read = finished_round(two_volumes, cost=45.0, supplies_budget=45.0, staff_budget=60.0)
    assert chosen(read) == {"A": 2, "B": 2}
    assert corrected(read) == []


def test_a_pack_beyond_the_budget_asks_for_another_round() -> None:
    assert corrected(finished_round(two_volumes, cost=45.0, supplies_budget=44.99)) == PAPER


def test_dearer_people_ask_for_another_round() -> None:
    read = finished_round(two_volumes, cost=1.0, staff_budget=59.99)
    assert corrected(read) == [(0, "staff", ""), *PAPER]


def test_enclosures_bought_count_as_supplies() -> None:
    # 28 for the volume without sheets, 28 for A, the pack 45; choices as the wide budget has them
    read = finished_round(boxes_case, cost=45.0, supplies_budget=101.0)
    inside = {"inner_width_mm": 1.0, "inner_height_mm": 1.0, "inner_depth_mm": 1.0, "shelved": "upright"}
    fits = [{"volume_id": each, "price": 28.0, "is_funded": True} | inside for each in ("A", "N")]
    read["work.enclosure_fits"] = TABLES["work.enclosure_fits"].frame(fits)
    assert corrected(read) == []
    tight = read["clean.campaign"].with_columns(supplies_budget=pl.lit(100.99))
    assert corrected(read | {"clean.campaign": tight}) == PAPER


def test_a_volume_without_a_date_is_left_out_of_the_next_round() -> None:
    read = finished_round(two_volumes, cost=1.0, late="B")
    assert corrected(read) == [(0, "dates", "B"), *PAPER, (0, "volume", "B")]
    read["work.corrections"] = reconcile(read, settings())["work.corrections"]
    assert chosen(read) == {"A": 2, "B": 0}
