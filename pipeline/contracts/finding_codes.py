"""The register of finding codes: stable names that other programs and tests rely on, each with what it means.

A code is never reused for something else; one that is given up is left out.
"""

from collections.abc import Iterator

FINDING_CODES: dict[str, str] = {
    # the file, its sheets and headings
    "open_elsewhere": "the inventory is open in another program; unsaved changes are not seen",
    "sheet_missing": "a sheet that must be there is missing",
    "sheet_absent": "a sheet is not there; the policy's figures stand in for it",
    "starter_set": "no sheet of papers, stock or staff: planned with the policy's generic starters",
    "sheet_empty": "a sheet that needs rows has none",
    "duplicate_sheet": "two sheets mean the same",
    "unknown_sheet": "a sheet that is not the inventory's, left out",
    "hidden_sheet": "a hidden sheet, read like any other",
    "hidden_rows": "hidden or filtered rows, read like any other",
    "merged_cells": "merged cells, read as the same value in each row",
    "column_missing": "a column without which a sheet cannot be read is missing",
    "duplicate_column": "a column is there twice",
    "unknown_column": "a heading that is not known; the column is left out",
    "unknown_hazard_column": "a count column of a hazard that the policy does not know",
    "heading_missing": "cells under no heading, left out",
    "totals_row": "a row that adds up the others, left out",
    "example_row": "a row of the template's examples is still there",
    # the column file and the policy file
    "columns_not_toml": "the column file is not TOML",
    "columns_unknown_name": "the column file names a sheet, column or part that is not known",
    "columns_bad_value": "a value of the column file that cannot be read",
    "columns_not_found": "the column file names a sheet or heading that the inventory does not have",
    "policy_not_toml": "the policy file is not TOML",
    "policy_unknown_key": "the policy file has a key that is not known",
    "policy_bad_value": "a policy figure out of bounds or of the wrong kind",
    "policy_gap": "a policy table with a part missing",
    # single cells
    "required_missing": "a cell that must be filled is empty",
    "unknown_word": "a word that is none of the column's; the nearest is offered",
    "not_a_number": "no number",
    "not_whole": "a number that is not whole",
    "number_ambiguous": "a number that may have a decimal or a thousands mark",
    "number_out_of_range": "a number below or above what can be",
    "unit_missing": "a fraction without its unit",
    "unit_suspected": "a length many times more or less than the others of its column, and like them in another unit",
    "unknown_unit": "a length in a unit other than mm, cm, in",
    "not_a_date": "no date",
    "days_unclear": "no list of weekdays",
    "openings_unclear": "no opening number or range",
    "opening_named_twice": "one cell names an opening twice",
    "became_date": "a cell that the spreadsheet turned into a date",
    "error_cell": "a cell that holds an error such as #N/A",
    "formula_without_value": "a formula whose result is not stored in the file",
    "control_character": "a character that cannot be shown",
    "side_ignored": "a side given with a hazard that has none",
    "unknown_country": "a country without a calendar of public holidays",
    # one row
    "end_before_start": "a period that ends before it starts",
    "campaign_too_long": "a campaign of too many years",
    "zero_budget": "a budget of 0, taken at its word",
    "duplicate_setting": "a campaign setting that is there twice",
    "unknown_setting": "a campaign setting that is not known",
    "page_implausible": "a page smaller than any",
    "wedge_implausible": "spine and fore edge that no closed volume has",
    "thickness_implausible": "leaves too thin or too thick for the thickness of the volume",
    "leaf_thickness_missing": "old leaves counted without their thickness",
    "cover_smaller_than_page": "a cover smaller than its page",
    "too_many_openings": "more openings than the volume has",
    "count_below_rows": "a quick-survey count below what the rows of Openings say",
    "counts_overlaid": "quick-survey counts laid onto the same openings, since the volume has too few",
    "count_differs": "a count that differs from the openings listed beside it",
    "density_implausible": "a paper's thickness and grammage that do not go together",
    "ph_implausible": "a buffered paper with a low pH",
    "price_is_zero": "a price of 0",
    "roll_grain": "a roll whose grain is said to run across it",
    "trim_too_large": "a trim that leaves nothing of the sheet",
    "day_too_long": "weekly hours that make impossible days",
    "never_at_work": "a person without a working day in the campaign",
    "rate_order": "minutes that do not lie between low and high",
    "rates_of_policy": "tasks whose minutes come from the policy",
    # across rows and sheets
    "duplicate_id": "an identifier that an earlier row has",
    "id_look_alike": "an identifier that differs from an earlier one in case, blanks, hyphens or zero padding only",
    "unknown_volume": "a volume that Volumes does not list",
    "unknown_paper": "a paper that Papers does not list",
    "unknown_staff": "a person that Staff does not list",
    "unknown_stratum": "a stratum that Strata does not list",
    "opening_out_of_range": "an opening beyond the volume's",
    "doubled_row": "a row of Openings that says the same as an earlier one",
    "content_differs": "two rows that say different things of one page",
    "decisions_clash": "decisions that contradict each other",
    "page_larger_than_stock": "a page that no stock can serve",
    "paper_without_stock": "a paper that no stock line sells",
    "nobody_has_skill": "a skill that nobody has",
    "person_outside_campaign": "a person who works only outside the campaign's dates",
    "absence_outside_campaign": "an absence outside the campaign's dates",
    "delivery_after_end": "stock that would arrive after the campaign ends",
    "stratum_too_small": "more volumes surveyed in a stratum than it is said to have",
    "stratum_unsampled": "a stratum with too few volumes surveyed for an estimate with an interval",
    "stratum_missing": "volumes without a stratum, left out of the estimates for the whole collection",
    # the finished plan, what-if options, returned work orders
    "decision_not_followed": "a decision that the plan could not follow",
    "content_unknown": "unknown content, planned as if photographs were there",
    "leaf_fits_no_stock": "a leaf that no stock of a permitted paper gives",
    "free_stock_short": "more of a stock without a price is planned than is on hand",
    "no_cut_size": "a volume that no cut size serves within its clearance",
    "size_uncuttable": "a cut size that no stock of its paper gives",
    "what_if": "planned otherwise than the inventory says",
    "quick_effort": "planned with the quick effort, which leaves out what only compares",
    "what_if_nobody_like": "one more person asked for whose hours are not known",
    "line_corrected": "a returned line that corrects an earlier one",
    "minutes_out_of_range": "returned minutes out of bounds",
    "minutes_unclear": "returned minutes that cannot be read",
    "not_a_length": "a returned measure that is no length",
    "paper_missing": "a returned line without its paper",
    "progress_unclear": "returned progress that cannot be read",
    "yes_no_unclear": "a returned yes or no that cannot be read",
}


def codes_markdown() -> str:
    """The register as a Markdown table."""
    return "\n".join(_lines()) + "\n"


def _lines() -> Iterator[str]:
    yield "| code | meaning |"
    yield "| --- | --- |"
    for code, meaning in FINDING_CODES.items():
        yield f"| `{code}` | {meaning} |"
