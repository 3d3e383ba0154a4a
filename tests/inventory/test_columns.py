"""Names as people type them."""

import pytest

from pipeline.contracts.inventory_columns import SHEETS, headings
from pipeline.inventory.columns import (
    Heading,
    is_ignored_sheet,
    match_heading,
    match_sheet,
    nearest,
    nearest_heading,
    survey_columns,
)


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: sheet.name)
def test_every_canonical_name_matches_itself(sheet) -> None:  # type: ignore[no-untyped-def]
    assert match_sheet(sheet.name) == sheet.name
    for name in headings(sheet):
        assert match_heading(sheet.name, name) == Heading(name)


@pytest.mark.parametrize(
    "typed", ["Page Height", " page-height ", "PAGE_HEIGHT", "Page\u00a0height", "page_height*"]
)
def test_case_blanks_and_dashes_do_not_matter(typed: str) -> None:
    assert match_heading("Volumes", typed) == Heading("page_height")


@pytest.mark.parametrize(
    ("typed", "heading"),
    [
        ("Page height (cm)", Heading("page_height", "cm")),
        ("page_width in", Heading("page_width", "in")),
        ("Page width [inches]", Heading("page_width", "in")),
        ("existing leaf thickness (mm)", Heading("existing_leaf_thickness_um", "mm")),
        ("existing_leaf_thickness_um", Heading("existing_leaf_thickness_um")),
    ],
)
def test_a_length_heading_may_end_in_its_unit(typed: str, heading: Heading) -> None:
    assert match_heading("Volumes", typed) == heading


def test_only_lengths_carry_a_unit() -> None:
    assert match_heading("Volumes", "leaves (cm)") is None
    assert match_heading("Volumes", "remarks") is None


def test_count_columns_of_any_hazard_are_kept_for_the_check_to_judge() -> None:
    assert match_heading("Volumes", "Openings fastener") == Heading("openings_fastener")
    assert match_heading("Volumes", "openings_Red rot") == Heading("openings_red_rot")
    assert match_heading("Openings", "openings_red_rot") is None


def test_sheet_names_match_loosely() -> None:
    assert match_sheet(" volumes_") == "Volumes"
    assert match_sheet("Sheet1") == ""
    assert is_ignored_sheet("read me")


def test_the_nearest_known_name() -> None:
    assert nearest("laces", ["laced", "sewn"]) == "laced"
    assert nearest("zzz", ["laced", "sewn"]) == ""
    assert nearest_heading("Volumes", "page hight") == "page_height"


def test_custom_hazards_have_count_columns() -> None:
    assert survey_columns(["red_rot"]) == {"openingsredrot": "openings_red_rot"}
