"""How sure the dates are, as tables: five tasks and two people scheduled and worked off again, all by hand."""

from datetime import date
from typing import Any

import polars as pl
import pytest

from pipeline.contracts import TABLES
from pipeline.frames import Frames
from pipeline.resources import sql_text
from pipeline.stages.dates import find_chances
from pipeline.store import Store
from tests import builders
from tests.stages.test_schedule import Row, at, frames, plan, scheduled, task, times

RATES = ("cut_setup", "fetch", "interleave_sheet", "check", "return")
PARTS = {
    "cut-0001": ("cut_setup", 60.0),
    "fetch-0001": ("fetch", 30.0),
    "interleave-0001": ("interleave_sheet", 120.0),
    "check-0001": ("check", 30.0),
    "return-0001": ("return", 30.0),
}


def five_tasks(**more: list[Row]) -> Frames:
    """A technician of 3 hours a day, a volunteer of 2, a volume of one sheet size: 270 minutes in five tasks."""
    skilled = {"cut-0001", "interleave-0001", "check-0001"}
    volume = {"cut-0001": None}
    tables: dict[str, list[Row]] = {
        "clean_staff": [
            builders.person("T-1", skill="technician", hours_per_week=15.0),
            builders.person("V-1", skill="volunteer", hours_per_week=10.0, hourly_rate=None),
        ],
        "clean_volumes": [builders.volume("A")],
        "work_volume_plans": [plan("A", 2.0)],
        "work_tasks": [
            task(
                task_id,
                volume.get(task_id, "A"),
                int(minutes),
                skill="technician" if task_id in skilled else "volunteer",
            )
            for task_id, (_, minutes) in PARTS.items()
        ],
        "work_task_order": [
            {"before_task_id": before, "after_task_id": after}
            for before, after in (
                ("cut-0001", "interleave-0001"),
                ("fetch-0001", "interleave-0001"),
                ("interleave-0001", "check-0001"),
                ("check-0001", "return-0001"),
            )
        ],
    }
    return frames(**(tables | more))


def chances(made: Frames, low: float = 0.5, high: float = 2.0) -> dict[tuple[str, str | None], Row]:
    """Rows of work.finish_chances by what they are about, after scheduling."""
    made = made | scheduled(made)
    ids = set(made["work.tasks"]["task_id"])
    made["work.task_rates"] = builders.frame(
        "work.task_rates",
        [
            {"task_id": task_id, "task": rate, "minutes": minutes}
            for task_id, (rate, minutes) in PARTS.items()
            if task_id in ids
        ],
    )
    made["clean.rates"] = builders.frame(
        "clean.rates",
        [
            builders.rate(name, minutes=10.0, minutes_low=10 * low, minutes_high=10 * high, skill="volunteer")
            for name in RATES
        ],
    )
    made["work.volume_rates"] = TABLES["work.volume_rates"].empty()
    found = find_chances(made, builders.settings())["work.finish_chances"]
    TABLES["work.finish_chances"].check(found)
    return {(row["chance_of"], row["subject"]): row for row in found.iter_rows(named=True)}


def test_five_tasks_and_two_people_worked_by_hand() -> None:
    # Monday: T-1 cuts 9-10 and interleaves until its 3 hours end at 12; V-1 fetches 9:30-10, no sooner
    # than the leaves. Tuesday: T-1 checks until 9:30, V-1 returns until 10. Nothing could be sooner: it is one chain.
    answer = scheduled(five_tasks())
    assert times(answer) == {
        "check-0001": (at(5, 9, 0), at(5, 9, 30)),
        "cut-0001": (at(4, 9, 0), at(4, 10, 0)),
        "fetch-0001": (at(4, 9, 30), at(4, 10, 0)),
        "interleave-0001": (at(4, 10, 0), at(4, 12, 0)),
        "return-0001": (at(5, 9, 30), at(5, 10, 0)),
    }
    who = dict(answer["work.assignments"].select("task_id", "staff_id").rows())
    assert who["fetch-0001"] == "V-1"
    assert {who["cut-0001"], who["interleave-0001"], who["check-0001"]} == {"T-1"}
    solve = answer["log.solve"].row(0, named=True)
    assert solve["objective"] == pytest.approx(25.0)
    assert solve["bound"] <= 25.0


def test_the_dates_of_five_tasks() -> None:
    # low minutes: done Monday 11:00; likely: Tuesday 10:00; high: Wednesday
    found = chances(five_tasks())
    whole = found["campaign", None]
    assert whole["hours"] == 4.5
    assert (whole["planned_date"], whole["low_date"], whole["high_date"], whole["moved_days"]) == (
        date(2027, 1, 5),
        date(2027, 1, 4),
        date(2027, 1, 6),
        2,
    )
    assert whole["in_time_pct"] == 100.0
    # the sheets alone: Wednesday 9:30, as the volunteer has left by the time it is checked; nothing else moves it
    rates = {subject: row for (kind, subject), row in found.items() if kind == "task"}
    assert set(rates) == set(RATES)
    assert rates["interleave_sheet"]["decides_no"] == 1
    assert rates["interleave_sheet"]["high_date"] == date(2027, 1, 6)
    assert rates["fetch"]["moved_days"] == 0
    people = {subject: row for (kind, subject), row in found.items() if kind == "person"}
    assert people["T-1"]["decides_no"] == 1
    assert people["T-1"]["last_pct"] + people["V-1"]["last_pct"] >= 100.0


def test_a_collection_is_through_when_its_own_tasks_are() -> None:
    # the volume of the second collection is only fetched: Monday until 9:30, at high minutes until 10:00
    made = five_tasks(clean_volumes=[builders.volume("A"), builders.volume("B", collection="Other")])
    is_fetch = pl.col("task_id") == "fetch-0001"
    volume = pl.when(is_fetch).then(pl.lit("B")).otherwise(pl.col("volume_id"))
    made["work.tasks"] = made["work.tasks"].with_columns(volume_id=volume)
    found = chances(made)
    first = found["collection", builders.volume("A")["collection"]]
    assert (first["hours"], first["planned_date"], first["high_date"]) == (
        3.0,
        date(2027, 1, 5),
        date(2027, 1, 6),
    )
    other = found["collection", "Other"]
    assert (other["hours"], other["planned_date"], other["high_date"]) == (
        0.5,
        date(2027, 1, 4),
        date(2027, 1, 4),
    )
    assert other["words"].startswith("Other: 100 chances in 100 that its volumes are done by ")


def test_the_campaigns_end_is_held_to_and_work_goes_on_after_it() -> None:
    # the campaign ends on Tuesday: at high minutes the work ends on Wednesday, in the week's usual hours
    short = builders.campaign(start_date=date(2027, 1, 4), end_date=date(2027, 1, 5))
    whole = chances(five_tasks(clean_campaign=[short]))["campaign", None]
    assert 0 < whole["in_time_pct"] < 100
    assert whole["high_date"] == date(2027, 1, 6)
    assert whole["even_chance_date"] <= whole["nine_in_ten_date"] <= whole["high_date"]


def test_a_person_is_held_to_their_own_last_day() -> None:
    leaving = [
        builders.person("T-1", skill="technician", hours_per_week=15.0, until=date(2027, 1, 5)),
        builders.person("V-1", skill="volunteer", hours_per_week=10.0),
    ]
    found = chances(five_tasks(clean_staff=leaving))
    assert found["campaign", None]["in_time_pct"] == 100.0
    assert "by 2027-01-05" in found["person", "T-1"]["words"]
    assert found["person", "T-1"]["in_time_pct"] < 100.0


def test_certain_times_give_the_planned_date() -> None:
    whole = chances(five_tasks(), low=1.0, high=1.0)["campaign", None]
    dates = {whole[name] for name in ("planned_date", "even_chance_date", "nine_in_ten_date", "high_date")}
    assert dates == {date(2027, 1, 5)}


def test_nothing_is_dated() -> None:
    nobody = [builders.person("V-1", skill="volunteer", hours_per_week=10.0)]
    assert chances(five_tasks(clean_staff=nobody)) == {}
    assert chances(frames()) == {}


def test_the_order_of_rows_changes_nothing() -> None:
    made = five_tasks()
    assert chances(made) == chances({name: frame.reverse() for name, frame in made.items()})


def test_minutes_of_a_task_by_rate() -> None:
    """Two runs of five lifts: three and two; a volume of seven sheets and four old leaves in a made box."""
    tables: dict[str, list[dict[str, Any]]] = {
        "work.tasks": [
            task("cut-0001", None, 30),
            task("cut-0002", None, 24),
            *(
                task(f"{kind}-0001", "A", 1)
                for kind in ("fetch", "remove", "interleave", "check", "enclose", "return")
            ),
        ],
        "work.cut_runs": [
            {"pattern_id": "P1", "run_no": 1, "lifts": 3, "task_minutes": 30},
            {"pattern_id": "P1", "run_no": 2, "lifts": 2, "task_minutes": 24},
        ],
        "work.interleaves": [
            {
                "volume_id": "A",
                "group_no": no,
                "paper_id": "P-1",
                "sheets": sheets,
                "benefit": 1.0,
                "thickness_um": 80.0,
                "reason": "",
            }
            for no, sheets in ((1, 3), (2, 4))
        ],
        "work.enclosure_fits": [
            {
                "volume_id": "A",
                "inner_width_mm": 1.0,
                "inner_height_mm": 1.0,
                "inner_depth_mm": 1.0,
                "price": 1.0,
                "shelved": "flat",
                "is_funded": True,
            }
        ],
        "clean.volumes": [builders.volume("A", existing_leaves=4)],
    }
    with Store(None) as store:
        for name, rows in tables.items():
            store.write(name, builders.frame(name, rows))
        store.write("clean.rates", builders.policy_frames()["policy.rates"])
        store.write("work.volume_rates", TABLES["work.volume_rates"].empty())
        store.run_sql("work.task_rates", sql_text("11_publish", "task_rates"))
        rows = store.read("work.task_rates").rows()
    assert sorted(rows) == [
        ("check-0001", "check", 6.0),
        ("cut-0001", "cut_lift", 18.0),
        ("cut-0001", "cut_setup", 12.0),
        ("cut-0002", "cut_lift", 12.0),
        ("cut-0002", "cut_setup", 12.0),
        ("enclose-0001", "enclose_made_to_measure", 20.0),
        ("fetch-0001", "fetch", 5.0),
        ("interleave-0001", "interleave_sheet", 7.0),
        ("interleave-0001", "interleave_volume", 12.0),
        ("remove-0001", "remove", 2.0),
        ("return-0001", "return", 5.0),
    ]
