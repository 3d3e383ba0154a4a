"""The small pictures of this folder, from a plan: `python reports/make_pictures.py reports/demo`.

Renders pages of the plan's own files with LibreOffice and pdftoppm (both must be installed), so that what the README
shows is what the program makes.
"""

import os
import re
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

from PIL import Image, ImageChops, ImageOps

HERE = Path(__file__).parent
DOTS_PER_INCH = 88
GREYS = 16
EDGE_PIXELS = 14
MOST_BYTES = 150_000


@dataclass(frozen=True)
class Wanted:
    """A picture: its file, the plan's file it comes from, and words that only its page has."""

    name: str
    source: str
    words: str


PICTURES = (
    Wanted("cut_ticket.png", "work_orders.xlsx", r"Cut ticket P\d+[\s\S]*Off-cut|Cut ticket P\d+[\s\S]*keep"),
    Wanted(
        "bench_sheet.png",
        "work_orders.xlsx",
        r"(?=[\s\S]*take out old leaves)(?=[\s\S]*\d to \d)[\s\S]*Bench sheet \S+\s",
    ),
    Wanted("funder_page.png", "funder_report.docx", r"Table 2\."),
)


def main(plan: Path) -> None:
    """Write every picture. Raises ValueError when a page is not found or a picture is too large."""
    with tempfile.TemporaryDirectory() as scratch:
        pages = {source: _pages(plan / source, Path(scratch)) for source in {one.source for one in PICTURES}}
        for wanted in PICTURES:
            pdf, texts = pages[wanted.source]
            number = _page_of(wanted, texts)
            picture = _rendered(pdf, number, Path(scratch))
            _save(picture, HERE / wanted.name)
            print(f"{wanted.name}: page {number} of {wanted.source}")


def _pages(source: Path, scratch: Path) -> tuple[Path, list[str]]:
    """The file as PDF, and the text of each of its pages."""
    call = ["soffice", f"-env:UserInstallation=file://{scratch}/profile", "--headless", "--norestore"]
    call += ["--convert-to", "pdf", "--outdir", str(scratch), str(source)]
    subprocess.run(call, check=True, capture_output=True, timeout=600)
    pdf = scratch / f"{source.stem}.pdf"
    found = subprocess.run(
        ["pdftotext", "-layout", str(pdf), "-"], check=True, capture_output=True, text=True
    )
    return pdf, found.stdout.split("\f")


def _page_of(wanted: Wanted, texts: list[str]) -> int:
    for number, text in enumerate(texts, start=1):
        if re.search(wanted.words, text):
            return number
    raise ValueError(f"no page of {wanted.source} has {wanted.words}")


def _rendered(pdf: Path, number: int, scratch: Path) -> Image.Image:
    call = ["pdftoppm", "-r", str(DOTS_PER_INCH), "-f", str(number), "-l", str(number), "-gray", "-png"]
    stem = scratch / f"{pdf.stem}_{number}"
    subprocess.run([*call, "-singlefile", str(pdf), str(stem)], check=True, timeout=120)
    return Image.open(f"{stem}.png").convert("L")


def _save(picture: Image.Image, path: Path) -> None:
    """Cut off the blank margin, keep a few greys, and hold the size down."""
    box = ImageChops.invert(picture).getbbox()
    cropped = ImageOps.expand(picture.crop(box), EDGE_PIXELS, fill=255)
    ImageOps.expand(cropped, 1, fill=160).quantize(GREYS).save(path, optimize=True)
    if os.path.getsize(path) > MOST_BYTES:
        raise ValueError(f"{path.name} is larger than {MOST_BYTES} bytes")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
