"""Calendars, closures and the timetable as tables, worked by hand."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

import polars as pl
import pytest

from pipeline.calendar import find_closures, parse_days, public_holidays, share_week, staff_days
from pipeline.contracts import TABLES
from pipeline.frames import Frames
from pipeline.stages.schedule import schedule_tasks
from tests import builders

# The week from Monday 4 January 2027.
MONDAY = date(2027, 1, 4)
Row = dict[str, Any]


def frames(**tables: Sequence[Row]) -> Frames:
    """Frames of a campaign of one week, `clean_` and `work_` tables as given, others empty."""
    given = {name.replace("_", ".", 1): rows for name, rows in tables.items()}
    names = (
        "clean.staff",
        "clean.absences",
        "clean.closures",
        "clean.volumes",
        "work.tasks",
        "work.task_order",
        "work.task_releases",
        "work.volume_plans",
    )
    made = {name: builders.frame(name, given.get(name, [])) for name in names}
    campaign = given.get("clean.campaign", [builders.campaign(end_date=date(2027, 1, 10))])
    made["clean.campaign"] = builders.frame("clean.campaign", campaign)
    return made | {"policy.figures": builders.policy_frames()["policy.figures"]}


def task(task_id: str, volume_id: str | None, minutes: int, **more: Any) -> Row:
    kind = task_id.partition("-")[0]
    row = {
        "task_id": task_id,
        "kind": kind,
        "volume_id": volume_id,
        "pattern_id": None if volume_id else "P1",
        "task_minutes": minutes,
        "skill": "volunteer",
    }
    return row | more


def plan(volume_id: str, benefit: float) -> Row:
    return {
        "volume_id": volume_id,
        "state": "covered",
        "reason": "",
        "sheets": 1,
        "benefit_planned": benefit,
        "added_um": 0,
        "wedge_before_deg": 0.0,
        "wedge_after_deg": 0.0,
        "fore_edge_before_mm": 20.0,
        "fore_edge_after_mm": 20.0,
        "spine_after_mm": 20.0,
    }


def scheduled(made: Frames) -> Frames:
    answer = schedule_tasks(made, builders.settings())
    for name, frame in answer.items():
        TABLES[name].check(frame)
    return answer


def hours_by_day(made: Frames) -> dict[tuple[str, int], float]:
    return {(day.staff_id, day.day.day): day.half_hours / 2 for day in staff_days(made)}


# ---- calendars


@pytest.mark.parametrize(
    ("text", "days"),
    [
        ("Mon-Thu", (0, 1, 2, 3)),
        ("Mon, Wed; friday", (0, 2, 4)),
        ("Sat-Mon", (0, 5, 6)),
        ("Tue", (1,)),
        ("Wed-Wed, Wed", (2,)),
        ("", ()),
    ],
)
def test_weekdays_are_read(text: str, days: tuple[int, ...]) -> None:
    assert parse_days(text) == days


def test_a_word_that_is_no_weekday_is_refused() -> None:
    with pytest.raises(ValueError, match="Someday"):
        parse_days("Mon, Someday")


def test_a_week_is_spread_evenly_and_its_sum_kept() -> None:
    # 21 h are 42 half-hours over four days: 11, 11, 10, 10; 17.3 h are 34 half-hours, the rest is no half-hour
    assert share_week(21, (0, 1, 2, 3), day_start_hour=9) == {0: 11, 1: 11, 2: 10, 3: 10}
    assert sum(share_week(17.3, (0, 2, 4), day_start_hour=9).values()) == 34
    assert share_week(0.5, (1, 3), day_start_hour=9) == {1: 1, 3: 0}


def test_a_day_ends_by_midnight() -> None:
    assert share_week(100, (0, 1), day_start_hour=9) == {0: 30, 1: 30}


def test_absent_and_closed_days_lose_their_hours_and_the_others_keep_theirs() -> None:
    made = frames(
        clean_staff=[builders.person("T-1", hours_per_week=10.0), builders.person("T-2", days="Mon, Tue")],
        clean_absences=[builders.absence("T-1", **{"from": date(2027, 1, 6), "until": date(2027, 1, 7)})],
        clean_closures=[{"day": date(2027, 1, 5), "reason": "closed"}],
    )
    assert hours_by_day(made) == {("T-1", 4): 2.0, ("T-1", 8): 2.0, ("T-2", 4): 15.0}


def test_a_person_works_from_the_first_to_the_last_day_and_inside_the_campaign() -> None:
    made = frames(
        clean_staff=[
            builders.person("T-1", hours_per_week=10.0, **{"from": date(2027, 1, 7)}),
            builders.person("T-2", hours_per_week=10.0, until=date(2027, 1, 5)),
        ],
        clean_campaign=[builders.campaign(start_date=date(2027, 1, 5), end_date=date(2027, 1, 8))],
    )
    assert hours_by_day(made) == {("T-1", 7): 2.0, ("T-1", 8): 2.0, ("T-2", 5): 2.0}


def test_public_holidays_of_a_country_and_of_its_part() -> None:
    # 2 January is a holiday in Scotland, not in England
    first, last = date(2029, 1, 1), date(2029, 1, 3)
    assert list(public_holidays("GB-SCT", first, last)) == [date(2029, 1, 1), date(2029, 1, 2)]
    assert list(public_holidays("gb", first, last)) == [date(2029, 1, 1)]
    assert public_holidays("GB", last, first) == {}


@pytest.mark.parametrize("country", ["XX", "GB-XXX", "Scotland"])
def test_an_unknown_country_is_refused(country: str) -> None:
    with pytest.raises(NotImplementedError):
        public_holidays(country, MONDAY, MONDAY)


def test_closures_are_absences_of_the_whole_lab_and_public_holidays() -> None:
    made = frames(
        clean_campaign=[
            builders.campaign(start_date=date(2029, 1, 1), end_date=date(2029, 1, 4), country="GB-SCT")
        ],
        clean_absences=[
            builders.absence(
                None, **{"from": date(2028, 12, 20), "until": date(2029, 1, 1)}, reason="winter closure"
            ),
            builders.absence(None, **{"from": date(2029, 1, 4), "until": date(2029, 2, 1)}, reason=None),
            builders.absence("T-1", **{"from": date(2029, 1, 3), "until": date(2029, 1, 3)}),
        ],
    )
    closures = find_closures(made, builders.settings())["clean.closures"]
    TABLES["clean.closures"].check(closures)
    assert closures.rows() == [
        (date(2029, 1, 1), "winter closure; New Year's Day"),
        (date(2029, 1, 2), "New Year Holiday"),
        (date(2029, 1, 4), "lab closed"),
    ]


# ---- the timetable as tables


def small() -> dict[str, list[Row]]:
    """One technician of 3 hours a day, Monday to Friday; a cut and one volume of 10 + 180 + 20 + 5 minutes."""
    return {
        "clean_staff": [builders.person("T-1", skill="technician", hours_per_week=15.0)],
        "clean_volumes": [builders.volume("A")],
        "work_volume_plans": [plan("A", 2.0)],
        "work_tasks": [
            task("cut-0001", None, 30, skill="technician"),
            task("fetch-0001", "A", 10),
            task("interleave-0001", "A", 180),
            task("check-0001", "A", 20, skill="technician"),
            task("return-0001", "A", 5),
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


def times(answer: Frames) -> dict[str, tuple[datetime | None, datetime | None]]:
    rows = answer["work.assignments"].select("task_id", "start_at", "finish_at").rows()
    return {task_id: (start, finish) for task_id, start, finish in rows}


def at(day: int, hour: int, minute: int) -> datetime:
    return datetime(2027, 1, day, hour, minute)


def test_one_person_does_one_thing_after_the_other_and_runs_on_over_days() -> None:
    # Monday 9:00 cut 30, fetch 10, interleave 140 of 180; Tuesday the other 40, check 20, return 5
    answer = scheduled(frames(**small()))
    assert times(answer) == {
        "check-0001": (at(5, 9, 40), at(5, 10, 0)),
        "cut-0001": (at(4, 9, 0), at(4, 9, 30)),
        "fetch-0001": (at(4, 9, 30), at(4, 9, 40)),
        "interleave-0001": (at(4, 9, 40), at(5, 9, 40)),
        "return-0001": (at(5, 10, 0), at(5, 10, 5)),
    }
    # back on the shelf 25 h 5 min after Monday 9:00, and nothing could be sooner
    solve = answer["log.solve"].row(0, named=True)
    assert solve["objective"] == pytest.approx(25 + 5 / 60)
    assert solve["bound"] <= solve["objective"]


def test_hours_of_the_week_are_available_and_planned() -> None:
    answer = scheduled(frames(**small()))
    assert answer["work.staff_weeks"].rows() == [("T-1", MONDAY, 15.0, 245 / 60)]
    assert answer["work.staff_days"]["half_hours"].to_list() == [6] * 5


def test_paper_that_comes_on_wednesday_is_cut_on_wednesday() -> None:
    tables = small() | {"work_task_releases": [{"task_id": "cut-0001", "day": date(2027, 1, 6)}]}
    found = times(scheduled(frames(**tables)))
    assert found["cut-0001"][0] == at(6, 9, 0)
    assert found["interleave-0001"][0] == at(6, 9, 30)


def test_a_volume_is_dated_whole_or_not_at_all() -> None:
    # paper on Friday: 30 + 180 + 20 minutes do not fit the last three hours, so not even the fetching has a date
    tables = small() | {"work_task_releases": [{"task_id": "cut-0001", "day": date(2027, 1, 8)}]}
    answer = scheduled(frames(**tables))
    assert set(times(answer).values()) == {(None, None)}
    assert answer["work.assignments"]["staff_id"].null_count() == 5
    assert answer["work.staff_weeks"]["hours_planned"].to_list() == [0.0]


def test_nobody_has_the_skill() -> None:
    tables = small() | {"clean_staff": [builders.person("T-1", skill="volunteer", hours_per_week=15.0)]}
    assert set(times(scheduled(frames(**tables))).values()) == {(None, None)}


def test_absent_all_through() -> None:
    away = builders.absence("T-1", **{"from": date(2027, 1, 1), "until": date(2027, 2, 1)})
    answer = scheduled(frames(**small(), clean_absences=[away]))
    assert set(times(answer).values()) == {(None, None)}
    assert answer["work.staff_days"].is_empty()
    assert answer["work.staff_weeks"].rows() == [("T-1", MONDAY, 0.0, 0.0)]


def test_delivery_after_the_end() -> None:
    tables = small() | {"work_task_releases": [{"task_id": "cut-0001", "day": date(2027, 3, 1)}]}
    assert set(times(scheduled(frames(**tables))).values()) == {(None, None)}


def test_nobody_and_nothing() -> None:
    assert set(times(scheduled(frames(**(small() | {"clean_staff": []})))).values()) == {(None, None)}
    assert scheduled(frames())["work.assignments"].is_empty()


def test_the_order_of_rows_changes_nothing() -> None:
    made = frames(**small())
    turned = {name: frame.reverse() for name, frame in made.items()}
    for name, frame in scheduled(made).items():
        if name != "log.solve":
            assert frame.equals(scheduled(turned)[name]), name


def test_a_volume_without_sheets_comes_after_those_with_benefit() -> None:
    tables = small()
    tables["clean_volumes"] = [builders.volume("A"), builders.volume("B")]
    tables["work_volume_plans"] = [plan("A", 2.0), plan("B", 0.0)]
    tables["work_tasks"] = [*tables["work_tasks"], task("fetch-0002", "B", 5), task("return-0002", "B", 5)]
    pairs = pl.DataFrame(
        tables["work_task_order"] + [{"before_task_id": "fetch-0002", "after_task_id": "return-0002"}]
    )
    tables["work_task_order"] = pairs.to_dicts()
    found = times(scheduled(frames(**tables)))
    assert found["return-0001"] == (at(5, 10, 0), at(5, 10, 5))
    assert found["fetch-0002"] == (at(5, 10, 5), at(5, 10, 10))
