"""Workbooks with one fault each, and the finding each must give. `python -m tests.fault_books FOLDER` writes them all.

Every book is the same small inventory (one row on every sheet) with one thing changed: a cell, a row, a sheet, or what
only a workbook has (merged cells, hidden rows, formulas without a stored result).
"""

import sys
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from openpyxl import Workbook, load_workbook

from tests import builders
from tests.checking import Tables, full_tables, put
from tests.stages.test_check_faults import CELL_FAULTS, PLACED_ELSEWHERE

Place = tuple[str, str, str]
"""Code, sheet and cell of a finding."""
SIX = [builders.volume(f"V-{number:03}", cover_width_mm=244.0) for number in range(1, 7)]


AWAY = {"staff_id": "T-2", "from": date(2027, 1, 1), "until": date(2028, 1, 1)}


@dataclass(frozen=True)
class FaultBook:
    """One workbook: its name, the finding it must give, and how it differs from the faultless one."""

    name: str
    finding: Place
    change: Callable[[Tables], object] | None = None
    dress: Callable[[Workbook], object] | None = None
    """What is done to the workbook itself, once its cells stand."""
    is_cell: bool = False
    """Whether one cell shows the fault, without the others."""

    def write(self, folder: Path) -> Path:
        """Write the workbook; its path."""
        tables = full_tables()
        if self.change is not None:
            self.change(tables)
        path = builders.write_tables(folder / f"{self.name}.xlsx", tables)
        if self.dress is not None:
            book = load_workbook(path)
            self.dress(book)
            book.save(path)
        return path


def _cell_books() -> list[FaultBook]:
    books = []
    for number, (sheet, heading, value, code, _) in enumerate(CELL_FAULTS, start=1):
        cell = put(full_tables(), sheet, heading, value)
        told_at = PLACED_ELSEWHERE.get(code) or PLACED_ELSEWHERE.get((code, str(value))) or cell

        def change(
            tables: Tables, sheet: str = sheet, heading: str = heading, value: object = value
        ) -> object:
            return put(tables, sheet, heading, value)

        books.append(
            FaultBook(
                f"cell_{number:02}_{sheet.lower()}_{heading}", (code, sheet, told_at), change, is_cell=True
            )
        )
    return books


def _add(sheet: str, **values: object) -> Callable[[Tables], object]:
    """A second row of a sheet, like the first but for these values."""

    def change(tables: Tables) -> None:
        head, first = tables[sheet][0], tables[sheet][1]
        row = dict(zip(head, first, strict=True)) | values
        tables[sheet].append([row[name] for name in head])

    return change


def _volumes(**values: object) -> Callable[[Tables], object]:
    """Six volumes, of which the sixth has other values."""

    def change(tables: Tables) -> None:
        rows = [*SIX[:5], SIX[5] | values]
        tables["Volumes"] = builders.inventory_tables(volumes=rows)["Volumes"]

    return change


def _rename(sheet: str, heading: str, name: str | None) -> Callable[[Tables], object]:
    def change(tables: Tables) -> None:
        head = tables[sheet][0]
        head[head.index(heading)] = name

    return change


def _without(sheet: str, heading: str) -> Callable[[Tables], object]:
    """A sheet without one of its columns."""

    def change(tables: Tables) -> None:
        index = tables[sheet][0].index(heading)
        for line in tables[sheet]:
            del line[index]

    return change


def _beside(sheet: str, heading: str, value: object) -> Callable[[Tables], object]:
    """A sheet with one column more, at its right."""

    def change(tables: Tables) -> None:
        tables[sheet][0].append(heading)
        tables[sheet][1].append(value)

    return change


def _sheet(was: str, name: str | None) -> Callable[[Tables], object]:
    """A sheet under another name; left out where there is none."""

    def change(tables: Tables) -> None:
        lines = tables.pop(was)
        if name:
            tables[name] = lines

    return change


def _extra_sheet(name: str, like: str = "Volumes") -> Callable[[Tables], object]:
    return lambda tables: tables.update({name: [list(line) for line in tables[like]]})


def _strata(in_all: int, *of: str | None) -> Callable[[Tables], object]:
    def change(tables: Tables) -> None:
        rows = [SIX[number] | {"stratum": stratum} for number, stratum in enumerate(of)]
        tables["Volumes"] = builders.inventory_tables(volumes=rows)["Volumes"]
        tables["Strata"] = [["stratum", "volumes_in_all"], ["thin", in_all]]

    return change


def _append(sheet: str, *line: object) -> Callable[[Tables], object]:
    return lambda tables: tables[sheet].append(list(line))


def _merged_titles(book: Workbook) -> None:
    """Two rows whose collection is one merged cell."""
    sheet = book["Volumes"]
    for column, value in enumerate([cell.value for cell in sheet[2]], start=1):
        sheet.cell(3, column).value = value
    sheet["A3"] = "V-002"
    sheet["B3"] = None
    sheet.merge_cells("B2:B3")


def _hide_row(book: Workbook) -> None:
    book["Volumes"].row_dimensions[2].hidden = True


def _hide_sheet(book: Workbook) -> None:
    book["Stock"].sheet_state = "hidden"


def _hide_deeply(book: Workbook) -> None:
    book["Rates"].sheet_state = "veryHidden"


def _set(sheet: str, cell: str, value: object) -> Callable[[Workbook], object]:
    def dress(book: Workbook) -> None:
        book[sheet][cell] = value

    return dress


STRUCTURE_BOOKS = [
    FaultBook("no_campaign", ("sheet_missing", "Campaign", ""), _sheet("Campaign", None)),
    FaultBook("no_volumes", ("sheet_missing", "Volumes", ""), _sheet("Volumes", None)),
    FaultBook("no_stock", ("sheet_missing", "Stock", ""), _sheet("Stock", None)),
    FaultBook("no_staff", ("starter_set", "Staff", ""),
              lambda tables: (tables.pop("Staff"), tables.pop("Absences"))),
    FaultBook("sheet_misspelt", ("unknown_sheet", "Enclosurs", ""), _sheet("Enclosures", "Enclosurs")),
    FaultBook("sheet_twice", ("duplicate_sheet", "Volume list", ""), _extra_sheet("Volume list")),
    FaultBook("sheet_of_headings", ("sheet_empty", "Stock", ""), lambda tables: tables["Stock"].pop()),
    FaultBook("column_missing", ("column_missing", "Volumes", "A1"), _without("Volumes", "binding")),
    FaultBook("column_misspelt", ("unknown_column", "Volumes", "C1"), _rename("Volumes", "title", "titel")),
    FaultBook("column_twice", ("duplicate_column", "Volumes", "AC1"), _beside("Volumes", "leaves", 40)),
    FaultBook("column_headless", ("heading_missing", "Volumes", "C2"),
              lambda tables: (_rename("Volumes", "title", None)(tables), tables["Volumes"][1].__setitem__(2, "x"))),
    FaultBook("hazard_misspelt", ("unknown_hazard_column", "Volumes", "AB1"),
              _rename("Volumes", "openings_fastener", "openings_fastner")),
    FaultBook("merged_rows", ("merged_cells", "Volumes", "B2"), dress=_merged_titles),
    FaultBook("hidden_row", ("hidden_rows", "Volumes", "A2"), dress=_hide_row),
    FaultBook("hidden_sheet", ("hidden_sheet", "Stock", ""), dress=_hide_sheet),
    FaultBook("deeply_hidden_sheet", ("hidden_sheet", "Rates", ""), dress=_hide_deeply),
    FaultBook("formula", ("formula_without_value", "Volumes", "G2"), dress=_set("Volumes", "G2", "=20*2")),
    FaultBook("formula_id", ("formula_without_value", "Volumes", "A2"),
              lambda tables: tables.pop("Openings") and tables.pop("Decisions"), _set("Volumes", "A2", '="V-"&1')),
    FaultBook("error_of_a_look_up", ("error_cell", "Stock", "H2"), dress=_set("Stock", "H2", "#N/A")),
    FaultBook("error_of_a_name", ("error_cell", "Staff", "C2"), dress=_set("Staff", "C2", "#NAME?")),
    FaultBook("control_character", ("control_character", "Volumes", "C2"),
              lambda tables: put(tables, "Volumes", "title", "a\x7fb")),
    FaultBook("setting_twice", ("duplicate_setting", "Campaign", "A18"), _append("Campaign", "currency", "EUR")),
    FaultBook("setting_unknown", ("unknown_setting", "Campaign", "A18"), _append("Campaign", "budgit", 5)),
    FaultBook("totals", ("totals_row", "Volumes", "A3"), _append("Volumes", "Total", None, None, None, None, None, 40)),
    FaultBook("totals_of_stock", ("totals_row", "Stock", "A3"), _append("Stock", "Sum", None, None, None)),
]  # fmt: skip
ACROSS_BOOKS = [
    FaultBook("unit_inches", ("unit_suspected", "Volumes", "F7"), _volumes(page_height_mm=11.75)),
    FaultBook("unit_cm", ("unit_suspected", "Volumes", "E7"), _volumes(page_width_mm=24)),
    FaultBook("unit_spine", ("unit_suspected", "Volumes", "K7"), _volumes(spine_thickness_mm=0.8)),
    FaultBook("id_twice", ("duplicate_id", "Volumes", "A3"), _add("Volumes")),
    FaultBook("id_case", ("id_look_alike", "Volumes", "A3"), _add("Volumes", volume_id="v-001")),
    FaultBook("id_blank", ("id_look_alike", "Volumes", "A3"), _add("Volumes", volume_id="V 001")),
    FaultBook("id_padding", ("id_look_alike", "Enclosures", "A3"), _add("Enclosures", enclosure_id="E-01")),
    FaultBook("id_of_staff", ("id_look_alike", "Staff", "A3"), _add("Staff", staff_id="t-1")),
    FaultBook("stock_twice", ("duplicate_id", "Stock", "A3"), _add("Stock")),
    FaultBook("unknown_volume", ("unknown_volume", "Openings", "A3"), _add("Openings", volume_id="V-009")),
    FaultBook("unknown_paper", ("unknown_paper", "Stock", "B3"), _add("Stock", stock_id="S-2", paper_id="Q")),
    FaultBook("unknown_staff", ("unknown_staff", "Absences", "A3"), _add("Absences", staff_id="X-7")),
    FaultBook("unknown_stratum", ("unknown_stratum", "Volumes", "AB4"), _strata(9, "thin", "thin", "thikk")),
    FaultBook("stratum_small", ("stratum_too_small", "Strata", "B2"), _strata(1, "thin", "thin")),
    FaultBook("stratum_one", ("stratum_unsampled", "Strata", "B2"), _strata(9, "thin")),
    FaultBook("stratum_none", ("stratum_missing", "Volumes", "A4"), _strata(9, "thin", "thin", None)),
    FaultBook("opening_beyond", ("opening_out_of_range", "Openings", "B3"), _add("Openings", openings="41")),
    FaultBook("row_doubled", ("doubled_row", "Openings", "A3"), _add("Openings")),
    FaultBook("contents_differ", ("content_differs", "Openings", "D3"),
              _add("Openings", hazards="fastener", left="manuscript")),
    FaultBook("decisions_clash", ("decisions_clash", "Decisions", "C3"), _add("Decisions", decision="never")),
    FaultBook("page_too_large", ("page_larger_than_stock", "Volumes", "F2"),
              lambda tables: put(tables, "Volumes", "page_height", 1800)),
    FaultBook("paper_unsold", ("paper_without_stock", "Papers", "A3"), _add("Papers", paper_id="Q-7")),
    FaultBook("nobody", ("nobody_has_skill", "Staff", ""),
              lambda tables: (put(tables, "Staff", "skill", "technician"),
                              put(tables, "Volumes", "skill", "conservator"))),
    FaultBook("late_person", ("person_outside_campaign", "Staff", "E3"),
              _add("Staff", staff_id="T-2", **{"from": date(2029, 1, 1)})),
    FaultBook("late_delivery", ("delivery_after_end", "Stock", "I2"),
              lambda tables: put(tables, "Stock", "lead_days", 900)),
    FaultBook("late_absence", ("absence_outside_campaign", "Absences", "B3"),
              _add("Absences", **{"from": date(2029, 1, 1), "until": date(2029, 1, 5)})),
    FaultBook("never_there", ("never_at_work", "Staff", "A3"),
              lambda tables: (_add("Staff", staff_id="T-2")(tables), _add("Absences", **AWAY)(tables))),
]  # fmt: skip
FAULT_BOOKS = [*_cell_books(), *STRUCTURE_BOOKS, *ACROSS_BOOKS]
LEAST_BOOKS = 80


if __name__ == "__main__":
    target = Path(sys.argv[1])
    target.mkdir(parents=True, exist_ok=True)
    for fault_book in FAULT_BOOKS:
        code, told_sheet, told_cell = fault_book.finding
        print(f"{fault_book.write(target).name}: {code} at {told_sheet}{'!' if told_cell else ''}{told_cell}")
