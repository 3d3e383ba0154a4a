"""What `reports/` shows: small grey pictures, each with its words, each used by a page."""

import re
from pathlib import Path

import pytest
from PIL import Image

ROOT = Path(__file__).parents[2]
REPORTS = ROOT / "reports"
PICTURES = sorted(REPORTS.glob("*.png"))


def test_there_are_pictures_of_the_three_pages_people_ask_for() -> None:
    assert [path.name for path in PICTURES] == ["bench_sheet.png", "cut_ticket.png", "funder_page.png"]


@pytest.mark.parametrize("path", PICTURES, ids=lambda path: path.name)
def test_a_picture_is_small_and_legible(path: Path) -> None:
    assert path.stat().st_size < 150_000
    image = Image.open(path).convert("L")
    assert min(image.size) > 500
    darkest, lightest = image.getextrema()
    assert darkest < 60
    assert lightest == 255


@pytest.mark.parametrize("page", ["README.md", "reports/README.md"])
def test_pages_show_every_picture_with_its_words(page: str) -> None:
    text = (ROOT / page).read_text(encoding="utf-8")
    shown = dict(re.findall(r"!\[([^\]]+)\]\(([^)]+\.png)\)", text))
    described = {place: words for words, place in shown.items()}
    described |= {place: words for place, words in re.findall(r'<img src="([^"]+)"[^>]*alt="([^"]+)"', text)}
    assert {Path(place).name for place in described} == {path.name for path in PICTURES}
    assert all(len(words) > 30 for words in described.values())
    assert all(((ROOT / page).parent / place).exists() for place in described)


def test_every_output_is_explained() -> None:
    text = (REPORTS / "README.md").read_text(encoding="utf-8")
    for name in (
        "work_orders.xlsx",
        "material_totals.xlsx",
        "funder_report.xlsx",
        "funder_report.docx",
        "plan.duckdb",
    ):
        assert f"`{name}`" in text, name
