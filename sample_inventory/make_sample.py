"""Makes the sample inventory: two workbooks and the first one again as a CSV folder, beside this script.

Run as `python sample_inventory/make_sample.py`. The same seed gives the same files, to the byte.
"""

import csv
import random
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from pathlib import Path

import supplies
import xlsxwriter
from scenario import SERIES, Find, Series
from xlsxwriter.format import Format
from xlsxwriter.worksheet import Worksheet

SEED = 20_270_111
HERE = Path(__file__).parent
DATE_FORMAT = "yyyy-mm-dd"
MADE_ON = datetime(2027, 1, 4)
HAZARDS = (
    "acidic_insert", "unstable_media", "friable_media", "fastener", "raised_attachment", "facing_photographs",
    "staining_adhesive", "tacky_adhesive",
)  # fmt: skip
COUNT_HEADERS = tuple(f"openings_{hazard}" for hazard in HAZARDS)
VOLUME_HEADERS = (
    "volume_id", "collection", "title", "location", "page_width", "page_height", "leaves", "binding",
    "joints", "leaf_condition", "spine_thickness", "fore_edge_thickness", "extension", "use", "significance",
    "odour", "hold", "buffer_rule", "contents", "existing_leaves", "existing_leaf_thickness_um", "skill",
    "enclosure", "cover_width", "cover_height", "boards_thickness", "shelf_order", *COUNT_HEADERS,
)  # fmt: skip
OPENING_HEADERS = ("volume_id", "openings", "count", "left", "right", "hazards", "severity", "note")
SCATTER_MM = 3
LEAST_SPINE_MM = 3
UM_PER_HALF_MM = 500

Row = dict[str, object]
Sheets = dict[str, tuple[tuple[str, ...], Sequence[tuple[object, ...]]]]


def make_volume(series: Series, number: int, dice: random.Random) -> Row:
    """One row of Volumes, without its openings. Lengths in mm."""
    width, height = dice.choice(series.sizes)
    leaves = dice.randint(*series.leaves)
    half_mms = leaves * dice.randint(*series.leaf_um) // UM_PER_HALF_MM
    spine = LEAST_SPINE_MM + half_mms / 2
    binding = dice.choice(series.bindings)
    year = series.first_year + number // 2
    volume: Row = {
        "volume_id": volume_name(series, number),
        "collection": series.name,
        "title": f"{dice.choice(series.titles)}, {year}",
        "location": f"{series.shelf}, bay {1 + number // 12}",
        "page_width": width + dice.randint(-SCATTER_MM, SCATTER_MM),
        "page_height": height + dice.randint(-SCATTER_MM, SCATTER_MM),
        "leaves": leaves,
        "binding": binding,
        "joints": dice.choice(series.joints) if binding not in ("ring", "spiral") else "sound",
        "leaf_condition": dice.choice(series.conditions),
        "spine_thickness": spine,
        "fore_edge_thickness": spine + dice.randint(*series.bulge),
        "extension": dice.choice((0, 2, 3, 5)) if binding in ("post", "laced") else None,
        "use": dice.choice(series.uses),
        "significance": dice.choice(series.significances),
        "odour": "yes" if dice.randrange(100) < series.odour_pct else None,
        "contents": dice.choice(series.contents) or None,
        "skill": dice.choice(series.skills),
        "enclosure": dice.choice(series.enclosures),
        "shelf_order": f"{series.prefix}/{number:03d}",
    }
    if dice.randrange(100) < series.old_leaves_pct:
        volume["existing_leaves"] = dice.randint(8, leaves // 2 + 8)
        volume["existing_leaf_thickness_um"] = dice.choice((42, 55, 70))
    if dice.randrange(100) < 20:
        volume |= measured_covers(volume, dice)
    return volume


def volume_name(series: Series, number: int) -> str:
    """Identifier of a volume: all figures in one collection, letters and figures in the others."""
    if series.prefix.isdigit():
        return f"{series.prefix}{number:02d}"
    return f"{series.prefix}-{number:03d}"


def measured_covers(volume: Row, dice: random.Random) -> Row:
    """Measured covers of a volume, mm."""
    return {
        "cover_width": number_of(volume["page_width"]) + dice.randint(2, 6),
        "cover_height": number_of(volume["page_height"]) + dice.randint(4, 9),
        "boards_thickness": dice.choice((3, 4.5, 5, 6)),
    }


def number_of(cell: object) -> float:
    """A cell that is known to hold a number."""
    if not isinstance(cell, int | float):
        raise TypeError(f"{cell!r} is no number")
    return cell


def survey(series: Series, volume: Row, dice: random.Random) -> list[Row]:
    """Openings rows of a volume; its quick-survey counts are laid into the volume itself."""
    openings = int(number_of(volume["leaves"])) + 1
    if dice.randrange(100) < 4:
        return []
    found = openings * dice.randint(*series.share_pct) // 100
    method = dice.choice(series.surveys)
    listed = {"listed": found, "counts": 0, "both": found // 2}[method]
    rows = listed_rows(series, volume, listed, dice)
    if method != "listed":
        counts = Counter(word for row in rows for word in hazard_words(row) for _ in range(size_of(row)))
        counts.update(counted(series, found - listed, dice))
        volume.update({f"openings_{hazard}": counts[hazard] for hazard in HAZARDS if counts[hazard]})
    return rows


def listed_rows(series: Series, volume: Row, found: int, dice: random.Random) -> list[Row]:
    """Rows that name `found` openings of the volume: runs of openings, several runs a row now and then."""
    last = int(number_of(volume["leaves"]))
    runs = []
    start = dice.randint(0, 3)
    while found > 0 and start <= last:
        length = min(found, dice.randint(1, 7), last - start + 1)
        runs.append((start, start + length - 1))
        found -= length
        start += length + dice.randint(0, 2)
    rows = []
    while runs:
        take = min(len(runs), dice.choice((1, 1, 2, 3)))
        find = pick(series.finds, dice)
        rows.append(opening_row(volume, runs[:take], find, dice))
        runs = runs[take:]
    return rows


def opening_row(volume: Row, runs: Sequence[tuple[int, int]], find: Find, dice: random.Random) -> Row:
    """One row of Openings for the given runs of openings."""
    severity = dice.choice(find.severities)
    return {
        "volume_id": volume["volume_id"],
        "openings": ", ".join(str(first) if first == last else f"{first}-{last}" for first, last in runs),
        "left": find.left or None,
        "right": find.right or None,
        "hazards": find.hazards,
        "severity": None if severity == 2 and dice.randrange(2) else severity,
        "note": find.note if find.note and dice.randrange(3) == 0 else None,
    }


def pick(finds: Sequence[Find], dice: random.Random) -> Find:
    """One find, the more likely the greater its weight."""
    return dice.choices(finds, weights=[find.weight for find in finds])[0]


def counted(series: Series, found: int, dice: random.Random) -> Counter[str]:
    """Hazards of `found` openings whose places are not noted, one hazard each."""
    kinds = [pick(series.finds, dice) for _ in range(min(found, 3))]
    return Counter(hazard_words({"hazards": dice.choice(kinds).hazards})[0] for _ in range(found))


def hazard_words(row: Row) -> list[str]:
    """Hazards a row names, each once, without the page that carries them."""
    cell = str(row["hazards"] or "").replace(";", ",")
    return sorted({word.strip().rpartition(":")[2] for word in cell.split(",") if word.strip()})


def size_of(row: Row) -> int:
    """Number of openings a row names."""
    total = 0
    for part in str(row["openings"]).split(","):
        first, _, last = part.strip().partition("-")
        total += int(last or first) - int(first) + 1
    return total


def apply_oddities(volume: Row, rows: list[Row]) -> list[Row]:
    """What the surveyor remembers of a volume, laid over what chance wrote; returns its rows of Openings."""
    name = str(volume["volume_id"])
    volume.update(supplies.ODD_VOLUMES.get(name, {}))
    if name in supplies.ODD_COUNTS or name in supplies.ODD_OPENINGS:
        volume.update(dict.fromkeys(COUNT_HEADERS) | supplies.ODD_COUNTS.get(name, {}))
        rows = []
    for cells in supplies.ODD_OPENINGS.get(name, ()):
        rows.append(dict(zip(OPENING_HEADERS, (name, *cells), strict=True)))
    if name in supplies.ODD_OPENINGS:
        volume["joints"] = "sound"
    return rows


def make_sheets() -> Sheets:
    """Every sheet of the sample: headings and rows."""
    dice = random.Random(SEED)
    volumes: list[Row] = []
    openings: list[Row] = []
    for series in SERIES:
        for number in range(1, series.volumes + 1):
            volume = make_volume(series, number, dice)
            openings += apply_oddities(volume, survey(series, volume, dice))
            volumes.append(volume)
    return {
        "Campaign": (("setting", "value"), list(supplies.CAMPAIGN.items())),
        "Volumes": (VOLUME_HEADERS, as_tuples(VOLUME_HEADERS, volumes)),
        "Openings": (OPENING_HEADERS, as_tuples(OPENING_HEADERS, openings)),
        "Papers": (supplies.PAPER_HEADERS, list(supplies.PAPERS)),
        "Stock": (supplies.STOCK_HEADERS, list(supplies.STOCK)),
        "Staff": (supplies.STAFF_HEADERS, list(supplies.STAFF)),
        "Absences": (supplies.ABSENCE_HEADERS, list(supplies.ABSENCES)),
        "Rates": (supplies.RATE_HEADERS, list(supplies.RATES)),
        "Enclosures": (supplies.ENCLOSURE_HEADERS, list(supplies.ENCLOSURES)),
        "Decisions": (supplies.DECISION_HEADERS, list(supplies.DECISIONS)),
    }


def make_tight(sheets: Sheets) -> Sheets:
    """The same collections with one technician, fourteen weeks and half the money."""
    campaign = supplies.CAMPAIGN | supplies.TIGHT_CAMPAIGN
    for budget in ("supplies_budget", "staff_budget"):
        campaign[budget] = number_of(campaign[budget]) / 2
    staff = [row for row in supplies.STAFF if row[0] in supplies.TIGHT_STAFF]
    absences = [row for row in supplies.ABSENCES if row[0] is None or row[0] in supplies.TIGHT_STAFF]
    return sheets | {
        "Campaign": (("setting", "value"), list(campaign.items())),
        "Staff": (supplies.STAFF_HEADERS, staff),
        "Absences": (supplies.ABSENCE_HEADERS, absences),
    }


def as_tuples(headers: Sequence[str], rows: Iterable[Mapping[str, object]]) -> list[tuple[object, ...]]:
    """Rows in the order of the headings; what a row does not have stays empty."""
    return [tuple(row.get(header) for header in headers) for row in rows]


def write_workbook(path: Path, sheets: Sheets) -> None:
    """One .xlsx with a frozen heading row a sheet."""
    with xlsxwriter.Workbook(str(path)) as book:
        book.set_properties({"title": "Sample inventory of an invented record office", "created": MADE_ON})
        heading = book.add_format({"bold": True, "bottom": 1})
        day = book.add_format({"num_format": DATE_FORMAT, "align": "left"})
        text = book.add_format({"num_format": "@"})
        for name, (headers, rows) in sheets.items():
            sheet = book.add_worksheet(name)
            sheet.freeze_panes(1, 1)
            sheet.write_row(0, 0, headers, heading)
            for row_no, row in enumerate(rows, start=1):
                for column_no, cell in enumerate(row):
                    write_cell(sheet, (row_no, column_no), cell, day if isinstance(cell, date) else text)
            for column_no, header in enumerate(headers):
                sheet.set_column(column_no, column_no, max(9, len(header) + 1))


def write_cell(sheet: Worksheet, place: tuple[int, int], cell: object, style: Format) -> None:
    """One cell as date, text or number; an empty one is left out. All-figure identifiers stay text."""
    if isinstance(cell, date):
        sheet.write_datetime(*place, datetime(cell.year, cell.month, cell.day), style)
    elif isinstance(cell, str):
        sheet.write_string(*place, cell, style if cell.isdigit() else None)
    elif cell is not None:
        sheet.write_number(*place, number_of(cell))


def write_folder(folder: Path, sheets: Sheets) -> None:
    """One UTF-8 .csv a sheet; dates as year-month-day."""
    folder.mkdir(exist_ok=True)
    for name, (headers, rows) in sheets.items():
        with (folder / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file, lineterminator="\n")
            writer.writerow(headers)
            writer.writerows(["" if cell is None else cell for cell in row] for row in rows)


def main() -> None:
    """Writes sample_inventory.xlsx, csv/ and tight_inventory.xlsx beside this script."""
    sheets = make_sheets()
    write_workbook(HERE / "sample_inventory.xlsx", sheets)
    write_folder(HERE / "csv", sheets)
    write_workbook(HERE / "tight_inventory.xlsx", make_tight(sheets))


if __name__ == "__main__":
    main()
