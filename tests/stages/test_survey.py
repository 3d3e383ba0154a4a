"""Sampled surveys from the sheets to the estimates: strata that fit, strata that do not, and the fullest option."""

from pathlib import Path

import polars as pl
import pytest

from pipeline.contracts import TABLES
from pipeline.frames import Frames
from pipeline.stages.survey import estimate_survey
from tests import builders
from tests.checking import find, places

LINES = [["stratum", "volumes_in_all"], ["thin", 20], ["thick", 10]]


def surveyed(path: Path, strata: list[list[object]], *of: str | None) -> Path:
    volumes = [builders.volume(f"V-{number}", stratum=stratum) for number, stratum in enumerate(of)]
    tables = builders.inventory_tables(volumes=volumes, openings=[builders.opening("V-0")])
    return builders.write_tables(path, tables | {"Strata": strata})


@pytest.mark.parametrize(
    ("strata", "of", "found"),
    [
        (LINES, ("thin", "thin", "thick", "thick"), []),
        (LINES, ("thin", "thin", "thick", "thik"), [
            ("unknown_stratum", "error", "Volumes", "AB5"), ("stratum_unsampled", "warning", "Strata", "B3"),
        ]),
        ([LINES[0], ["thin", 1]], ("thin", "thin"), [("stratum_too_small", "error", "Strata", "B2")]),
        ([LINES[0], ["thin", 1]], ("thin",), []),
        (LINES, ("thin", "thin"), [("stratum_unsampled", "warning", "Strata", "B3")]),
        (LINES[:2], ("thin", None, "thin", None), [("stratum_missing", "warning", "Volumes", "A3")]),
        ([LINES[0], ["thin", 0]], ("thin", "thin"), [("number_out_of_range", "error", "Strata", "B2")]),
        ([*LINES, ["thin", 9]], ("thin", "thin", "thick", "thick"), [("duplicate_id", "error", "Strata", "A4")]),
    ],
)  # fmt: skip
def test_strata_are_checked(
    tmp_path: Path, strata: list[list[object]], of: tuple[str | None, ...], found: list[object]
) -> None:
    findings = find(surveyed(tmp_path / "inventory.xlsx", strata, *of))
    told = [(f.code, f.level, f.sheet, f.cell) for f in findings if f.level != "note"]
    assert sorted(told) == sorted(found)  # type: ignore[type-var]


def test_strata_of_volumes_without_the_sheet_are_just_a_column(tmp_path: Path) -> None:
    path = builders.inventory(tmp_path / "inventory.xlsx", volumes=[builders.volume(stratum="thin")])
    assert places(find(path)) == []


def frames(strata: dict[str, int]) -> Frames:
    """Three volumes of which A needs 6 sheets and B 2, whatever was chosen; C is on hold."""
    volumes = [builders.volume(name, stratum="thin") for name in ("A", "B", "C")]
    options = [
        {
            "volume_id": name,
            "option_no": number,
            "option_kind": "part",
            "sheets": sheets,
            "benefit": 0.1,
            "added_um": 0,
        }
        for name, number, sheets in (("A", 0, 0), ("A", 1, 6), ("A", 2, 4), ("B", 0, 0), ("B", 1, 2))
    ]
    costs = [
        {"volume_id": row["volume_id"], "option_no": row["option_no"], "hours": float(row["sheets"]) / 2,
         "supplies_cost": float(row["sheets"]), "staff_cost": 1.0}
        for row in options
    ]  # fmt: skip
    plans = pl.DataFrame({"volume_id": ["A", "B", "C"], "state": ["deferred", "covered", "on_hold"]})
    rows = [{"row_no": 2, "stratum": name, "volumes_in_all": count} for name, count in strata.items()]
    return {
        **builders.policy_frames(),
        "clean.strata": TABLES["clean.strata"].frame(rows),
        "clean.volumes": builders.frame("clean.volumes", volumes),
        "clean.campaign": builders.frame("clean.campaign", [builders.campaign()]),
        "work.options": TABLES["work.options"].frame(options),
        "work.option_costs": TABLES["work.option_costs"].frame(costs),
        "work.volume_plans": plans,
    }


def test_needs_come_from_the_fullest_option_and_states_from_the_plan() -> None:
    found = estimate_survey(frames({"thin": 12}), builders.settings())["work.survey_estimates"]
    TABLES["work.survey_estimates"].check(found)
    whole = {row["measure"]: row for row in found.filter(pl.col("stratum").is_null()).to_dicts()}
    assert whole["sheets"]["value"] == pytest.approx(12 * 8 / 3)
    assert whole["hours"]["value"] == pytest.approx(12 * 4 / 3)
    assert whole["cost"]["value"] == pytest.approx(12 * 10 / 3)
    assert whole["cost"]["unit"] == "EUR"
    assert whole["volumes_deferred"]["value"] == pytest.approx(4)
    assert (whole["sheets"]["volumes_surveyed"], whole["sheets"]["volumes_in_all"]) == (3, 12)
    assert found.height == 2 * 11


def test_no_strata_no_estimates() -> None:
    assert estimate_survey(frames({}), builders.settings())["work.survey_estimates"].is_empty()
