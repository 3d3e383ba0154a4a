"""One small collection in five ways of writing: mm, cm, inches with fractions, CSV with semicolons and decimal commas,
a lab's own sheets, headings, units and words. The plan is the same.

Where a campaign's own unit is the inch, leaves are cut to 1/32 in instead of 0.5 mm, so that plan may differ: here the
campaign in inches keeps its outputs in mm.
"""

import csv
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import polars as pl
import pytest
from polars.testing import assert_frame_equal

from pipeline.contracts.published import TABLES
from pipeline.plan import make_plan
from pipeline.store import Store
from pipeline.units import MM_PER_INCH
from tests import builders as b
from tests.checking import Tables

pytestmark = pytest.mark.slow
EIGHTH_MM = Fraction(str(MM_PER_INCH)) / 8
"""All lengths are whole eighths of an inch: they have an exact text in every unit."""
LENGTHS = {
    "Volumes": ("page_width", "page_height", "spine_thickness", "fore_edge_thickness", "extension", "cover_width",
                "cover_height", "boards_thickness"),
    "Stock": ("width", "length", "trim"),
    "Enclosures": ("inner_width", "inner_height", "inner_depth", "max_slack", "max_depth_slack"),
}  # fmt: skip
SETTINGS = ("guillotine_max_cut", "guillotine_max_lift")
INPUT_NAMES = {
    "run": ["inventory_sha256", "length_unit"],
    "findings": ["sheet", "cell", "message", "action"],
}
"""Columns that say how the inventory was written, not what was planned."""
OWN = """
[sheets.Volumes]
sheet = "Albums 2027"
heading_row = 3
[sheets.Volumes.columns]
volume_id = "Shelfmark"
page_height = { heading = "H", unit = "cm" }
page_width = { heading = "B (in)" }
binding = { heading = "Bdg", words = { "half leather" = "sewn" } }
collection = { always = "Test collection" }

[sheets.Openings]
sheet = "Damage"
[sheets.Openings.columns]
hazards = { heading = "What", words = { "pins" = "fastener", "cuttings" = "acidic_insert" } }
"""


def eighths(number: int) -> float:
    return float(number * EIGHTH_MM)


def tenth(length_mm: float) -> float:
    """The length in cm, exactly as a person would write it: dividing the float may be off in its last digit."""
    return float(Fraction(str(length_mm)) / 10)


def collection() -> Tables:
    """Four volumes of three page sizes, two papers, a roll and sheets, two people, a box; lengths in mm."""
    sizes = (("A", 75, 95, 6), ("B", 75, 96, 7), ("C", 60, 80, 5), ("D", 61, 81, 5))
    volumes = [
        b.volume(name, page_width_mm=eighths(width), page_height_mm=eighths(height), spine_thickness_mm=eighths(spine),
                 fore_edge_thickness_mm=eighths(spine), cover_width_mm=eighths(width + 2), extension_mm=0)
        for name, width, height, spine in sizes
    ]  # fmt: skip
    openings = [
        b.opening(name, openings="2-5", severity=1 + number % 3) for number, name in enumerate("ABCD")
    ]
    openings.append(b.opening("A", openings="9", hazards="fastener", severity=2))
    roll = b.stock("S-2", paper_id="P-2", form="roll", width_mm=eighths(320), length_mm=eighths(15_000),
                   pack_quantity=1, pack_price=80.5, trim_mm=eighths(1))  # fmt: skip
    sheet = b.stock(width_mm=eighths(220), length_mm=eighths(315), trim_mm=eighths(1))
    campaign = b.campaign(guillotine_max_cut_mm=eighths(360), guillotine_max_lift_mm=eighths(16))
    box = b.enclosure(inner_width_mm=eighths(80), inner_height_mm=eighths(100), inner_depth_mm=eighths(14),
                      price=10.25, max_slack_mm=eighths(3), max_depth_slack_mm=eighths(8))  # fmt: skip
    return b.inventory_tables(
        campaign=campaign, volumes=volumes, openings=openings, papers=[b.paper(), b.paper("P-2", thickness_um=62.5)],
        stock=[sheet, roll], staff=[b.person(), b.person("T-2", skill="technician", hours_per_week=17.5)],
        enclosures=[box],
    )  # fmt: skip


def rewritten(tables: Tables, write: Callable[[float], object]) -> Tables:
    """The tables with every length written in another way."""
    for name, fields in LENGTHS.items():
        head, *lines = tables[name]
        for line in lines:
            for index, field in enumerate(head):
                if field in fields and line[index] is not None:
                    line[index] = write(line[index])
    for line in tables["Campaign"]:
        if line[0] in SETTINGS:
            line[1] = write(line[1])
    return tables


def inches(length_mm: float) -> str:
    """`9 3/8 in`, `9-3/8"` or `9⅜ in` in turn, as surveyors write."""
    whole, rest = divmod(round(Fraction(str(length_mm)) / EIGHTH_MM), 8)
    if not rest:
        return f"{whole} in"
    part = Fraction(rest, 8)
    ways = [f'{whole}-{part}"', f"{whole} {part} in", f"{whole}{'⅛¼⅜½⅝¾⅞'[rest - 1]} in"]
    return ways[whole % 3] if whole else f"{part} in"


def in_mm(folder: Path) -> dict[str, Any]:
    return {"inventory": b.write_tables(folder / "inventory.xlsx", collection())}


def in_cm(folder: Path) -> dict[str, Any]:
    tables = rewritten(collection(), tenth)
    next(line for line in tables["Campaign"] if line[0] == "length_unit")[1] = "cm"
    return {"inventory": b.write_tables(folder / "inventory.xlsx", tables)}


def in_inches(folder: Path) -> dict[str, Any]:
    return {"inventory": b.write_tables(folder / "inventory.xlsx", rewritten(collection(), inches))}


def in_semicolons(folder: Path) -> dict[str, Any]:
    """CSV with semicolons, decimal commas and a byte order mark."""
    for name, lines in collection().items():
        with (folder / f"{name}.csv").open("w", encoding="utf-8-sig", newline="") as file:
            writer = csv.writer(file, delimiter=";")
            for line in lines:
                writer.writerow([_with_comma(value) for value in line])
    return {"inventory": folder}


def _with_comma(value: object) -> object:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value).replace(".", ",") if isinstance(value, float) else value


def in_own_words(folder: Path) -> dict[str, Any]:
    """Titles above the headings, headings, units and words of the lab's own."""
    tables = collection()
    volumes, openings = tables.pop("Volumes"), tables.pop("Openings")
    head, *lines = volumes
    for line in lines:
        line[head.index("page_height")] = tenth(line[head.index("page_height")])
        line[head.index("page_width")] = (
            inches(line[head.index("page_width")]).removesuffix(" in").removesuffix('"')
        )
        line[head.index("binding")] = "half leather"
    own = {
        "volume_id": "Shelfmark",
        "page_height": "H",
        "page_width": "B (in)",
        "binding": "Bdg",
        "collection": None,
    }
    for line in lines:
        line[head.index("collection")] = None
    volumes[0] = [own.get(name, name) for name in head]
    tables["Albums 2027"] = [["Our albums"], [], *volumes]
    where = openings[0].index("hazards")
    openings[0][where] = "What"
    for line in openings[1:]:
        line[where] = {"fastener": "pins", "acidic_insert": "cuttings"}[line[where]]
    tables["Damage"] = openings
    columns = folder / "columns.toml"
    columns.write_text(OWN, encoding="utf-8")
    return {"inventory": b.write_tables(folder / "inventory.xlsx", tables), "columns": columns}


WAYS = (in_cm, in_inches, in_semicolons, in_own_words)


def published(folder: Path, given: dict[str, Any]) -> dict[str, pl.DataFrame]:
    """Every published table of the plan, without what says how the inventory was written."""
    settings = b.settings(out=folder / "plan", **given)
    make_plan(settings, lambda text: None)
    with Store(settings.out / "plan.duckdb", read_only=True) as store:
        found = {table.name: store.read(table.name) for table in TABLES}
    for name, columns in INPUT_NAMES.items():
        found[f"published.{name}"] = found[f"published.{name}"].drop(columns)
    campaign = found["published.campaign"]
    found["published.campaign"] = campaign.filter(pl.col("setting") != "length_unit")
    return found


@pytest.fixture(scope="module")
def usual(tmp_path_factory: pytest.TempPathFactory) -> dict[str, pl.DataFrame]:
    """The plan of the collection in mm."""
    folder = tmp_path_factory.mktemp("mm")
    found = published(folder, in_mm(folder))
    assert found["published.interleaves"].height >= 4
    assert found["published.cut_sizes"].height >= 2
    return found


@pytest.mark.parametrize("way", WAYS, ids=lambda way: way.__name__)
def test_the_plan_is_the_same(
    tmp_path: Path, usual: dict[str, pl.DataFrame], way: Callable[[Path], dict[str, Any]]
) -> None:
    found = published(tmp_path, way(tmp_path))
    for name, frame in usual.items():
        assert_frame_equal(found[name], frame, check_exact=True)
