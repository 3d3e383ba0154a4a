"""Campaigns that cannot be worked as they stand: a clear finding, and an honest plan that keeps every rule."""

from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from pipeline.errors import InventoryRefusedError
from pipeline.plan import PlanResult, make_plan
from pipeline.store import Store
from tests import builders as b

pytestmark = pytest.mark.slow
ALWAYS = {"from": date(2026, 12, 1), "until": date(2028, 1, 1)}


@dataclass(frozen=True)
class Case:
    """What the inventory has, the finding it gets, and what becomes of its two volumes with a hazard."""

    sheets: dict[str, Any]
    code: str
    states: tuple[str, str]
    reason: str = ""


CASES = {
    "nobody has the skill": Case(
        {"staff": [b.person(skill="volunteer")]},
        "nobody_has_skill",
        ("deferred", "deferred"),
        "no working hours of a technician",
    ),
    "one volume asks for more skill than anyone has": Case(
        {
            "staff": [b.person(skill="technician")],
            "volumes": [b.volume("A"), b.volume("B", skill="conservator")],
        },
        "nobody_has_skill",
        ("covered", "deferred"),
        "no working hours of a conservator",
    ),
    "absent all through": Case(
        {"absences": [b.absence("T-1", **ALWAYS)]}, "never_at_work", ("deferred", "deferred")
    ),
    "the lab is closed all through": Case(
        {"absences": [b.absence(None, **ALWAYS)]}, "never_at_work", ("deferred", "deferred")
    ),
    "no working day in the dates": Case(
        {
            "campaign": b.campaign(start_date=date(2027, 1, 9), end_date=date(2027, 1, 10)),
        },
        "never_at_work",
        ("deferred", "deferred"),
    ),
    "paper comes too late": Case(
        {"stock": [b.stock(lead_days=400)]}, "delivery_after_end", ("deferred", "deferred")
    ),
    "nothing can be bought": Case(
        {"campaign": b.campaign(supplies_budget=0.0)}, "zero_budget", ("deferred", "deferred"), "supplies"
    ),
    "nobody can be paid": Case(
        {"campaign": b.campaign(staff_budget=0.0)}, "zero_budget", ("deferred", "deferred"), "staff"
    ),
    "a single person does it all": Case({}, "", ("covered", "covered")),
}


def planned(folder: Path, sheets: dict[str, Any]) -> tuple[Path, PlanResult]:
    given: dict[str, Any] = {
        "volumes": [b.volume("A"), b.volume("B")],
        "openings": [b.opening("A", openings="3-9", severity=3), b.opening("B", openings="3-9", severity=3)],
    }
    inventory = b.inventory(folder / "inventory.xlsx", **(given | sheets))
    settings = b.settings(inventory, out=folder / "plan")
    return settings.out, make_plan(settings, lambda text: None)


WRITTEN = ("absent all through", "one volume asks for more skill than anyone has")
"""Cases whose workbooks and reports are written too: all of them would take long, and say nothing new."""


@pytest.mark.parametrize("name", CASES)
def test_a_finding_and_an_honest_plan(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    case = CASES[name]
    if name not in WRITTEN:
        monkeypatch.setattr("pipeline.plan.write_outputs", lambda store, folder: None)
    out, result = planned(tmp_path, case.sheets)  # raises where a hard rule is broken
    codes = {finding.code for finding in result.findings if finding.level == "warning"}
    assert codes >= ({case.code} if case.code else set())
    with Store(out / "plan.duckdb", read_only=True) as store:
        volumes = store.rows("select state, reason from published.volumes order by volume_id")
        undated = store.rows(
            "select count(*) from published.tasks join published.volumes using (volume_id) "
            "where start_at is null and volumes.sheets > 0"
        )
        chances = store.rows("select words from published.finish_chances where chance_of = 'campaign'")
        total = store.rows("select cost from published.cost_classes where cost_class = 'total'")[0][0]
    assert tuple(state for state, _ in volumes) == case.states
    assert undated == [(0,)]
    for state, reason in volumes:
        assert reason
        if state == "deferred":
            assert case.reason in reason, reason
    is_worked = "covered" in case.states
    assert bool(chances) == is_worked, chances
    assert (total > 0) == is_worked
    assert (out / "calendars" / "T-1.ics").is_file() == (name in WRITTEN)


def test_an_end_before_the_start_is_refused(tmp_path: Path) -> None:
    for end in (date(2027, 1, 3), date(2026, 6, 1)):
        with pytest.raises(InventoryRefusedError) as refused:
            planned(tmp_path, {"campaign": b.campaign(end_date=end)})
        assert [finding.code for finding in refused.value.findings if finding.level == "error"] == [
            "end_before_start"
        ]
        assert not (tmp_path / "plan").exists()


def test_hours_past_midnight_are_refused_on_the_campaigns_days_too(tmp_path: Path) -> None:
    """100 hours on the campaign's three days are 33 a day."""
    with pytest.raises(InventoryRefusedError) as refused:
        planned(
            tmp_path,
            {
                "campaign": b.campaign(working_days="Mon-Wed"),
                "staff": [b.person(hours_per_week=100.0, days=None)],
            },
        )
    assert [(f.code, f.cell) for f in refused.value.findings if f.level == "error"] == [
        ("day_too_long", "C2")
    ]
