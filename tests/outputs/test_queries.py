"""Queries of the outputs: each is listed, reads published tables only, and runs on a plan of nothing."""

import re

import pytest

from pipeline.published_plan import QUERIES, Plan
from pipeline.resources import sql_files, sql_text
from tests.outputs.fake_plan import empty_frames, fake_store


def test_every_query_is_listed_once() -> None:
    assert list(QUERIES) == [path.stem for path in sql_files("outputs")]


@pytest.mark.parametrize("name", QUERIES)
def test_a_query_reads_published_tables_only(name: str) -> None:
    text = re.sub(r"--.*", "", sql_text("outputs", name))
    read = set(re.findall(r"(?:from|join)\s+([a-z_]+\.[a-z_]+)", text))
    assert read
    assert all(table.startswith("published.") or table == "policy.unit_factors" for table in read)


def test_queries_run_on_a_plan_of_nothing() -> None:
    with fake_store(empty_frames()) as store:
        plan = Plan(store)
        for name in QUERIES:
            rows = plan.query(name)
            assert name == "judgements" or rows == []


def test_lifts_are_split_as_evenly_as_they_go() -> None:
    """Ten sheets in three lifts: one lift of four, two of three."""
    with fake_store() as store:
        ticket = next(row for row in Plan(store).query("cut_tickets") if row["pattern_id"] == "P2")
    assert (ticket["lifts"], ticket["sheets_in_a_lift"], ticket["lifts_with_one_more"]) == (3, 3, 1)


def test_the_limit_of_a_fore_edge_is_what_the_headroom_leaves() -> None:
    """CC-001: 14 sheets of 70 um on 32 mm give 32.98 mm; 540 um of headroom are left."""
    with fake_store() as store:
        volume = next(row for row in Plan(store).query("bench_volumes") if row["volume_id"] == "CC-001")
    assert volume["fore_edge_limit_mm"] == pytest.approx(33.52)


def test_cautions_follow_what_is_in_the_volume() -> None:
    with fake_store() as store:
        rows = Plan(store).query("volume_cautions")
    found = {(row["volume_id"], row["caution"]) for row in rows}
    assert ("CC-004", "hold_mould") in found
    assert ("CC-007", "leaves_brittle") in found
    assert ("SM/01", "specimen") in found
    assert ("SM/06", "two_person_lift") in found
    assert ("CC-001", "fastener") in found
    assert ("CC-001", "specimen") not in found
    assert ("CC-001", "two_person_lift") not in found
    assert ("SM/03", "fastener") not in found
