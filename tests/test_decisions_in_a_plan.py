"""A small inventory with people's decisions, planned whole: what can be followed is, the rest is found."""

from pathlib import Path

import pytest

from pipeline.audit import audit_folder
from pipeline.explain import explain_volume
from pipeline.plan import PlanResult, make_plan
from pipeline.store import Store
from tests import builders as b

pytestmark = pytest.mark.slow
FOLLOWED = ("must 3", "must 9", "never 5", "paper 4")


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, PlanResult]:
    """Folder and result of the plan."""
    folder = tmp_path_factory.mktemp("decisions")
    inventory = b.inventory(
        folder / "inventory.xlsx",
        volumes=[b.volume("A"), b.volume("B", hold="mould"), b.volume("C")],
        openings=[
            b.opening("A", openings="3-6"),
            b.opening("A", openings="9", severity=1, left="blank", right="blank"),
            b.opening("B"),
            b.opening("C", openings="1-5"),
        ],
        papers=[
            b.paper("P-1"),
            b.paper("P-2", buffer="unbuffered", ph=7.2),
            b.paper("P-3", glassine=True),
        ],
        stock=[b.stock("S-1"), b.stock("S-2", paper_id="P-2"), b.stock("S-3", paper_id="P-3")],
        decisions=[
            b.decision("A", openings="3"),
            b.decision("A", openings="9"),
            b.decision("A", openings="5", decision="never"),
            b.decision("A", openings="4", decision="paper", paper_id="P-2"),
            b.decision("B"),
            b.decision("A", openings="20"),
            b.decision("C", openings="2", decision="paper", paper_id="P-3"),
        ],
    )
    settings = b.settings(inventory, out=folder / "plan", sensitivity=True)
    return settings.out, make_plan(settings, lambda text: None)


def test_what_can_be_followed_is_followed(planned: tuple[Path, PlanResult]) -> None:
    with Store(planned[0] / "plan.duckdb", read_only=True) as store:
        decisions = store.read("published.decisions").to_dicts()
        sheets = store.read("published.interleaves")
    followed = {
        f"{row['decision']} {row['openings']}" for row in decisions if row["outcome"].startswith("followed: ")
    }
    assert followed == set(FOLLOWED)
    placed = dict(sheets.filter(volume_id="A").select("openings", "paper_id").iter_rows())
    assert placed == {"3": "P-1", "4": "P-2", "6": "P-1", "9": "P-1"}
    assert sheets.filter(volume_id="C")["openings"].to_list() == ["1, 3-5"]


def test_what_cannot_is_a_finding_at_its_cell(planned: tuple[Path, PlanResult]) -> None:
    found = {
        (finding.sheet, finding.cell): finding.message
        for finding in planned[1].findings
        if finding.code == "decision_not_followed"
    }
    assert sorted(found) == [("Decisions", "C6"), ("Decisions", "C7"), ("Decisions", "C8")]
    assert "on hold (mould)" in found["Decisions", "C6"]
    assert "no hazard is listed at 20" in found["Decisions", "C7"]
    assert "P-3, named by decision, may not lie there: glassine" in found["Decisions", "C8"]


def test_every_rule_holds(planned: tuple[Path, PlanResult]) -> None:
    assert [result.rule for result in audit_folder(planned[0]) if not result.holds] == []


def test_the_explanation_tells_decisions_and_how_sure_the_state_is(planned: tuple[Path, PlanResult]) -> None:
    text = "\n".join(explain_volume(planned[0], "A"))
    assert (
        "Decision by T-1: never, openings 5 (lent for an exhibition): followed: no sheet lies there" in text
    )
    assert "How sure: with judgement figures drawn 200 times it stays covered" in text
