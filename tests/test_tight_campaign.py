"""The sample with one technician, 14 weeks and half the money: what is left is kept to, and nothing is left unsaid."""

from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path

import pytest

from pipeline.audit import audit_folder, broken_lines
from pipeline.plan import make_plan
from pipeline.resources import sample_inventory
from pipeline.settings import Settings
from pipeline.store import Store

pytestmark = pytest.mark.slow
MOST_GAP = 0.01


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("tight") / "plan"
    inventory = sample_inventory().with_name("tight_inventory.xlsx")
    made_at = datetime(2026, 12, 1, 9)
    make_plan(
        Settings(inventory=inventory, out=out, as_of=date(2026, 12, 1), planned_at=made_at), lambda _: None
    )
    return out


@pytest.fixture
def store(folder: Path) -> Iterator[Store]:
    with Store(folder / "plan.duckdb", read_only=True) as opened:
        yield opened


def test_every_hard_rule_holds(folder: Path) -> None:
    assert not broken_lines(audit_folder(folder))


def test_nobody_works_more_than_they_can_and_both_budgets_hold(store: Store) -> None:
    over = "select count(*) from published.staff_weeks where hours_planned > hours_available + 1e-9"
    assert store.rows(over) == [(0,)]
    ((hours, supplies, staff, hours_there, supplies_budget, staff_budget),) = store.rows(
        "select hours, supplies_cost, staff_cost, hours_there, supplies_budget, staff_budget "
        "from published.frontier where not is_estimate"
    )
    assert 0 < hours <= hours_there
    assert supplies <= supplies_budget
    assert staff <= staff_budget


def test_the_choice_is_close_to_its_bound_and_the_timetable_says_its_gap(store: Store) -> None:
    gaps = store.rows("select gap_frac from log.solve where stage = 'choose' order by part desc limit 1")
    assert gaps[0][0] <= MOST_GAP
    ((benefit, bound),) = store.rows(
        "select benefit, bound_benefit from published.frontier where not is_estimate"
    )
    assert bound * (1 - MOST_GAP) <= benefit <= bound + 1e-6
    timetables = store.rows("select bound, objective from log.solve where stage = 'schedule'")
    assert timetables
    assert all(0 < bound <= objective for bound, objective in timetables)


def test_what_is_deferred_says_why_and_what_would_bring_it_in(store: Store) -> None:
    reasons = [
        text for (text,) in store.rows("select reason from published.volumes where state = 'deferred'")
    ]
    assert len(reasons) > 100
    assert all("bring it in" in text for text in reasons)


def test_more_of_what_is_short_brings_more(store: Store) -> None:
    rows = store.rows("select label, benefit from published.frontier where varied = 'hours and money'")
    benefits = dict(rows)
    assert benefits["50 %"] < benefits["grant as given"] < benefits["+10 %"] < benefits["all"]
