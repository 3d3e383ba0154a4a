"""The Campaign sheet: settings read into one row, with the unit and the working days that other sheets lean
on.
"""

import polars as pl

from pipeline.calendar import public_holidays
from pipeline.contracts import TABLES
from pipeline.contracts.input_sheet import InputColumn
from pipeline.contracts.inventory_columns import CAMPAIGN
from pipeline.errors import Finding
from pipeline.frames import Frames
from pipeline.inventory.columns import nearest, plain
from pipeline.inventory.findings import place_problem
from pipeline.inventory.parse import Value, Words, tidy
from pipeline.inventory.quantities import Problem
from pipeline.inventory.raw import RawColumn, RawSheet
from pipeline.inventory.rows import Figures, Row, SheetRows, judge_cell, read_columns

_ONE_ROW = 1


def read_campaign(raw: RawSheet, words: Words, figures: Figures) -> SheetRows:
    """The campaign as one row of settings. Each finding stands at the cell of its setting's value."""
    findings: list[Finding] = []
    turned, places = _turn(raw, findings)
    found = SheetRows(CAMPAIGN, turned, [Row(_ONE_ROW)], findings, places)
    if not raw.is_read or set(raw.columns) != {"setting", "value"}:
        found.rows[0].faulty.add("name")
        return found
    read_columns(found, _present_or_optional(found), words, figures)
    _check_dates(found, figures)
    _check_country(found)
    _check_budgets(found)
    return found


def length_unit(raw: RawSheet, words: Words, figures: Figures) -> str:
    """The unit of bare lengths: mm where the campaign names none, blank where its word cannot be read."""
    column = CAMPAIGN.column("length_unit")
    turned, _ = _turn(raw, [])
    unit = turned.columns.get(column.name)
    if unit is None:
        return "mm"
    value = judge_cell(column, unit.cells[_ONE_ROW], unit="", words=words, figures=figures).value
    return value if isinstance(value, str) else ""


def campaign_frames(found: SheetRows) -> Frames:
    """clean.campaign and clean.campaign_settings: one row, or none where a setting is faulty."""
    rows = [_clean(row) for row in found.clean()]
    settings = [
        {"setting": "name" if name == "campaign_name" else name, "value": _setting_text(value)}
        for row in rows
        for name, value in row.items()
    ]
    return {
        "clean.campaign": TABLES["clean.campaign"].frame(rows),
        "clean.campaign_settings": TABLES["clean.campaign_settings"].frame(settings),
    }


def campaign_row(frames: Frames) -> dict[str, Value] | None:
    """The one row of clean.campaign, or None where it could not be read."""
    frame: pl.DataFrame = frames["clean.campaign"]
    return frame.row(0, named=True) if frame.height else None


def _turn(raw: RawSheet, findings: list[Finding]) -> tuple[RawSheet, dict[str, str]]:
    """Two columns of settings and values as one row of columns, with the address of each value."""
    if "setting" not in raw.columns or "value" not in raw.columns:
        return RawSheet(raw.name, raw.is_read), {}
    known = {plain(column.name): column.name for column in CAMPAIGN.columns}
    values = raw.columns["value"]
    columns: dict[str, RawColumn] = {}
    places: dict[str, str] = {}
    for row_no, (_, typed) in sorted(raw.columns["setting"].cells.items()):
        name = known.get(plain(typed))
        place = raw.address(row_no, "setting")
        if name is None:
            findings.append(place_problem(_unknown_setting(typed, list(known.values())), raw.name, place))
        elif name in places:
            message = f"the setting {name} is there twice, also at {raw.name}!{places[name]}"
            findings.append(
                place_problem(Problem("duplicate_setting", message, "delete one"), raw.name, place)
            )
        else:
            places[name] = raw.address(row_no, "value")
            cells = {_ONE_ROW: values.cells[row_no]} if row_no in values.cells else {}
            columns[name] = RawColumn(values.letters, place, "", cells)
    filled = {
        name: column for name, column in columns.items() if column.cells or CAMPAIGN.column(name).required
    }
    return RawSheet(raw.name, raw.is_read, filled), places


def _present_or_optional(found: SheetRows) -> list[InputColumn]:
    """The settings to read; a required one that has no row is reported here."""
    for column in CAMPAIGN.columns:
        if column.required and column.name not in found.raw.columns:
            message = f"the setting {column.name} is missing"
            action = f"add a row {column.name} with the {column.description}"
            found.findings.append(place_problem(Problem("required_missing", message, action), found.raw.name))
            found.rows[0].faulty.add(column.name)
    return list(CAMPAIGN.columns)


def _unknown_setting(typed: str, known: list[str]) -> Problem:
    near = nearest(typed, known)
    message = f'the setting "{tidy(typed)}" is not known and is left out'
    action = f"did you mean {near}?" if near else f"settings are: {', '.join(known)}"
    return Problem("unknown_setting", message, action, "warning")


def _check_dates(found: SheetRows, figures: Figures) -> None:
    row = found.rows[0]
    start, end = row.day("start_date"), row.day("end_date")
    most_years = figures["check.most_campaign_years"]
    if start is None or end is None:
        return
    if end < start:
        message = f"end_date {end} lies before start_date {start}"
        found.report(row, "end_date", Problem("end_before_start", message, "swap or mend the dates"))
    elif end.year - start.year > most_years:
        message = f"the campaign from {start} to {end} is longer than {most_years:g} years"
        found.report(row, "end_date", Problem("campaign_too_long", message, "check the years"))


def _check_budgets(found: SheetRows) -> None:
    """A budget of nothing is taken at its word: it is not the same as no budget."""
    what = {"supplies_budget": "nothing can be bought", "staff_budget": "only unpaid hours can be planned"}
    for name, words in what.items():
        if found.rows[0].number(name) == 0:
            problem = Problem(
                "zero_budget", f"{name} is 0: {words}", "leave it empty where there is no limit", "warning"
            )
            found.report(found.rows[0], name, problem)


def _check_country(found: SheetRows) -> None:
    row = found.rows[0]
    country, start = row.text("country"), row.day("start_date")
    if country is None or start is None:
        return
    try:
        public_holidays(country, start, start)
    except NotImplementedError:
        message = f'the country "{country}" has no calendar of public holidays'
        action = (
            "write an ISO 3166 code such as GB or GB-SCT, or leave it empty and list closures as absences"
        )
        found.report(row, "country", Problem("unknown_country", message, action))


def _clean(row: Row) -> dict[str, Value]:
    named = {column.clean_name: row.values.get(column.name) for column in CAMPAIGN.columns}
    return {"campaign_name": named.pop("name"), **named}


def _setting_text(value: Value) -> str | None:
    if value is None:
        return None
    return f"{value:.15g}" if isinstance(value, float) else str(value)
