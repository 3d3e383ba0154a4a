"""Larger inventories for the benchmark: the sample's volumes again and again, page sizes moved by a few mm, seeded."""

import csv
import random
from pathlib import Path

from pipeline.resources import data_folder

MOVE_MM = 6.0
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
    sheets["Openings"] = _copied(sheets["Openings"], kept, copies, None)
    factor = volumes / len(ids)
    for row in sheets["Staff"]:
        row["hours_per_week"] = str(min(40.0, float(row["hours_per_week"]) * factor))
    sheets["Staff"] = _more_staff(sheets["Staff"], factor)
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


def _more_staff(rows: list[dict[str, str]], factor: float) -> list[dict[str, str]]:
    """As many people again as the hours of one person cannot hold."""
    hours = {row["staff_id"]: float(row["hours_per_week"]) for row in rows}
    made = []
    for row in rows:
        people = max(1, round(factor * 8 / 40)) if hours[row["staff_id"]] >= 40 else 1
        made += [row | {"staff_id": f"{row['staff_id']}-{number}"} for number in range(1, people + 1)]
    return made


def _read(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def _write(path: Path, rows: list[dict[str, str]]) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, rows[0].keys())
        writer.writeheader()
        writer.writerows(rows)
