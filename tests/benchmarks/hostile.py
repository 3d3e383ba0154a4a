"""`python -m tests.benchmarks.hostile`: checks hostile files and prints what became of each, in what time and memory.

Each file is checked in a process of its own, so that its peak memory is its own. Making the files takes some seconds.
"""

import json
import resource
import subprocess
import sys
import tempfile
import time
import zipfile
from collections.abc import Callable, Iterator
from datetime import date, datetime
from pathlib import Path

from pipeline.errors import GuardleafError
from pipeline.plan import check_only
from pipeline.settings import Settings
from tests import builders

SHEET = "xl/worksheets/sheet2.xml"
"""The sheet Volumes of a made inventory."""
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
OPEN = f'<worksheet xmlns="{MAIN}"><sheetData>'.encode()
CLOSE = b"</sheetData></worksheet>"
HEADING = b'<row r="1"><c r="A1" t="inlineStr"><is><t>volume_id</t></is></c></row>'
MILLION = 1_048_576
BILLION_LAUGHS = "".join(
    [
        '<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a0 "ha">',
        *(f'<!ENTITY a{level} "{f"&a{level - 1};" * 10}">' for level in range(1, 10)),
        f']><worksheet xmlns="{MAIN}"><sheetData><row r="1"><c r="A1" t="inlineStr"><is><t>&a9;</t></is></c></row>',
        "</sheetData></worksheet>",
    ]
).encode()
OUTSIDE_ENTITY = (
    '<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/hostname">]>'
    f'<worksheet xmlns="{MAIN}"><sheetData><row r="1"><c r="A1" t="inlineStr"><is><t>&a;</t></is></c></row>'
    "</sheetData></worksheet>"
).encode()
LINK = (
    b'<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" \
Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/externalLinkPath" \
Target="http://192.0.2.1/other.xlsx" TargetMode="External"/></Relationships>'
)
"""Its address is one set aside for documents (RFC 5737): nothing answers there, and asking would take its time."""
Parts = Iterator[bytes]


def with_part(folder: Path, part: str, chunks: Parts) -> Path:
    """A valid inventory of which one part is these bytes."""
    path = builders.inventory(folder / "valid.xlsx")
    target = folder / "hostile.xlsx"
    with zipfile.ZipFile(path) as valid, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as package:
        for name in valid.namelist():
            if name != part:
                package.writestr(name, valid.read(name))
        with package.open(part, "w", force_zip64=True) as file:
            for chunk in chunks:
                file.write(chunk)
    return target


def zip_bomb(folder: Path) -> Path:
    return with_part(folder, SHEET, (bytes(1 << 20) for _ in range(1500)))


def entities(folder: Path) -> Path:
    return with_part(folder, SHEET, iter([BILLION_LAUGHS]))


def outside_entity(folder: Path) -> Path:
    return with_part(folder, SHEET, iter([OUTSIDE_ENTITY]))


def _cells(first_row: int, last_row: int, columns: int) -> Parts:
    for row in range(first_row, last_row + 1):
        yield b'<row r="%d">' % row + b"<c><v>1</v></c>" * columns + b"</row>"


def million_rows(folder: Path) -> Path:
    return with_part(folder, SHEET, iter([OPEN, HEADING, *_cells(2, MILLION, 1), CLOSE]))


def all_that_is_read(folder: Path) -> Path:
    """The most cells that are still read, in the most rows."""
    return with_part(folder, SHEET, iter([OPEN, HEADING, *_cells(2, 249_000, 6), CLOSE]))


def huge_sheet(folder: Path) -> Path:
    return with_part(folder, SHEET, iter([OPEN, *_cells(1, 100_000, 100), CLOSE]))


def many_texts(folder: Path) -> Path:
    head = b'<sst xmlns="%s">' % MAIN.encode()
    return with_part(
        folder, "xl/sharedStrings.xml", iter([head, *(b"<si/>" * 100_000 for _ in range(200)), b"</sst>"])
    )


def merged_sheet(folder: Path) -> Path:
    merged = b'</sheetData><mergeCells><mergeCell ref="A1:XFD1048576"/></mergeCells></worksheet>'
    return with_part(folder, SHEET, iter([OPEN, HEADING, merged]))


def far_cell(folder: Path) -> Path:
    far = b'<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>'
    return with_part(folder, SHEET, iter([OPEN, HEADING, far, CLOSE]))


def deep_nesting(folder: Path) -> Path:
    return with_part(folder, SHEET, iter([OPEN, b"<a>" * 1_000_000, b"</a>" * 1_000_000, CLOSE]))


def external_link(folder: Path) -> Path:
    return with_part(folder, "xl/externalLinks/_rels/externalLink1.xml.rels", iter([LINK]))


def outward_path(folder: Path) -> Path:
    return with_part(folder, "../../outside.xml", iter([b"<x/>"]))


def formula_texts(folder: Path) -> Path:
    """Identifiers that are formulas, commands and ways out of a folder, as text."""
    names = ('=cmd|"/c calc"!A1', "+1+1", "@SUM(A1)", "../../etc/passwd", "CON", "a\x1b[31mred")
    return builders.inventory(
        folder / "hostile", volumes=[builders.volume(name) for name in names], openings=None
    )


def million_csv_rows(folder: Path) -> Path:
    path = builders.inventory(folder / "hostile")
    with (path / "Volumes.csv").open("a", encoding="utf-8") as file:
        file.writelines(f"W-{number},C\n" for number in range(MILLION))
    return path


def large_csv(folder: Path) -> Path:
    path = builders.inventory(folder / "hostile")
    with (path / "Volumes.csv").open("ab") as file:
        file.truncate(201_000_000)
    return path


FILES: tuple[Callable[[Path], Path], ...] = (
    zip_bomb, entities, outside_entity, million_rows, huge_sheet, many_texts, all_that_is_read, merged_sheet, far_cell,
    deep_nesting, external_link, outward_path, formula_texts, million_csv_rows, large_csv,
)  # fmt: skip


def measure(path: Path) -> dict[str, object]:
    """Check one file in this process."""
    settings = Settings(
        inventory=path, out=path.parent / "plan", as_of=date(2027, 1, 4), planned_at=datetime(2027, 1, 4, 9)
    )
    started = time.perf_counter()
    try:
        found = check_only(settings)
        codes = sorted({finding.code for finding in found if finding.level == "error"})
        outcome = f"read; {len(found)} findings{': ' if codes else ''}{', '.join(codes[:3])}"
    except GuardleafError as error:
        outcome = "refused: " + str(error).replace(str(path), "it")
    seconds = time.perf_counter() - started
    peak_mib = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return {"seconds": seconds, "peak_mib": peak_mib, "outcome": outcome}


def main() -> None:
    """Print the table: one row per file."""
    print("| file | its size, MB | seconds | peak MiB | what became of it |")
    print("| --- | --- | --- | --- | --- |")
    for make in FILES:
        with tempfile.TemporaryDirectory() as folder:
            path = make(Path(folder))
            files = list(path.iterdir()) if path.is_dir() else [path]
            size = sum(file.stat().st_size for file in files) / 1e6
            command = [sys.executable, "-m", "tests.benchmarks.hostile", str(path)]
            done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=600)
            if done.returncode:
                print(
                    f"| {make.__name__} | {size:.1f} | | | crashed: {done.stderr.strip().splitlines()[-1]} |"
                )
                continue
            row = json.loads(done.stdout)
            figures = f"{row['seconds']:.1f} | {row['peak_mib']:.0f}"
            print(f"| {make.__name__} | {size:.1f} | {figures} | {row['outcome'][:140]} |", flush=True)


if __name__ == "__main__":
    if len(sys.argv) > 1:
        print(json.dumps(measure(Path(sys.argv[1]))))
    else:
        main()
