"""What is planned otherwise than the inventory and the policy say: another end, budget, person or clearance.

The cells of the inventory as typed are changed in memory before they are checked, so that what is asked for is judged
like the inventory itself; each change leaves a note among the findings. The file is never written to.
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import polars as pl

from pipeline.contracts import TABLES
from pipeline.errors import Finding
from pipeline.frames import Frames
from pipeline.inventory.columns import match_sheet, plain
from pipeline.inventory.findings import finding_rows
from pipeline.inventory.parse import CellText
from pipeline.inventory.raw import RawColumn, RawSheet
from pipeline.inventory.sheets import MOST_COLUMN_NO, address
from pipeline.policy.load import Policy, load_policy, with_figures
from pipeline.settings import MorePerson, Settings, WhatIf

CODE = "what_if"
"""Code of the note that each change leaves."""
CLEARANCE = "size.most_clearance_mm"
CLEARANCE_OPTION = "--greatest-clearance"
ADDED_ID = "added"
KEEP = "write it into the inventory to keep it"
Row = dict[str, object]


def policy_for(settings: Settings) -> Policy:
    """The effective policy of a run, the greatest clearance asked for included.

    Raises InventoryRefusedError when the lab's file or the clearance may not be so.
    """
    policy = load_policy(settings.policy)
    clearance = settings.what_if.greatest_clearance_mm
    if clearance is None:
        return policy
    return with_figures(policy, {CLEARANCE: clearance}, source=CLEARANCE_OPTION)


def planned_otherwise(typed: Frames, settings: Settings) -> Frames:
    """The raw tables with the changes asked for in their place, and a note for each in raw.findings."""
    what_if = settings.what_if
    if what_if == WhatIf():
        return typed
    cells = _Cells(typed)
    findings = [*_settings_changed(cells, what_if), *_people_added(cells, what_if.more_people)]
    if what_if.greatest_clearance_mm is not None:
        was = load_policy(settings.policy).number(CLEARANCE)
        words = f"greatest clearance {what_if.greatest_clearance_mm:g} mm instead of {was:g} mm"
        findings.append(
            _note("policy", "", words, f"write {CLEARANCE} into the lab's policy file to keep it")
        )
    return cells.frames() | {
        "raw.findings": pl.concat([typed["raw.findings"], finding_rows(findings)]),
    }


@dataclass(frozen=True)
class _Place:
    """A sheet as the file calls it, and a field's column there."""

    sheet: str
    column_no: int


class _Cells:
    """The raw tables as they are being changed."""

    def __init__(self, typed: Frames) -> None:
        self._typed = typed
        self._headers: list[Row] = typed["raw.headers"].to_dicts()
        self._cells: list[Row] = typed["raw.cells"].to_dicts()

    def frames(self) -> Frames:
        """The raw tables, changed."""
        cells = TABLES["raw.cells"]
        return self._typed | {
            "raw.headers": TABLES["raw.headers"].frame(self._headers),
            "raw.cells": cells.frame(self._cells).sort(cells.key),
        }

    def sheet(self, name: str) -> str | None:
        """What the file calls one of our sheets; None where it has no such sheet with headings."""
        headed = {str(row["sheet"]) for row in self._headers}
        known_as = dict(self._typed["raw.sheets"].sort("sheet").select("sheet", "known_as").iter_rows())
        own = (sheet for sheet, known in known_as.items() if (known or match_sheet(sheet)) == name)
        return next((sheet for sheet in own if sheet in headed), None)

    def rows(self, sheet: str) -> dict[int, dict[str, Row]]:
        """Filled cells of a sheet by row number and field."""
        found: dict[int, dict[str, Row]] = {}
        for cell in self._cells:
            if cell["sheet"] == sheet:
                found.setdefault(int(str(cell["row_no"])), {})[str(cell["field"])] = cell
        return dict(sorted(found.items()))

    def next_row(self, sheet: str) -> int:
        """The first row below all that is filled."""
        return max(self.rows(sheet), default=1) + 1

    def put(self, sheet: str, row_no: int, field: str, cell: tuple[str, str]) -> str:
        """Fill a cell with a kind and a text; its address. A missing column is added at the right."""
        column_no = self._column(sheet, field)
        self.clear(sheet, row_no, field)
        place = address(row_no, column_no)
        row: Row = {"sheet": sheet, "row_no": row_no, "column_no": column_no, "cell": place, "field": field}
        self._cells.append(row | {"cell_kind": cell[0], "text": cell[1]})
        return place

    def clear(self, sheet: str, row_no: int, field: str) -> None:
        """Empty a cell."""
        key = (sheet, row_no, field)
        self._cells = [cell for cell in self._cells if (cell["sheet"], cell["row_no"], cell["field"]) != key]

    def _column(self, sheet: str, field: str) -> int:
        headed = [row for row in self._headers if row["sheet"] == sheet]
        for row in headed:
            if row["field"] == field:
                return int(str(row["column_no"]))
        typed = [no for row in headed if (no := int(str(row["column_no"]))) < MOST_COLUMN_NO]
        column_no = max(typed, default=0) + 1
        self._headers.append(
            {
                "sheet": sheet,
                "column_no": column_no,
                "cell": address(1, column_no),
                "header": field,
                "field": field,
            }
        )
        return column_no


def _settings_changed(cells: _Cells, what_if: WhatIf) -> Iterator[Finding]:
    """Campaign settings that are asked for take the place of the typed ones."""
    asked: list[tuple[str, tuple[str, str] | None]] = []
    if what_if.end_date is not None:
        asked.append(("end_date", ("date", what_if.end_date.isoformat())))
    for name, budget in (
        ("supplies_budget", what_if.supplies_budget),
        ("staff_budget", what_if.staff_budget),
    ):
        if budget is not None:
            asked.append((name, None if math.isinf(budget) else ("number", f"{budget:.15g}")))
    sheet = cells.sheet("Campaign")
    if sheet is None:
        return  # the check says that the sheet is missing
    for name, cell in asked:
        yield _changed(cells, sheet, name, cell)


def _changed(cells: _Cells, sheet: str, name: str, cell: tuple[str, str] | None) -> Finding:
    """The setting changed (None: emptied), and the note that says so."""
    rows = cells.rows(sheet)
    row_no = next(
        (
            no
            for no, row in rows.items()
            if "setting" in row and plain(str(row["setting"]["text"])) == plain(name)
        ),
        None,
    )
    typed = rows[row_no].get("value") if row_no is not None else None
    was = str(typed["text"]) if typed else "none"
    if row_no is None:
        row_no = cells.next_row(sheet)
        cells.put(sheet, row_no, "setting", ("text", name))
    if cell is None:
        cells.clear(sheet, row_no, "value")
        place = str(typed["cell"]) if typed else ""
    else:
        place = cells.put(sheet, row_no, "value", cell)
    return _note(sheet, place, f"{name} {cell[1] if cell else 'none'} instead of {was}", KEEP)


def _people_added(cells: _Cells, people: tuple[MorePerson, ...]) -> Iterator[Finding]:
    """A row of Staff for each more person, like the first person of that skill where nothing else is said."""
    sheet = cells.sheet("Staff")
    if sheet is None:
        return  # the starters stand in, and stage 02 adds to them; or the check says that the sheet is missing
    for person in people:
        rows = cells.rows(sheet)
        like = next(
            (
                row
                for row in rows.values()
                if "skill" in row and plain(str(row["skill"]["text"])) == person.skill
            ),
            {},
        )
        if person.hours_per_week is None and "hours_per_week" not in like:
            yield _nobody_like(sheet, person)
            continue
        yield _added(cells, sheet, person, like)


def starters_with(staff: RawSheet, people: tuple[MorePerson, ...]) -> tuple[RawSheet, list[Finding]]:
    """The starter staff with a row for each more person, and the note that says so; they have no addresses."""
    columns = {name: dict(column.cells) for name, column in staff.columns.items()}
    findings: list[Finding] = []
    for number, person in enumerate(people, start=1):
        skills = columns.get("skill", {})
        row_no = next((no for no, cell in skills.items() if plain(cell[1]) == person.skill), 0)
        like = {name: cells[row_no] for name, cells in columns.items() if row_no in cells}
        filled = _filled(f"{ADDED_ID}-{number}", person, like)
        if "hours_per_week" not in filled:
            findings.append(_nobody_like(staff.name, person))
            continue
        added_no = max(columns["staff_id"], default=0) + 1
        for name, cell in filled.items():
            columns.setdefault(name, {})[added_no] = cell
        findings.append(_person_note(staff.name, "", person, filled))
    raw = {name: RawColumn("", "", "", cells) for name, cells in columns.items()}
    return RawSheet(staff.name, staff.is_read, raw), findings


def _added(cells: _Cells, sheet: str, person: MorePerson, like: dict[str, Row]) -> Finding:
    row_no = cells.next_row(sheet)
    staff_id = _free_id(cells, sheet)
    typed = {field: (str(cell["cell_kind"]), str(cell["text"])) for field, cell in like.items()}
    filled = _filled(staff_id, person, typed)
    places = {field: cells.put(sheet, row_no, field, cell) for field, cell in filled.items()}
    return _person_note(sheet, places["staff_id"], person, filled)


def _filled(staff_id: str, person: MorePerson, like: Mapping[str, CellText]) -> dict[str, CellText]:
    """Cells of one more person: hours, days and pay of the one it is like, where nothing else is said."""
    filled = {name: cell for name, cell in like.items() if name in ("hours_per_week", "days", "hourly_rate")}
    filled |= {"staff_id": ("text", staff_id), "skill": ("text", person.skill)}
    if person.hours_per_week is not None:
        filled["hours_per_week"] = ("number", f"{person.hours_per_week:.15g}")
    if person.hourly_rate is not None:
        filled["hourly_rate"] = ("number", f"{person.hourly_rate:.15g}")
    return filled


def _person_note(sheet: str, cell: str, person: MorePerson, filled: Mapping[str, CellText]) -> Finding:
    hours, staff_id = filled["hours_per_week"][1], filled["staff_id"][1]
    words = f"one more {person.skill}, {staff_id}, {hours} hours a week from the first day to the last"
    return _note(sheet, cell, words, KEEP)


def _free_id(cells: _Cells, sheet: str) -> str:
    taken = {str(row["staff_id"]["text"]) for row in cells.rows(sheet).values() if "staff_id" in row}
    number = 1
    while f"{ADDED_ID}-{number}" in taken:
        number += 1
    return f"{ADDED_ID}-{number}"


def _nobody_like(sheet: str, person: MorePerson) -> Finding:
    return Finding(
        code="what_if_nobody_like",
        level="error",
        sheet=sheet,
        message=f"nobody here is a {person.skill} whose hours one more {person.skill} could have",
        action=f"say the hours a week and the pay an hour too: --one-more {person.skill}:20:25",
    )


def _note(sheet: str, cell: str, words: str, action: str) -> Finding:
    return Finding(
        code=CODE,
        level="note",
        sheet=sheet,
        cell=cell,
        message=f"what if: planned with {words}",
        action=action,
    )
