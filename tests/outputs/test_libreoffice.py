"""An independent program opens, recalculates and saves every workbook: no error, every formula as stored."""

import shutil
import subprocess
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter

SOFFICE = shutil.which("soffice")
WORKBOOKS = ("work_orders.xlsx", "material_totals.xlsx", "funder_report.xlsx")
ALWAYS_RECALCULATE = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema"
 xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode" oor:op="fuse">
<value>0</value></prop></item>
</oor:items>
"""
pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(
        SOFFICE is None, reason="LibreOffice (soffice) is not installed: nothing recalculates the workbooks"
    ),
]


@pytest.fixture(scope="module")
def profile(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A profile that recalculates every formula on loading; the default one trusts what is stored."""
    path = tmp_path_factory.mktemp("profile")
    (path / "user").mkdir()
    (path / "user" / "registrymodifications.xcu").write_text(ALWAYS_RECALCULATE, encoding="utf-8")
    return path


def _recalculated(source: Path, out: Path, profile: Path, kind: str = "xlsx:Calc MS Excel 2007 XML") -> Path:
    call = [str(SOFFICE), f"-env:UserInstallation=file://{profile}", "--headless", "--norestore"]
    call += ["--convert-to", kind, "--outdir", str(out), str(source)]
    subprocess.run(call, check=True, capture_output=True, timeout=120)
    made = out / f"{source.stem}.{kind.partition(':')[0]}"
    assert made.exists(), f"{source.name} was not converted"
    return made


def _differences(stored: Path, again: Path) -> list[str]:
    """Cells whose recalculated value is an error, missing, or not the stored one."""
    formulas = openpyxl.load_workbook(stored)
    before, after = (openpyxl.load_workbook(path, data_only=True) for path in (stored, again))
    found = []
    for sheet in formulas:
        for row in sheet.iter_rows():
            for cell in row:
                new = after[sheet.title][cell.coordinate]
                old = before[sheet.title][cell.coordinate].value
                is_formula = cell.data_type == "f"
                if new.data_type == "e" or (is_formula and new.value != pytest.approx(old, abs=1e-6)):
                    found.append(f"{sheet.title}!{cell.coordinate}: {old} became {new.value}")
    return found


def test_a_wrong_stored_value_is_caught(tmp_path: Path, profile: Path) -> None:
    path = tmp_path / "wrong.xlsx"
    with xlsxwriter.Workbook(str(path)) as book:
        sheet = book.add_worksheet("one")
        sheet.write_number("A1", 2)
        sheet.write_formula("A2", "=A1*2", None, 99)
        sheet.write_formula("A3", "=1/0", None, 5)
    found = _differences(path, _recalculated(path, tmp_path / "re", profile))
    assert [text.partition(":")[0] for text in found] == ["one!A2", "one!A3"]


@pytest.mark.parametrize("name", WORKBOOKS)
def test_recalculation_changes_nothing(folder: Path, tmp_path: Path, profile: Path, name: str) -> None:
    assert _differences(folder / name, _recalculated(folder / name, tmp_path, profile)) == []


def test_the_document_opens(folder: Path, tmp_path: Path, profile: Path) -> None:
    made = _recalculated(folder / "funder_report.docx", tmp_path, profile, "pdf")
    assert made.stat().st_size > 10_000
