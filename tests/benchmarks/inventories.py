"""Larger inventories for the benchmark: the sample's volumes again and again, page sizes moved by a few mm, seeded."""

import csv
import random
from pathlib import Path

from pipeline.resources import data_folder

MOVE_MM = 6.0
MOST_HOURS = 40.0
SEED = 20_270_111


def write_inventory(folder: Path, volumes: int) -> Path:
    """A folder of CSV files with that many volumes; staff hours and budgets grow in step. Returns the folder."""
    source = data_folder("sample_inventory") / "csv"
    folder.mkdir(parents=True)
    sheets = {path.stem: _read(path) for path in sorted(source.glob("*.csv"))}
    rng = random.Random(SEED)
    ids = [row["volume_id"] for row in sheets["Volumes"]]
    copies = -(-volumes // len(ids))
    wanted = {(copy, name) for copy in range(copies) for name in ids}
    kept = set(sorted(wanted)[:volumes])
    sheets["Volumes"] = _copied(sheets["Volumes"], kept, copies, rng)
    for name in ("Openings", "Decisions"):
        sheets[name] = _copied(sheets[name], kept, copies, None)
    factor = volumes / len(ids)
    people = max(1, round(factor))
    for row in sheets["Staff"]:
        row["hours_per_week"] = f"{min(MOST_HOURS, float(row['hours_per_week']) * factor / people):.1f}"
    for name in ("Staff", "Absences"):
        sheets[name] = _for_each_person(sheets[name], people)
    for row in sheets["Campaign"]:
        if row["setting"] in ("supplies_budget", "staff_budget") and row["value"]:
            row["value"] = f"{float(row['value']) * factor:.2f}"
    for name, rows in sheets.items():
        _write(folder / f"{name}.csv", rows)
    return folder


def _copied(
    rows: list[dict[str, str]], kept: set[tuple[int, str]], copies: int, rng: random.Random | None
) -> list[dict[str, str]]:
    made = []
    for copy in range(copies):
        for row in rows:
            if (copy, row["volume_id"]) not in kept:
                continue
            again = dict(row) | {"volume_id": f"{row['volume_id']}-{copy:03d}"}
            if rng and copy:
                for side in ("page_width", "page_height"):
                    if again[side].replace(".", "", 1).isdigit():
                        again[side] = f"{float(again[side]) + rng.uniform(-MOVE_MM, MOVE_MM):.1f}"
                again["cover_width"] = again["cover_height"] = ""
            made.append(again)
    return made


def _for_each_person(rows: list[dict[str, str]], people: int) -> list[dict[str, str]]:
    """Every person so many times, with what concerns them; rows of the whole lab once."""
    return [
        row | ({"staff_id": f"{row['staff_id']}-{number}"} if row["staff_id"] else {})
        for row in rows
        for number in range(1, (people if row["staff_id"] else 1) + 1)
    ]


def _read(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def _write(path: Path, rows: list[dict[str, str]]) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, rows[0].keys())
        writer.writeheader()
        writer.writerows(rows)
