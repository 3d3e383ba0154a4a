"""Stage 02: raw tables to clean tables, and every finding of the whole inventory in one run.

Cells, rows and counts are judged here; findings across rows and sheets are SELECTs in sql/02_check, gathered
at the end. Nothing is raised: a row with an error is left out of the clean tables and must not cause further
findings.
"""

from collections.abc import Iterator

import polars as pl

from pipeline.calendar import find_closures
from pipeline.contracts import TABLES
from pipeline.contracts.input_sheet import InputSheet
from pipeline.contracts.inventory import CROSS_CHECK_TABLES
from pipeline.contracts.inventory_columns import (
    CAMPAIGN,
    DEFAULT_WORKING_DAYS,
    SHEETS,
    SHEETS_BY_NAME,
    starters_for,
)
from pipeline.errors import Finding
from pipeline.frames import Frames, figures
from pipeline.inventory.examples import EXAMPLE_MARK
from pipeline.inventory.findings import finding_rows, findings_of, in_order
from pipeline.inventory.parse import Words, by_plain
from pipeline.inventory.people_at_work import check_at_work, check_default_days
from pipeline.inventory.quantities import has_decimal_comma
from pipeline.inventory.raw import RawSheet, raw_sheets
from pipeline.inventory.rows import Figures, SheetRows
from pipeline.inventory.rows_campaign import campaign_frames, campaign_row, length_unit, read_campaign
from pipeline.inventory.rows_counts import count_frames
from pipeline.inventory.rows_openings import (
    decision_frames,
    opening_frames,
    read_decisions,
    read_openings,
    seen_openings,
)
from pipeline.inventory.rows_people import (
    people_frames,
    rate_frames,
    rate_notes,
    read_absences,
    read_rates,
    read_staff,
)
from pipeline.inventory.rows_strata import read_strata, strata_frames
from pipeline.inventory.rows_supplies import (
    enclosure_frames,
    read_enclosures,
    read_papers,
    read_stock,
    seen_stock,
    supply_frames,
)
from pipeline.inventory.rows_volumes import read_volumes, seen_volumes, volume_frames
from pipeline.inventory.starters import starter_findings, starter_sheets
from pipeline.inventory.totals import without_totals
from pipeline.inventory.what_if import starters_with
from pipeline.settings import Settings

_READERS = {
    "Volumes": read_volumes,
    "Openings": read_openings,
    "Papers": read_papers,
    "Stock": read_stock,
    "Staff": read_staff,
    "Absences": read_absences,
    "Rates": read_rates,
    "Enclosures": read_enclosures,
    "Decisions": read_decisions,
    "Strata": read_strata,
}
CHECK_READS = (
    "raw.sheets",
    "raw.headers",
    "raw.cells",
    "policy.entries",
    "policy.figures",
    "policy.hazards",
    "policy.contents",
    "policy.rates",
    "policy.enclosures",
)
CHECK_WRITES = (
    "clean.campaign",
    "clean.campaign_settings",
    "clean.volumes",
    "clean.volume_contents",
    "clean.volume_counts",
    "clean.count_groups",
    "clean.opening_rows",
    "clean.opening_ranges",
    "clean.row_hazards",
    "clean.row_contents",
    "clean.papers",
    "clean.stock",
    "clean.staff",
    "clean.absences",
    "clean.closures",
    "clean.rates",
    "clean.enclosure_stock",
    "clean.decisions",
    "clean.strata",
    "work.named_ids",
    "work.seen_volumes",
    "work.seen_openings",
    "work.seen_stock",
    "work.cell_findings",
)
GATHER_READS = (
    "raw.sheets",
    "raw.headers",
    "raw.cells",
    "raw.findings",
    "work.cell_findings",
    *(table.name for table in CROSS_CHECK_TABLES),
)
QUICK_PLAN = Finding(
    code="quick_effort",
    level="note",
    sheet=CAMPAIGN.name,
    message="planned with the quick effort: searched for less, other clearances and numbers of sizes on a sheet not "
    "compared, more or less of the grant at two points only",
    action="plan with the usual effort before you buy paper or send the report",
)


def check_inventory(frames: Frames, settings: Settings) -> Frames:
    """All clean tables but clean.findings, what the SELECTs of this stage look at, and work.cell_findings."""
    sheets = read_sheets(frames, settings)
    clean = _clean_tables(sheets, frames)
    clean |= _closures(clean, settings)
    if campaign_row(clean) is not None:
        check_at_work(sheets["Staff"], clean | {"policy.figures": frames["policy.figures"]})
    findings = [
        *_notes(sheets, frames),
        *(finding for found in sheets.values() for finding in found.findings),
    ]
    return {**clean, **_seen_tables(sheets), "work.cell_findings": finding_rows(in_order(findings))}


def gather_findings(frames: Frames, settings: Settings) -> Frames:
    """clean.findings: those of the file, of cells and of the SELECTs, by sheet and row; a word on the effort."""
    sheets = raw_sheets(frames)
    findings = [*findings_of(frames["raw.findings"]), *findings_of(frames["work.cell_findings"])]
    for table in CROSS_CHECK_TABLES:
        findings += _placed(frames[table.name], sheets)
    findings += [QUICK_PLAN] if settings.is_quick else []
    return {"clean.findings": finding_rows(in_order(findings))}


def read_sheets(frames: Frames, settings: Settings) -> dict[str, SheetRows]:
    """Every sheet's rows, cells judged; a sheet that is absent has no rows."""
    raw = raw_sheets(frames)
    starters = starter_sheets(frames, raw)
    added: list[Finding] = []
    if "Staff" in starters:
        starters["Staff"], added = starters_with(starters["Staff"], settings.what_if.more_people)
    raw |= starters
    policy = figures(frames)
    campaign = raw.get(CAMPAIGN.name, RawSheet(CAMPAIGN.name))
    words = _words(frames, campaign, policy)
    found = {CAMPAIGN.name: read_campaign(campaign, words, policy)}
    for name, read in _READERS.items():
        rows, totals = without_totals(SHEETS_BY_NAME[name], raw.get(name, RawSheet(name)))
        found[name] = read(rows, words, policy)
        found[name].findings += totals
    found["Staff"].findings += added
    return found


def _words(frames: Frames, campaign: RawSheet, policy: Figures) -> Words:
    texts = frames["raw.cells"].filter(
        (pl.col("cell_kind") == "text") & pl.col("text").str.contains(r"\d,\d")
    )
    measures = {
        column.name for sheet in SHEETS for column in sheet.columns if column.kind in ("length", "number")
    }
    typed = texts.filter(pl.col("field").is_in(sorted(measures)))["text"].unique().to_list()
    hazards = frames["policy.hazards"].sort("hazard_order")["hazard"].unique(maintain_order=True).to_list()
    return Words(
        length_unit=length_unit(campaign, Words(), policy),
        has_comma=any(has_decimal_comma(text) for text in typed),
        hazards=by_plain(hazards),
        contents=by_plain(frames["policy.contents"]["content_word"].to_list()),
    )


def _clean_tables(sheets: dict[str, SheetRows], frames: Frames) -> Frames:
    clean = campaign_frames(sheets["Campaign"])
    clean |= count_frames(sheets["Volumes"], sheets["Openings"])  # first: it finds volumes that cannot be
    clean |= volume_frames(sheets["Volumes"])
    volume_ids = set(clean["clean.volumes"]["volume_id"])
    clean |= opening_frames(sheets["Openings"], volume_ids)
    clean |= decision_frames(sheets["Decisions"], volume_ids)
    clean |= strata_frames(sheets["Strata"])
    clean |= supply_frames(sheets["Papers"], sheets["Stock"])
    clean |= enclosure_frames(sheets["Enclosures"], frames["policy.enclosures"])
    campaign = campaign_row(clean)
    working_days = str(campaign["working_days"]) if campaign else DEFAULT_WORKING_DAYS
    check_default_days(sheets["Staff"], working_days, figures(frames))
    clean |= people_frames(sheets["Staff"], sheets["Absences"], working_days)
    clean |= rate_frames(sheets["Rates"], frames["policy.rates"])
    return clean


def _closures(clean: Frames, settings: Settings) -> Frames:
    if campaign_row(clean) is None:
        return {"clean.closures": TABLES["clean.closures"].empty()}
    return find_closures(clean, settings)


def _notes(sheets: dict[str, SheetRows], frames: Frames) -> Iterator[Finding]:
    for name, found in sheets.items():
        sheet = found.sheet
        if not found.raw.is_read and sheet.when_absent:
            message = f"there is no sheet {name}: {sheet.when_absent}"
            yield Finding(code="sheet_absent", level="note", sheet=name, message=message)
        elif example := _example_row(found):
            yield example
        elif found.raw.is_read and not found.rows and sheet.required and _has_required(found, sheet):
            action = f"fill in {sheet.row_is} per row"
            yield Finding(
                code="sheet_empty",
                level="error",
                sheet=found.raw.name,
                message="the sheet has no rows",
                action=action,
            )
    named = set(frames["raw.sheets"]["known_as"].drop_nulls())
    yield from starter_findings(sheets[name].raw for name in starters_for(named))
    if sheets["Rates"].raw.is_read:
        yield from rate_notes(sheets["Rates"], frames["policy.rates"])


def _example_row(found: SheetRows) -> Finding | None:
    """A warning at the first of a template's example rows that is still there."""
    name = "name" if found.sheet is CAMPAIGN else found.sheet.key
    for row in found.rows:
        if (row.text(name) or "").startswith(EXAMPLE_MARK):
            return Finding(
                code="example_row",
                level="warning",
                sheet=found.raw.name,
                cell=found.place(row, name),
                message=f"{name} is that of the template's example",
                action="delete the example rows" if found.sheet.key else "type the campaign's own name",
            )
    return None


def _has_required(found: SheetRows, sheet: InputSheet) -> bool:
    return all(column.name in found.raw.columns for column in sheet.columns if column.required)


def _seen_tables(sheets: dict[str, SheetRows]) -> Frames:
    return {
        **seen_volumes(sheets["Volumes"]),
        **seen_openings(sheets["Openings"], sheets["Decisions"]),
        **seen_stock(sheets["Stock"]),
        "work.named_ids": _named_ids(sheets),
    }


def _named_ids(sheets: dict[str, SheetRows]) -> pl.DataFrame:
    rows = []
    for found in sheets.values():
        names = [
            column.name
            for column in found.sheet.columns
            if column.kind == "id" or column.name == found.sheet.key
        ]
        for row in found.rows:
            for name in names:
                identifier = row.text(name)
                if identifier is not None:
                    rows.append(
                        {
                            "sheet": found.raw.name,
                            "row_no": row.row_no,
                            "field": name,
                            "cell": found.raw.address(row.row_no, name),
                            "named_id": identifier,
                            "is_own": name == found.sheet.key,
                        }
                    )
    return TABLES["work.named_ids"].frame(rows)


def _placed(frame: pl.DataFrame, sheets: dict[str, RawSheet]) -> Iterator[Finding]:
    """Findings of a SELECT, each with the cell of its field in its row."""
    by_typed_name = {sheet.name: sheet for sheet in sheets.values()}
    for row in frame.iter_rows(named=True):
        sheet = by_typed_name.get(row["sheet"]) or sheets.get(row["sheet"])
        has_place = sheet is not None and row["row_no"] is not None
        yield Finding(
            code=row["code"],
            level=row["level"],
            sheet=sheet.name if sheet is not None else row["sheet"],
            cell=sheet.address(row["row_no"], row["field"] or "") if sheet is not None and has_place else "",
            volume_id=row["volume_id"],
            message=row["message"],
            action=row["action"],
        )
