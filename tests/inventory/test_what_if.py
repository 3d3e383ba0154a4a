"""What is planned otherwise than the inventory says: judged like the inventory, noted, and never written to it."""

import csv
import math
import shutil
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

import polars as pl
import pytest
import typer

from pipeline.cli_options import read_budget, read_person
from pipeline.errors import FileProblemError, InventoryRefusedError
from pipeline.frames import Frames
from pipeline.inventory.digest import inventory_sha256
from pipeline.inventory.what_if import CODE, policy_for
from pipeline.plan import STAGES, check_only
from pipeline.policy.load import load_policy
from pipeline.policy.tables import policy_tables
from pipeline.resources import data_folder
from pipeline.settings import MorePerson, Settings, WhatIf
from pipeline.stages.check import CHECK_READS, check_inventory
from pipeline.stages.ingest import ingest_inventory


@pytest.fixture
def inventory(tmp_path: Path) -> Path:
    """The sample as CSV, with its first three volumes only."""
    shutil.copytree(data_folder("sample_inventory") / "csv", tmp_path / "inventory")
    volumes = tmp_path / "inventory" / "Volumes.csv"
    volumes.write_text("\n".join(volumes.read_text(encoding="utf-8-sig").splitlines()[:4]), encoding="utf-8")
    for name in ("Openings", "Decisions"):
        (tmp_path / "inventory" / f"{name}.csv").unlink()
    return tmp_path / "inventory"


def settings(inventory: Path, what_if: WhatIf) -> Settings:
    return Settings(
        inventory=inventory,
        out=inventory.parent / "plan",
        as_of=date(2027, 1, 4),
        planned_at=datetime(2027, 1, 4),
        what_if=what_if,
    )


def cleaned(inventory: Path, what_if: WhatIf) -> Frames:
    asked = settings(inventory, what_if)
    frames = ingest_inventory({}, asked) | policy_tables(policy_for(asked))
    assert set(CHECK_READS) <= set(frames)
    return frames | check_inventory(frames, asked)


def notes(inventory: Path, what_if: WhatIf) -> dict[str, str]:
    found = check_only(settings(inventory, what_if))
    return {finding.sheet + "!" + finding.cell: finding.message for finding in found if finding.code == CODE}


def test_the_settings_asked_for_take_the_place_of_the_typed_ones(inventory: Path) -> None:
    what_if = WhatIf(end_date=date(2027, 9, 3), supplies_budget=math.inf, staff_budget=4321.5)
    campaign = cleaned(inventory, what_if)["clean.campaign"].row(0, named=True)
    assert campaign["end_date"] == date(2027, 9, 3)
    assert campaign["supplies_budget"] is None
    assert campaign["staff_budget"] == 4321.5
    settings = dict(cleaned(inventory, what_if)["clean.campaign_settings"].iter_rows())
    assert (settings["end_date"], settings["staff_budget"]) == ("2027-09-03", "4321.5")
    assert notes(inventory, what_if) == {
        "Campaign!B4": "what if: planned with end_date 2027-09-03 instead of 2027-07-09",
        "Campaign!B7": "what if: planned with supplies_budget none instead of 6500",
        "Campaign!B8": "what if: planned with staff_budget 4321.5 instead of 8000",
    }


def test_a_setting_the_inventory_lacks_is_added(inventory: Path) -> None:
    file = inventory / "Campaign.csv"
    rows = [
        row
        for row in csv.reader(file.read_text(encoding="utf-8-sig").splitlines())
        if row[0] != "staff_budget"
    ]
    file.write_text("\n".join(",".join(f'"{cell}"' for cell in row) for row in rows), encoding="utf-8")
    campaign = cleaned(inventory, WhatIf(staff_budget=100.0))["clean.campaign"].row(0, named=True)
    assert campaign["staff_budget"] == 100.0
    assert "instead of none" in "".join(notes(inventory, WhatIf(staff_budget=100.0)).values())


def test_one_more_person_is_like_the_first_of_that_skill(inventory: Path) -> None:
    people = (
        MorePerson(skill="technician"),
        MorePerson(skill="technician", hours_per_week=20.0, hourly_rate=31.0),
    )
    staff = cleaned(inventory, WhatIf(more_people=people))["clean.staff"]
    columns = ["staff_id", "skill", "hours_per_week", "days", "until", "hourly_rate"]
    assert staff.filter(pl.col("staff_id").str.starts_with("added")).select(columns).rows() == [
        ("added-1", "technician", 7.0, "Mon, Tue", None, 24.0),
        ("added-2", "technician", 20.0, "Mon, Tue", None, 31.0),
    ]
    assert staff.height == 7


def test_a_person_like_nobody_needs_hours(inventory: Path) -> None:
    file = inventory / "Staff.csv"
    kept = [line for line in file.read_text(encoding="utf-8-sig").splitlines() if "conservator" not in line]
    file.write_text("\n".join(kept), encoding="utf-8")
    found = check_only(settings(inventory, WhatIf(more_people=(MorePerson(skill="conservator"),))))
    assert [(one.level, one.sheet) for one in found if one.code == "what_if_nobody_like"] == [
        ("error", "Staff")
    ]
    people = (MorePerson(skill="conservator", hours_per_week=3.0),)
    staff = cleaned(inventory, WhatIf(more_people=people))["clean.staff"]
    assert staff.filter(pl.col("skill") == "conservator").select("hours_per_week", "hourly_rate").rows() == [
        (3.0, None)
    ]


def test_what_is_asked_for_is_judged_like_the_inventory(inventory: Path) -> None:
    found = check_only(settings(inventory, WhatIf(end_date=date(2026, 1, 1))))
    assert [(one.code, one.cell) for one in found if one.level == "error"] == [("end_before_start", "B4")]


def test_one_more_person_beside_the_starter_staff(inventory: Path) -> None:
    (inventory / "Staff.csv").unlink()
    (inventory / "Absences.csv").unlink()
    without = cleaned(inventory, WhatIf())["clean.staff"]
    skill = str(without["skill"][0])
    people = (MorePerson(skill=skill), MorePerson(skill="conservator", hours_per_week=3.0))
    staff = cleaned(inventory, WhatIf(more_people=people))["clean.staff"]
    assert staff.height == without.height + 2
    added = staff.filter(staff_id="added-1").row(0, named=True)
    like = without.filter(skill=skill).row(0, named=True)
    assert (added["hours_per_week"], added["hourly_rate"]) == (like["hours_per_week"], like["hourly_rate"])
    told = [
        one for one in check_only(settings(inventory, WhatIf(more_people=people))) if one.sheet == "Staff"
    ]
    assert sorted({one.code for one in told}) == ["starter_set", "what_if"]


def test_one_more_person_on_a_sheet_of_another_name(inventory: Path) -> None:
    (inventory / "Staff.csv").rename(inventory / "Helping hands.csv")
    columns = inventory.parent / "columns.toml"
    columns.write_text('[sheets.Staff]\nsheet = "Helping hands"\n', encoding="utf-8")
    asked = replace(
        settings(inventory, WhatIf(more_people=(MorePerson(skill="technician"),))), columns=columns
    )
    frames = ingest_inventory({}, asked) | policy_tables(policy_for(asked))
    staff = check_inventory(frames, asked)["clean.staff"]
    assert staff.filter(staff_id="added-1").height == 1
    assert [one.sheet for one in check_only(asked) if one.code == CODE] == ["Helping hands"]


def test_the_hash_of_an_inventory_covers_its_column_file(inventory: Path) -> None:
    columns = inventory.parent / "columns.toml"
    columns.write_text("a = 1\n", encoding="utf-8")
    first = inventory_sha256(inventory, columns)
    assert first == inventory_sha256(inventory, columns) != inventory_sha256(inventory)
    columns.write_text("a = 2\n", encoding="utf-8")
    assert inventory_sha256(inventory, columns) != first
    columns.unlink()
    with pytest.raises(FileProblemError):
        inventory_sha256(inventory, columns)


def test_the_greatest_clearance_stands_in_the_policy_with_its_basis(inventory: Path) -> None:
    what_if = WhatIf(greatest_clearance_mm=8.0)
    policy = policy_for(settings(inventory, what_if))
    changed = {entry.key: entry.basis for entry in policy.entries if entry not in load_policy().entries}
    assert changed == {"size.most_clearance_mm": "--greatest-clearance"}
    assert policy.number("size.most_clearance_mm") == 8.0
    assert list(notes(inventory, what_if).values()) == [
        "what if: planned with greatest clearance 8 mm instead of 6 mm"
    ]
    with pytest.raises(InventoryRefusedError):
        policy_for(settings(inventory, WhatIf(greatest_clearance_mm=2.5)))  # below the ideal


def test_nothing_asked_for_changes_nothing(inventory: Path) -> None:
    plain = ingest_inventory({}, settings(inventory, WhatIf()))
    assert notes(inventory, WhatIf()) == {}
    asked = ingest_inventory({}, settings(inventory, WhatIf(staff_budget=1.0)))
    different = [name for name in plain if not plain[name].equals(asked[name])]
    assert different == ["raw.cells", "raw.findings"]
    assert STAGES[0].writes == tuple(plain)


@pytest.mark.parametrize("text", ["less", "-1", "inf", "nan"])
def test_no_amount(text: str) -> None:
    with pytest.raises(typer.BadParameter):
        read_budget(text)


def test_options_as_typed() -> None:
    assert (read_budget("None"), read_budget("4000.5")) == (math.inf, 4000.5)
    assert read_person("technician") == MorePerson(skill="technician")
    assert read_person("volunteer:4") == MorePerson(skill="volunteer", hours_per_week=4.0)
    assert read_person("volunteer:4:0") == MorePerson(skill="volunteer", hours_per_week=4.0, hourly_rate=0.0)
    for text in ("binder", "volunteer:many", "volunteer:1:2:3"):
        with pytest.raises(typer.BadParameter):
            read_person(text)
