"""One cell, one value or one problem."""

from datetime import date

import pytest

from pipeline.contracts.inventory_columns import OPENINGS, PAPERS, SHEETS_BY_NAME, VOLUMES, described_columns
from pipeline.inventory.parse import HazardList, OpeningList, Value, Words, by_plain, parse_cell

WORDS = Words(
    hazards=by_plain(["fastener", "acidic_insert", "facing_photographs"]),
    contents=by_plain(["silver_print", "print", "blank"]),
)


def read(sheet: str, column: str, text: str, kind: str = "text") -> Value:
    parsed = parse_cell(SHEETS_BY_NAME[sheet].column(column), (kind, text), words=WORDS)
    assert parsed.problem is None, parsed.problem
    return parsed.value


def problem(sheet: str, column: str, text: str, kind: str = "text") -> tuple[str, str, str]:
    parsed = parse_cell(SHEETS_BY_NAME[sheet].column(column), (kind, text), words=WORDS)
    assert parsed.problem is not None
    return parsed.problem.code, parsed.problem.level, parsed.problem.action


@pytest.mark.parametrize("text", ["sewn", " Sewn ", "SEWN", "se-wn"])
def test_words_match_whatever_their_case_and_blanks(text: str) -> None:
    assert read("Volumes", "binding", text) == "sewn"


def test_a_near_word_is_offered() -> None:
    assert problem("Volumes", "binding", "laces") == ("unknown_word", "error", "did you mean laced?")


def test_a_far_word_gets_the_list() -> None:
    code, _, action = problem("Volumes", "binding", "half leather")
    assert code == "unknown_word"
    assert action == "use one of: sewn, adhesive, guarded, post, laced, ring, spiral"


@pytest.mark.parametrize(
    ("text", "value"), [("yes", True), ("Y", True), ("TRUE", True), ("no", False), ("0", False)]
)
def test_yes_and_no(text: str, value: bool) -> None:
    assert read("Volumes", "odour", text) is value


def test_leading_noughts_of_identifiers_stay() -> None:
    assert read("Volumes", "volume_id", " 00123 ") == "00123"


def test_an_identifier_that_became_a_date_is_a_problem() -> None:
    assert problem("Volumes", "volume_id", "2027-07-03", "date")[0] == "became_date"


def test_content_words_are_listed_once_each() -> None:
    assert read("Volumes", "contents", "Silver print; print, silver_print") == ("silver_print", "print")


def test_hazards_keep_their_sides() -> None:
    value = read("Openings", "hazards", "left: Fastener; right:fastener, acidic insert")
    assert value == HazardList((("left", "fastener"), ("right", "fastener"), ("", "acidic_insert")))


def test_a_side_of_facing_photographs_is_ignored_with_a_warning() -> None:
    parsed = parse_cell(OPENINGS.column("hazards"), ("text", "left:facing_photographs"), words=WORDS)
    assert parsed.value == HazardList((("", "facing_photographs"),))
    assert parsed.problem is not None
    assert (parsed.problem.code, parsed.problem.level) == ("side_ignored", "warning")


@pytest.mark.parametrize(
    ("text", "ranges"),
    [
        ("3, 7-12", ((3, 3), (7, 12))),
        ("7–9; 3", ((3, 3), (7, 9))),
        ("0", ((0, 0),)),
        ("1-3, 4-6", ((1, 6),)),
        ("5 - 6", ((5, 6),)),
    ],
)
def test_opening_lists(text: str, ranges: tuple[tuple[int, int], ...]) -> None:
    assert read("Openings", "openings", text) == OpeningList(ranges)


def test_an_opening_named_twice_in_a_cell_counts_once() -> None:
    parsed = parse_cell(OPENINGS.column("openings"), ("text", "3-5, 4"), words=WORDS)
    assert parsed.value == OpeningList(((3, 5),))
    assert parsed.problem is not None
    assert (parsed.problem.code, parsed.problem.level) == ("opening_named_twice", "note")


@pytest.mark.parametrize(
    ("text", "kind", "code", "action"),
    [
        ("12-7", "text", "openings_unclear", "write 7-12"),
        ("all", "text", "openings_unclear", "write opening numbers such as 3, 7-12"),
        ("-3", "text", "openings_unclear", "write opening numbers such as 3, 7-12"),
        (
            "3.7",
            "number",
            "openings_unclear",
            "the cell holds a decimal number; format it as text and write 3, 7",
        ),
        ("2027-07-03", "date", "became_date", "format the cell as text and type it again"),
    ],
)
def test_opening_lists_that_cannot_be_read(text: str, kind: str, code: str, action: str) -> None:
    assert problem("Openings", "openings", text, kind) == (code, "error", action)


@pytest.mark.parametrize(
    ("text", "kind"), [("2027-03-01", "date"), ("2027-03-01", "text"), (" 2027-03-01 00:00:00", "text")]
)
def test_dates_are_real_or_iso(text: str, kind: str) -> None:
    assert read("Campaign", "start_date", text, kind) == date(2027, 3, 1)


@pytest.mark.parametrize(
    ("text", "kind"),
    [("01/03/2027", "text"), ("March 2027", "text"), ("2027-02-30", "text"), ("46447", "number")],
)
def test_other_dates_are_not_guessed(text: str, kind: str) -> None:
    assert problem("Campaign", "start_date", text, kind)[0] == "not_a_date"


@pytest.mark.parametrize(
    ("text", "days"),
    [
        ("Mon-Fri", "Mon, Tue, Wed, Thu, Fri"),
        ("Mon–Thu, Sat", "Mon, Tue, Wed, Thu, Sat"),
        ("Monday; Wednesday", "Mon, Wed"),
        ("Sat to Mon", "Mon, Sat, Sun"),
    ],
)
def test_working_days(text: str, days: str) -> None:
    assert read("Campaign", "working_days", text) == days


def test_days_that_are_none() -> None:
    assert problem("Staff", "days", "weekdays")[0] == "days_unclear"


def test_numbers_are_whole_where_they_must_be() -> None:
    assert read("Volumes", "leaves", "40", "number") == 40
    assert problem("Volumes", "leaves", "40.5", "number")[0] == "not_whole"


def test_error_cells_and_formulas_without_result_are_problems() -> None:
    assert problem("Volumes", "leaves", "#N/A", "error")[0] == "error_cell"
    assert problem("Volumes", "leaves", "=A1+1", "formula")[0] == "formula_without_value"


def test_control_characters_are_shown_in_texts_and_refused_in_identifiers() -> None:
    parsed = parse_cell(VOLUMES.column("title"), ("text", "A\x07B"), words=WORDS)
    assert parsed.value == "A\ufffdB"
    assert parsed.problem is not None
    assert parsed.problem.level == "warning"
    assert problem("Volumes", "volume_id", "A\x07B")[:2] == ("control_character", "error")


def test_a_bare_length_is_unknown_while_the_unit_is() -> None:
    words = Words(length_unit="")
    assert parse_cell(VOLUMES.column("page_width"), ("number", "300"), words=words).is_unknown
    assert parse_cell(VOLUMES.column("page_width"), ("text", "300 mm"), words=words).value == 300.0


def test_a_heading_may_carry_the_unit() -> None:
    assert parse_cell(VOLUMES.column("page_width"), ("number", "30.5"), unit="cm", words=WORDS).value == 305.0
    assert parse_cell(PAPERS.column("thickness_um"), ("number", "0.08"), unit="mm", words=WORDS).value == 80.0


@pytest.mark.parametrize(
    "text",
    ["", ",", "\u200b", "=1+1", "1e309", "-", "x" * 40_000, "[red]", "\ufeff"],
    ids=lambda text: text[:5],
)
def test_no_cell_breaks_the_parser(text: str) -> None:
    for _, column in described_columns():
        parsed = parse_cell(column, ("text", text), words=WORDS)
        assert parsed.problem is None or parsed.problem.message
