"""The audit: a plan worked by hand passes every rule, and each rule notices the row that breaks it."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from pipeline.audit import RuleResult, audit_folder, audit_store, broken_lines, check_rule
from pipeline.errors import FileProblemError
from pipeline.resources import sql_files
from pipeline.store import Store
from tests.sql import audit_cases_leaves, audit_cases_survey, audit_cases_work, audit_edits, small_plan
from tests.sql.audit_edits import Edit

CASES = (*audit_cases_leaves.CASES, *audit_cases_work.CASES, *audit_cases_survey.CASES)
RULES = {path.stem: path for path in sql_files("audit")}


@pytest.fixture(scope="module")
def store() -> Iterator[Store]:
    """The plan worked by hand; a test that changes a table undoes it."""
    with Store(None) as opened:
        small_plan.write_plan(opened, small_plan.plan())
        yield opened


@contextmanager
def undone(store: Store) -> Iterator[None]:
    """What is written inside is taken back at the end."""
    store.begin()
    try:
        yield
    finally:
        store.rows("rollback")


def test_a_plan_worked_by_hand_keeps_every_rule(store: Store) -> None:
    results = audit_store(store)
    assert broken_lines(results) == []
    assert [result.rule for result in results] == sorted(RULES)
    assert all(result.holds and result.sentence.endswith(".") for result in results)


@pytest.mark.parametrize(
    ("rule", "words", "edits"), CASES, ids=lambda value: value if isinstance(value, str) else ""
)
def test_a_broken_row_is_reported(store: Store, rule: str, words: str, edits: tuple[Edit, ...]) -> None:
    plan = small_plan.plan()
    changed = {edit(plan) for edit in edits}
    with undone(store):
        for table in sorted(changed):
            small_plan.write_table(store, table, plan[table])
        result = check_rule(store, RULES[rule])
    assert result.broken_rows >= 1
    assert any(re.search(words, example) for example in result.examples), result.examples


def test_a_sheet_a_person_asked_for_may_stay_below_the_floor(store: Store) -> None:
    plan = small_plan.plan()
    audit_edits.change("interleaves", audit_edits.GROUP_1, benefit=0.009)(plan)
    word = {"volume_id": "A", "decision": "must", "reason": "loan", "outcome": "kept"}
    with undone(store):
        small_plan.write_table(store, "interleaves", plan["interleaves"])
        for openings, broken_rows in (("1-3", 0), (None, 0), ("9", 1)):
            small_plan.write_table(store, "decisions", [word | {"openings": openings}])
            assert check_rule(store, RULES["sheets_reach_the_floor"]).broken_rows == broken_rows


def test_what_offcuts_spare_counts_apart_from_the_bound(store: Store) -> None:
    """A cost of 0.45 with 0.45 spared: a bound of 0.90 is kept, one of 0.91 is not (see the cases)."""
    plan = small_plan.plan()
    edits = (
        *audit_edits.OFFCUT_CUT,
        audit_edits.use_offcut(),
        audit_edits.spare(),
        audit_edits.change("paper_bounds", cost_lower_bound=0.9),
    )
    changed = {edit(plan) for edit in edits}
    with undone(store):
        for table in sorted(changed):
            small_plan.write_table(store, table, plan[table])
        for rule in ("bounds_do_not_exceed_costs", "offcut_savings_follow_the_uses", "parents_are_stock"):
            assert check_rule(store, RULES[rule]).broken_rows == 0


def test_every_rule_is_broken_by_a_case() -> None:
    assert {rule for rule, _, _ in CASES} == set(RULES)


@pytest.mark.parametrize("path", RULES.values(), ids=lambda path: path.stem)
def test_a_rule_reads_published_tables_only(path: Path) -> None:
    text = re.sub(r"--[^\n]*", "", path.read_text(encoding="utf-8"))
    schemas = set(re.findall(r"\b(raw|clean|policy|work|published|log)\.\w+", text))
    own_rows = {"policy"} if "published.policy" in text else set()
    assert "published" in schemas
    assert schemas - own_rows == {"published"}
    assert not re.search(r"(from|join)\s+policy\.", text)


def test_a_plan_with_nothing_in_it_keeps_every_rule_but_its_totals() -> None:
    with Store(None) as opened:
        small_plan.write_plan(opened, {"run": small_plan.plan()["run"]})
        assert {result.rule for result in audit_store(opened) if not result.holds} == {
            "totals_follow_the_tables"
        }


def test_a_line_names_the_rule_and_the_first_rows(store: Store) -> None:
    results = [
        RuleResult(rule="one", sentence="It holds.", broken_rows=0, examples=()),
        RuleResult(rule="two", sentence="It is broken.", broken_rows=7, examples=("a", "b")),
    ]
    assert broken_lines(results) == ["two: It is broken. Broken by 7: a | b"]


def test_a_folder_is_audited_as_it_lies(tmp_path: Path) -> None:
    with Store(tmp_path / "plan.duckdb") as opened:
        small_plan.write_plan(opened, small_plan.plan())
    assert broken_lines(audit_folder(tmp_path)) == []


def test_a_folder_without_a_plan_is_refused(tmp_path: Path) -> None:
    with pytest.raises(FileProblemError):
        audit_folder(tmp_path)


def test_a_file_without_its_sentence_is_a_fault_of_ours(store: Store, tmp_path: Path) -> None:
    path = tmp_path / "rule.sql"
    path.write_text("select 'x' as what", encoding="utf-8")
    with pytest.raises(ValueError, match="does not begin"):
        check_rule(store, path)
