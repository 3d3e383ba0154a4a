"""Corrections after a round, each alone, and rounds against a made-up plan until every limit holds."""

import random
from dataclasses import replace
from typing import Any

import polars as pl
import pytest

from pipeline.contracts import TABLES
from pipeline.solve.choose.check import needs, picked
from pipeline.solve.choose.corrections import Tightening, read_tightening
from pipeline.solve.choose.problem import Limits, Option, Problem, Shelf, Solution, Volume
from pipeline.solve.choose.rounds import Estimated, Found, PaperUse, Round, Row, corrections_of_round
from pipeline.solve.choose.solver import solve
from tests.solve.choose_builders import money, option, volume

PROBLEM = money(volume("A", option(1, 1), option(2, 2)), volume("B", option(1, 1)))
MOST_ROUNDS = 12
"""Rounds the pipeline runs at most."""


def finished(*, found: dict[str, Any] | None = None, **values: Any) -> Round:
    """A round in which all went as estimated: 100 of paper in two packs, 200 of labour, 600 dated minutes."""
    minutes = (600, 600, 0)
    as_estimated: dict[str, Any] = {
        "papers": {"P": PaperUse(used=100.0, from_shelf=0.0, paid=100.0, worth=0.0, pack=50.0)},
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
        "estimated": Estimated(papers={"P": 100.0}, staff_cost=200.0, minutes=minutes),
        "found": Found(**(as_estimated | (found or {}))),
        "supplies_budget": 150.0,
        "staff_budget": 200.0,
        "available": (600, 600, 0),
        "held_by": frozenset(),
        "unused_frac": 0.03,
        "full_hours_frac": 0.9,
        "busy_hours_frac": 0.5,
        "free_rounds_count": 4,
        "loosening_rounds_count": 2,
    }
    return Round(**(given | values))


def limits(rows: list[Row]) -> list[tuple[Any, ...]]:
    """Limit and volume of the rows that are not about a paper."""
    return [(row["limit"], row["volume_id"]) for row in rows if not row["paper_id"]]


def factor(rows: list[Row], limit: str) -> float:
    return next(float(row["found"]) / float(row["estimated"]) for row in rows if row["limit"] == limit)


def frame(rows: list[Row]) -> pl.DataFrame:
    return TABLES["work.corrections"].frame(list(rows))


def test_no_rows_where_every_limit_just_holds() -> None:
    assert corrections_of_round(finished()) == []


def test_blank_budgets_ask_for_nothing() -> None:
    dear = {"supplies_cost": 1e9, "staff_cost": 1e9}
    assert corrections_of_round(finished(found=dear, supplies_budget=None, staff_budget=None)) == []


def of_paper(rows: list[Row]) -> dict[str, tuple[float, float]]:
    return {
        str(row["limit"]): (float(row["estimated"]), float(row["found"]))
        for row in rows
        if row["paper_id"] == "P"
    }


def test_packs_dearer_than_the_budget_say_what_each_paper_came_to() -> None:
    # 130 used where 100 was thought, 20 of it from the 30 in the lab; three packs of 50 would be 150, 160 was paid
    use = PaperUse(used=130.0, from_shelf=20.0, paid=160.0, worth=30.0, pack=50.0)
    rows = corrections_of_round(finished(found={"papers": {"P": use}, "supplies_cost": 160.0}))
    assert of_paper(rows) == {"paper": (100.0, 130.0), "shelf": (30.0, 20.0), "packs": (150.0, 160.0)}
    tightening = read_tightening(frame(rows))
    assert tightening.of_paper("P") == pytest.approx(1.3)
    assert (tightening.shelf_worth, tightening.pack_surcharge) == ({"P": 20.0}, {"P": 10.0})


def test_a_paper_that_was_in_the_lab_keeps_the_worth_of_its_shelf() -> None:
    use = PaperUse(used=60.0, from_shelf=60.0, paid=0.0, worth=80.0, pack=50.0)
    rows = corrections_of_round(finished(found={"papers": {"P": use}, "supplies_cost": 160.0}))
    assert of_paper(rows) == {"paper": (100.0, 60.0), "shelf": (80.0, 80.0), "packs": (0.0, 0.0)}


def test_a_shelf_that_was_corrected_in_vain_is_no_longer_counted_on() -> None:
    use = PaperUse(used=60.0, from_shelf=20.0, paid=160.0, worth=80.0, pack=50.0)
    before = Tightening(round_no=1, shelf_worth={"P": 30.0})
    done = finished(found={"papers": {"P": use}, "supplies_cost": 160.0}, tightening=before)
    assert of_paper(corrections_of_round(done))["shelf"] == (80.0, 0.0)
    assert of_paper(corrections_of_round(replace(done, tightening=Tightening())))["shelf"] == (80.0, 20.0)


def test_labour_dearer_than_the_budget_raises_the_factor_on_labour() -> None:
    rows = corrections_of_round(finished(found={"staff_cost": 250.0}))
    assert limits(rows) == [("staff", "")]
    assert factor(rows, "staff") == pytest.approx(1.25)


def test_a_limit_that_holds_volumes_back_is_loosened_when_much_is_left() -> None:
    found = {"supplies_cost": 110.0}
    assert corrections_of_round(finished(found=found)) == []
    rows = corrections_of_round(finished(found=found, held_by=frozenset({"supplies"})))
    assert [row["limit"] for row in rows] == ["paper", "shelf", "packs"]
    cheap = finished(found={"staff_cost": 150.0}, held_by=frozenset({"staff"}))
    assert factor(corrections_of_round(cheap), "staff") == pytest.approx(0.75)


def test_nothing_is_loosened_after_the_drafts_or_for_a_little() -> None:
    found = {"supplies_cost": 110.0, "staff_cost": 150.0}
    held = frozenset({"supplies", "staff"})
    assert corrections_of_round(finished(found=found, held_by=held, tightening=Tightening(round_no=2))) == []
    once = Tightening(round_no=1)
    assert corrections_of_round(finished(found=found, held_by=held, tightening=once)) != []
    assert (
        corrections_of_round(finished(found=found, held_by=held, tightening=once, loosening_rounds_count=1))
        == []
    )
    little = {"supplies_cost": 147.0, "staff_cost": 196.0}
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


def test_a_budget_that_still_breaks_after_the_free_rounds_raises_all_paper() -> None:
    done = finished(found={"supplies_cost": 151.0}, tightening=Tightening(round_no=5, supplies_factor=1.2))
    assert factor(corrections_of_round(done), "supplies") == pytest.approx(1.2 * 1.1)


def test_the_newest_row_of_a_limit_counts() -> None:
    rows: list[Row] = [
        {"round_no": 0, "limit": "staff", "volume_id": "", "paper_id": "", "estimated": 10.0, "found": 12.0},
        {"round_no": 1, "limit": "staff", "volume_id": "", "paper_id": "", "estimated": 10.0, "found": 9.0},
        {"round_no": 1, "limit": "dates", "volume_id": "A", "paper_id": "", "estimated": 1.0, "found": 0.0},
    ]
    tightening = read_tightening(frame(rows))
    assert (tightening.round_no, tightening.staff_factor, tightening.hours_factor) == (2, 0.9, 1.0)
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
                        options[-1].benefit_millionths + draw.randint(1, 900_000),
                        (minutes, minutes, 0),
                        staff_hundredths=minutes * 40,
                        shelf_uses=((number % 2, draw.randint(100, 900) * part),),
                    )
                )
            rows.append(Volume(f"V{number:02}", tuple(options)))
        self.volumes = tuple(rows)
        self.paper = draw.uniform(0.5, 1.6)
        self.labour = draw.uniform(0.7, 1.3)
        self.work = draw.uniform(0.7, 1.4)
        self.late = {f"V{number:02}" for number in draw.sample(range(40), 2)}
        self.available = draw.choice([1200, 2400, 10**6])
        self.supplies, self.staff = draw.choice([0, 200.0, 500.0]), draw.choice([100.0, 400.0, 900.0])

    def problem(self, tightening: Tightening) -> Problem:
        """The choice on corrected estimates."""
        rows = []
        for each in self.volumes:
            most = tightening.most_option.get(each.volume_id, len(each.options) - 1)
            rows.append(
                Volume(each.volume_id, tuple(_raised(one, tightening) for one in each.options[: most + 1]))
            )
        money_there = (int(self.supplies * 100), int(self.staff * 100))
        worth = int(tightening.shelf_worth.get("1", 100.0) * 100)
        more = [int(tightening.pack_surcharge.get(paper_id, 0.0) * 100) for paper_id in "01"]
        shelves = (Shelf(0, 6000, more[0]), Shelf(worth, 6000, more[1]))
        return Problem(tuple(rows), Limits((self.available, self.available, 0), *money_there), shelves)

    def finish(self, tightening: Tightening) -> Round:
        """One round: the choice and what becomes of it."""
        problem = self.problem(tightening)
        solution = solve(problem, seed=1).solution
        numbers = [one.option_no for one in picked(problem, solution)]
        plain = Problem(self.volumes, Limits((0, 0, 0)), (Shelf(0), Shelf(0)))
        used = needs(plain, picked(plain, Solution(tuple(numbers))))
        papers = {"0": used.shelf_uses[0] / 100, "1": used.shelf_uses[1] / 100}
        bought = {paper_id: self.buy(paper_id, use * self.paper) for paper_id, use in papers.items()}
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
            estimated=Estimated(papers=papers, staff_cost=staff, minutes=(used.minutes[0],) * 2 + (0,)),
            found={
                "papers": bought,
                "supplies_cost": sum(use.paid for use in bought.values()),
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

    @staticmethod
    def buy(paper_id: str, used: float) -> PaperUse:
        """What a use of a paper comes to."""
        worth = 100.0 if paper_id == "1" else 0.0
        from_shelf = min(used, worth / 2)
        packs = -((from_shelf - used) // 60)
        paid = packs * 65.0 if paper_id == "1" else packs * 60.0
        return PaperUse(used=used, from_shelf=from_shelf, paid=paid, worth=worth, pack=60.0)


def _raised(one: Option, tightening: Tightening) -> Option:
    return replace(
        one,
        minutes=tuple(-int(-minutes * tightening.hours_factor // 1) for minutes in one.minutes),
        shelf_uses=tuple(
            (number, -int(-amount * tightening.of_paper(str(number)) // 1))
            for number, amount in one.shelf_uses
        ),
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
