"""Corrections after a round, each alone, and rounds against a made-up plan until every limit holds."""

import random
from dataclasses import replace
from typing import Any

import polars as pl
import pytest

from pipeline.contracts import TABLES
from pipeline.solve.choose.check import needs, picked
from pipeline.solve.choose.corrections import Tightening, read_tightening
from pipeline.solve.choose.solver import solve
from pipeline.solve.choose.problem import Limits, Option, Problem, Solution, Volume
from pipeline.solve.choose.rounds import Estimated, Found, Round, Row, corrections_of_round
from tests.solve.choose_builders import money, option, volume

PROBLEM = money(volume("A", option(1, 1), option(2, 2)), volume("B", option(1, 1)))
MOST_ROUNDS = 12
"""Rounds the pipeline runs at most."""


def finished(*, found: dict[str, Any] | None = None, **values: Any) -> Round:
    """A round in which all went as estimated: 100 of paper, 200 of labour, 600 minutes, all of it dated."""
    minutes = (600, 600, 0)
    as_estimated: dict[str, Any] = {
        "paper_used_cost": 100.0,
        "supplies_cost": 150.0,
        "staff_cost": 200.0,
        "minutes": minutes,
        "dated_minutes": minutes,
        "undated": (),
    }
    given: dict[str, Any] = {
        "problem": PROBLEM,
        "solution": Solution((2, 1)),
        "tightening": Tightening(),
        "estimated": Estimated(paper_cost=100.0, staff_cost=200.0, minutes=minutes),
        "found": Found(**(as_estimated | (found or {}))),
        "supplies_budget": 150.0,
        "staff_budget": 200.0,
        "available": (600, 600, 0),
        "held_by": frozenset(),
        "unused_frac": 0.03,
        "full_hours_frac": 0.9,
        "busy_hours_frac": 0.5,
        "free_rounds_count": 4,
    }
    return Round(**(given | values))


def limits(rows: list[Row]) -> list[tuple[Any, ...]]:
    return [(row["limit"], row["volume_id"]) for row in rows]


def factor(rows: list[Row], limit: str) -> float:
    return next(float(row["found"]) / float(row["estimated"]) for row in rows if row["limit"] == limit)


def frame(rows: list[Row]) -> pl.DataFrame:
    return TABLES["work.corrections"].frame(list(rows))


def test_no_rows_where_every_limit_just_holds() -> None:
    assert corrections_of_round(finished()) == []


def test_blank_budgets_ask_for_nothing() -> None:
    dear = {"supplies_cost": 1e9, "staff_cost": 1e9}
    assert corrections_of_round(finished(found=dear, supplies_budget=None, staff_budget=None)) == []


def test_packs_dearer_than_the_budget_raise_the_factor_on_paper() -> None:
    rows = corrections_of_round(finished(found={"paper_used_cost": 130.0, "supplies_cost": 180.0}))
    assert limits(rows) == [("supplies", "")]
    assert factor(rows, "supplies") == pytest.approx(1.3)


def test_a_broken_limit_tightens_even_where_the_ratio_would_not() -> None:
    rows = corrections_of_round(finished(found={"paper_used_cost": 90.0, "supplies_cost": 151.0}))
    assert factor(rows, "supplies") == pytest.approx(1.02)


def test_labour_dearer_than_the_budget_raises_the_factor_on_labour() -> None:
    rows = corrections_of_round(finished(found={"staff_cost": 250.0}))
    assert limits(rows) == [("staff", "")]
    assert factor(rows, "staff") == pytest.approx(1.25)


def test_a_limit_that_holds_volumes_back_is_loosened_when_much_is_left() -> None:
    found = {"paper_used_cost": 60.0, "supplies_cost": 110.0}
    assert corrections_of_round(finished(found=found)) == []
    rows = corrections_of_round(finished(found=found, held_by=frozenset({"supplies"})))
    assert factor(rows, "supplies") == pytest.approx(0.6)


def test_nothing_is_loosened_after_two_rounds_or_for_a_little() -> None:
    found = {"paper_used_cost": 60.0, "supplies_cost": 110.0}
    held = frozenset({"supplies"})
    assert corrections_of_round(finished(found=found, held_by=held, tightening=Tightening(round_no=2))) == []
    little = {"paper_used_cost": 97.0, "supplies_cost": 147.0}
    assert corrections_of_round(finished(found=little, held_by=held)) == []


def test_volumes_without_dates_while_people_are_busy_are_left_out_and_not_replaced() -> None:
    rows = corrections_of_round(finished(found={"dated_minutes": (480, 480, 0), "undated": ("B",)}))
    assert limits(rows) == [("hours", ""), ("dates", "B"), ("volume", "B")]
    assert factor(rows, "hours") == pytest.approx(600 / 480)


def test_volumes_without_dates_while_the_hours_are_full_shrink_the_hours_only() -> None:
    # 540 of 600 minutes could be filled: the estimates count 600 / 540 from now on
    rows = corrections_of_round(finished(found={"dated_minutes": (540, 540, 0), "undated": ("B",)}))
    assert limits(rows) == [("hours", ""), ("dates", "B")]
    assert factor(rows, "hours") == pytest.approx(600 / 540)


def test_a_volume_without_dates_while_there_are_hours_is_left_out() -> None:
    rows = corrections_of_round(finished(found={"dated_minutes": (200, 200, 0), "undated": ("B",)}))
    assert limits(rows) == [("dates", "B"), ("volume", "B")]
    assert read_tightening(frame(rows)).most_option == {"B": 0}


def test_a_volume_without_dates_a_second_time_is_left_out() -> None:
    before = Tightening(round_no=1, undated={"A": 1})
    found = {"dated_minutes": (540, 540, 0), "undated": ("A", "B")}
    rows = corrections_of_round(finished(found=found, tightening=before))
    assert limits(rows) == [("hours", ""), ("dates", "A"), ("dates", "B"), ("volume", "A")]


def test_hours_left_over_are_given_back() -> None:
    done = finished(found={"minutes": (480, 480, 0), "dated_minutes": (480, 480, 0)})
    assert corrections_of_round(done) == []
    rows = corrections_of_round(replace(done, held_by=frozenset({"hours"})))
    assert factor(rows, "hours") == pytest.approx(0.8)
    late_before = replace(done, held_by=frozenset({"hours"}), tightening=Tightening(1, undated={"A": 1}))
    assert corrections_of_round(late_before) == []


def test_after_the_free_rounds_no_volume_may_grow() -> None:
    done = finished(found={"staff_cost": 201.0}, tightening=Tightening(round_no=4), solution=Solution((1, 1)))
    rows = corrections_of_round(done)
    assert limits(rows) == [("staff", ""), ("volume", "A"), ("volume", "B")]
    assert read_tightening(frame(rows)).most_option == {"A": 1, "B": 1}
    assert factor(rows, "staff") == pytest.approx(1.05)


def test_nobody_with_hours_leaves_out_what_has_no_dates() -> None:
    done = finished(available=(0, 0, 0), found={"dated_minutes": (0, 0, 0), "undated": ("A", "B")})
    assert limits(corrections_of_round(done)) == [
        ("dates", "A"),
        ("dates", "B"),
        ("volume", "A"),
        ("volume", "B"),
    ]


def test_the_newest_row_of_a_limit_counts() -> None:
    rows: list[Row] = [
        {"round_no": 0, "limit": "supplies", "volume_id": "", "estimated": 10.0, "found": 12.0},
        {"round_no": 1, "limit": "supplies", "volume_id": "", "estimated": 10.0, "found": 9.0},
        {"round_no": 1, "limit": "dates", "volume_id": "A", "estimated": 1.0, "found": 0.0},
    ]
    tightening = read_tightening(frame(rows))
    assert (tightening.round_no, tightening.supplies_factor, tightening.staff_factor) == (2, 0.9, 1.0)
    assert tightening.undated == {"A": 1}
    assert read_tightening(frame([])) == Tightening()


class MadeUpPlan:
    """What cutting and scheduling might make of a choice: packs of 60, dearer people, days lost, late
    volumes."""

    def __init__(self, seed: int) -> None:
        draw = random.Random(seed)
        rows = []
        for number in range(40):
            options = [Option(0, 0, 0)]
            for part in range(1, 5):
                minutes = 20 + 10 * part * draw.randint(1, 3)
                options.append(
                    Option(
                        part,
                        part,
                        (options[-1].benefit_millionths + draw.randint(1, 900_000)),
                        (minutes, minutes, 0),
                        draw.randint(100, 900) * part,
                        minutes * 40,
                    )
                )
            rows.append(Volume(f"V{number:02}", tuple(options)))
        self.volumes = tuple(rows)
        self.paper = draw.uniform(0.5, 1.6)
        self.labour = draw.uniform(0.7, 1.3)
        self.work = draw.uniform(0.7, 1.4)
        self.late = {f"V{number:02}" for number in draw.sample(range(40), 2)}
        self.available = draw.choice([1200, 2400, 10**6])
        self.supplies, self.staff = draw.choice([0, 200.0, 500.0]), draw.choice([0, 400.0, 900.0])

    def problem(self, tightening: Tightening) -> Problem:
        """The choice on corrected estimates."""
        rows = []
        for each in self.volumes:
            most = tightening.most_option.get(each.volume_id, len(each.options) - 1)
            rows.append(
                Volume(each.volume_id, tuple(_raised(one, tightening) for one in each.options[: most + 1]))
            )
        money_there = (int(self.supplies * 100), int(self.staff * 100))
        return Problem(tuple(rows), Limits((self.available, self.available, 0), *money_there))

    def finish(self, tightening: Tightening) -> Round:
        """One round: the choice and what becomes of it."""
        problem = self.problem(tightening)
        solution = solve(problem, seed=1).solution
        numbers = [one.option_no for one in picked(problem, solution)]
        plain = Problem(self.volumes, Limits((0, 0, 0)))
        used = needs(plain, picked(plain, Solution(tuple(numbers))))
        paper = used.supplies_hundredths / 100
        packs = -(-paper * self.paper // 60) * 60
        planned = [each for each, number in zip(self.volumes, numbers, strict=True) if number]
        minutes = int(used.minutes[0] * self.work)
        undated = {each.volume_id for each in planned} & self.late
        over = minutes - int(self.available * 0.93)
        for each in reversed(planned):
            if over > 0:
                undated.add(each.volume_id)
                over -= int(each.options[-1].minutes[0] * self.work)
        dated = int(minutes * (1 - len(undated) / max(len(planned), 1)))
        staff = used.staff_hundredths / 100
        return finished(
            problem=problem,
            solution=solution,
            tightening=tightening,
            estimated=Estimated(paper_cost=paper, staff_cost=staff, minutes=(used.minutes[0],) * 2 + (0,)),
            found={
                "paper_used_cost": packs,
                "supplies_cost": packs,
                "staff_cost": staff * self.labour * dated / max(minutes, 1),
                "minutes": (minutes, minutes, 0),
                "dated_minutes": (dated, dated, 0),
                "undated": tuple(sorted(undated)),
            },
            supplies_budget=self.supplies,
            staff_budget=self.staff,
            available=(self.available, self.available, 0),
            held_by=frozenset({"supplies", "staff", "hours"}),
        )


def _raised(one: Option, tightening: Tightening) -> Option:
    return replace(
        one,
        minutes=tuple(-int(-minutes * tightening.hours_factor // 1) for minutes in one.minutes),
        supplies_hundredths=-int(-one.supplies_hundredths * tightening.supplies_factor // 1),
        staff_hundredths=-int(-one.staff_hundredths * tightening.staff_factor // 1),
    )


@pytest.mark.parametrize("seed", range(12))
def test_rounds_end_and_every_limit_holds_on_found_figures(seed: int) -> None:
    plan = MadeUpPlan(seed)
    corrections = frame([])
    for _ in range(MOST_ROUNDS):
        done = plan.finish(read_tightening(corrections))
        rows = corrections_of_round(done)
        if not rows:
            break
        corrections = pl.concat([corrections, frame(rows)])
    assert rows == []
    assert done.found.supplies_cost <= plan.supplies
    assert done.found.staff_cost <= plan.staff
    assert done.found.undated == ()
