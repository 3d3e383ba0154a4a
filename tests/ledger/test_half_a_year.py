"""Half a year of a made-up lab: it works, returns come in and what is left is planned anew week by week.

The truth differs from the rates and from the paper stated. The ledger keeps its totals; learned figures come to the
truth; forecasts tighten; no revision breaks a rule (replan audits each of them). A small collection runs each time,
a larger one by hand.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import polars as pl
import pytest

from pipeline.contracts.table import Table
from pipeline.ledger.book import read_ledger, standing_lines
from pipeline.ledger.record import record_returns
from pipeline.plan import replan
from pipeline.settings import Settings
from pipeline.store import Store
from tests import builders as b
from tests.ledger.campaign import START, small_plan
from tests.ledger.truth import TRUE_MINUTES, TRUE_THICKNESS_UM, Lab

pytestmark = pytest.mark.slow
WEEKS = 26


@dataclass(frozen=True)
class Case:
    """A collection, the lab's people, and the hours it really works each week."""

    volumes: int
    hours: float
    people: list[dict[str, Any]]


SMALL = Case(4, 0.8, [b.person(hours_per_week=1.0, days="Mon, Wed")])
"""Through in seven weeks. A replan is a whole plan, some 5 s of one processor: 26 of them would take minutes."""
LARGE = Case(
    16,
    1.0,
    [
        b.person(hours_per_week=1.0, days="Mon, Wed"),
        b.person("V-1", skill="volunteer", hours_per_week=0.5, days="Tue", hourly_rate=None),
    ],
)


@dataclass(frozen=True)
class HalfYear:
    """Folder of the plan in the end, the lab, and the finish that each revision forecast."""

    plan: Path
    lab: Lab
    forecasts: list[date]
    case: Case


@pytest.fixture(
    scope="module",
    params=[pytest.param(SMALL, id="small"), pytest.param(LARGE, id="large", marks=pytest.mark.minutes)],
)
def half_a_year(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> HalfYear:
    """Week by week: work, record, replan; until all is done, half a year at most."""
    case: Case = request.param
    folder, lab, forecasts = tmp_path_factory.mktemp("year"), Lab(), []
    with pytest.MonkeyPatch.context() as patch:
        # workbooks and contracts of a replanned plan are looked at elsewhere; here they only take time
        patch.setattr("pipeline.plan.write_outputs", lambda store, building: None)
        patch.setattr(Table, "check", lambda self, frame: frame)
        plan = small_plan(folder, volumes=case.volumes, staff=case.people)
        for number in range(WEEKS):
            week = START + timedelta(weeks=number)
            returned = lab.work(plan, folder / f"week_{number}.xlsx", week, case.hours)
            if returned is not None:
                record_returns(plan, [returned], accept_good_rows=False, recorded_at=datetime(2027, 1, 4))
            forecasts.append(_replanned(plan, week + timedelta(weeks=1)))
            if len(lab.finished) == case.volumes:
                break
    return HalfYear(plan, lab, forecasts, case)


def _replanned(plan: Path, as_of: date) -> date:
    """The finish that the new revision forecasts, or the day it is made for when nothing is left."""
    moment = datetime(as_of.year, as_of.month, as_of.day, 8)
    replan(Settings(inventory=plan, out=plan, as_of=as_of, planned_at=moment), lambda text: None)
    with Store(plan / "plan.duckdb", read_only=True) as store:
        finish = store.rows("select max(finish_at) from published.tasks")[0][0]
    return finish.date() if finish else as_of


def test_the_ledgers_totals_are_the_truth(half_a_year: HalfYear) -> None:
    plan, lab = half_a_year.plan, half_a_year.lab
    lines = standing_lines(read_ledger(plan))
    minutes = lines["minutes_taken"].sum() + lines["other_minutes"].sum()
    assert minutes == pytest.approx(lab.minutes)
    assert lines.filter(pl.col("volume_id").is_not_null())["spoiled_sheets_count"].sum() == lab.spoiled
    with Store(plan / "plan.duckdb", read_only=True) as store:
        done = store.read("published.done_work")
        laid = dict(store.rows("select volume_id, cast(laid_sheets_count as bigint) from published.volumes"))
    assert done["hours_taken"].sum() == pytest.approx(lab.minutes / 60)
    assert done["laid_sheets_count"].sum() == sum(lab.laid.values())
    assert {name: count for name, count in laid.items() if count} == {n: c for n, c in lab.laid.items() if c}


def test_all_of_it_gets_done(half_a_year: HalfYear) -> None:
    plan, lab = half_a_year.plan, half_a_year.lab
    assert len(lab.finished) == half_a_year.case.volumes
    with Store(plan / "plan.duckdb", read_only=True) as store:
        assert store.read("published.tasks").is_empty()


def test_learned_figures_come_to_the_truth(half_a_year: HalfYear) -> None:
    with Store(half_a_year.plan / "plan.duckdb", read_only=True) as store:
        learned = {
            row["subject_id"]: row
            for row in store.read("published.learned_rates").filter(pl.col("skill").is_null()).to_dicts()
        }
    for rate in ("interleave_volume", "interleave_sheet", "cut_setup"):
        row, truth = learned[rate], TRUE_MINUTES[rate]
        assert row["low_value"] <= truth <= row["high_value"], row
        if half_a_year.case is LARGE:  # four volumes of like size do not tell the two parts of a task apart
            assert abs(row["learned_value"] - truth) < abs(row["starting_value"] - truth), row
    for paper, truth in TRUE_THICKNESS_UM.items():
        assert learned[paper]["low_value"] <= truth <= learned[paper]["high_value"], learned[paper]


def test_forecasts_tighten(half_a_year: HalfYear) -> None:
    forecasts = half_a_year.forecasts
    off = [abs((one - forecasts[-1]).days) for one in forecasts]
    half = len(off) // 2
    assert sum(off[half:]) / (len(off) - half) < sum(off[:half]) / half
    widths = _widths(half_a_year.plan)
    learned = [width for width in widths if width != widths[0]]
    assert learned[-1] < learned[0], widths


def _widths(plan: Path) -> list[float]:
    """Width of the interval of minutes a sheet, by revision; that of the Rates sheet until returns tell another."""
    folders = sorted((plan / "revisions").iterdir(), key=lambda path: int(path.name[1:]))
    widths = []
    for folder in [*folders, plan]:
        with Store(folder / "plan.duckdb", read_only=True) as store:
            widths.append(
                store.rows(
                    "select minutes_high - minutes_low from published.rates where task = 'interleave_sheet'"
                )[0][0]
            )
    return widths


def test_every_revision_is_kept(half_a_year: HalfYear) -> None:
    plan, forecasts = half_a_year.plan, half_a_year.forecasts
    with Store(plan / "plan.duckdb", read_only=True) as store:
        revisions = set(store.read("published.revisions")["revision"])
        current = store.read("published.run")["revision"][0]
    assert {path.name for path in (plan / "revisions").iterdir()} == revisions - {current}
    assert len(revisions) == len(forecasts) + 1
