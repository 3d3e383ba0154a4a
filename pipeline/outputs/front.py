"""The first sheet of a workbook: what it is, what is in it, how to use it, which plan it belongs to."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from pipeline.outputs.plan import PlanFacts
from pipeline.outputs.sheet import LINE_POINTS, Place, Sheet, Value, lines_needed
from pipeline.outputs.styles import BODY_LINK, BODY_WRAP, SUBTITLE, TITLE, WRAP

FIRST_SHEET = "Start here"
LABEL_WIDTH = 25.0
TEXT_WIDTH = 70.0
LENGTH_WORDS = {"mm": "millimetres", "cm": "centimetres", "in": "inches (cuts in 1/32)"}


@dataclass
class Front:
    """What a front sheet says. `sheets`: name of a sheet and what it is for."""

    title: str
    purpose: str
    facts: list[tuple[str, Value]] = field(default_factory=list)
    how_to: Sequence[str] = ()
    cautions: Sequence[str] = ()
    sheets: list[tuple[str, str]] = field(default_factory=list)
    workbooks: Sequence[tuple[str, str]] = ()
    """Files beside this one that belong to it, and what each is for."""


def write_front(sheet: Sheet, front: Front, plan: PlanFacts, *, cleaned: Sequence[str] = ()) -> None:
    """Write the front sheet and open the workbook on it."""
    sheet.widths({0: LABEL_WIDTH, 1: TEXT_WIDTH})
    sheet.across(0, (0, 1), front.title, TITLE)
    sheet.height(0, 24)
    row = _paragraph(sheet, 1, front.purpose)
    row = _pairs(sheet, row + 1, "In this plan", front.facts)
    row = _list(sheet, row + 1, "How to use it", front.how_to)
    row = _list(sheet, row + 1, "Cautions", front.cautions)
    row = _links(sheet, row + 1, "Sheets", [(Place(name), name, words) for name, words in front.sheets])
    files = [(Place(FIRST_SHEET, workbook=name), name, words) for name, words in front.workbooks]
    row = _links(sheet, row + 1, "Workbooks beside this one", files) if files else row
    row = _pairs(sheet, row + 1, "Units and signs", _units(plan))
    row = _pairs(sheet, row + 1, "Which plan this is", _run(plan))
    if cleaned:
        shown = ", ".join(cleaned[:20]) + (" ..." if len(cleaned) > 20 else "")
        row = _paragraph(
            sheet, row + 1, f"Text cut short or freed of characters a workbook cannot hold: {shown}"
        )
    sheet.print_area(row - 1, 1)
    sheet.repeat_rows(0, 0)
    sheet.freeze(1)
    sheet.tab_first()
    sheet.finish()


def _units(plan: PlanFacts) -> list[tuple[str, Value]]:
    return [
        ("Lengths", LENGTH_WORDS[plan.length_unit]),
        ("Money", plan.currency),
        ("Benefit", "page-equivalents: expected page losses avoided over the campaign's horizon"),
        ("Empty cell", "not known or does not apply; never zero"),
        (
            "Dotted grey cell",
            "to be filled in; all other cells are protected against slips, without a password",
        ),
    ]


def _run(plan: PlanFacts) -> list[tuple[str, Value]]:
    return [
        ("Campaign", plan.campaign_name),
        ("Plan revision", plan.revision),
        ("Made for the day", plan.as_of.isoformat()),
        ("Program version", f"guardleaf {plan.version}"),
        ("Inventory hash", plan.inventory_sha256),
        ("Policy hash", plan.policy_sha256),
    ]


def _paragraph(sheet: Sheet, row: int, text: str) -> int:
    sheet.across(row, (0, 1), text, WRAP)
    sheet.height(row, LINE_POINTS * lines_needed(text, LABEL_WIDTH + TEXT_WIDTH) + 3)
    return row + 1


def _pairs(sheet: Sheet, row: int, heading: str, pairs: Sequence[tuple[str, Value]]) -> int:
    sheet.put(row, 0, heading, SUBTITLE)
    for label, value in pairs:
        row += 1
        sheet.put(row, 0, label, BODY_WRAP)
        sheet.put(row, 1, value, BODY_WRAP)
        lines = max(lines_needed(label, LABEL_WIDTH - 2), lines_needed(str(value), TEXT_WIDTH - 2))
        sheet.height(row, LINE_POINTS * lines + 3)
    return row + 1


def _list(sheet: Sheet, row: int, heading: str, lines: Sequence[str]) -> int:
    if not lines:
        return row - 1
    sheet.put(row, 0, heading, SUBTITLE)
    for number, line in enumerate(lines, start=1):
        row = _paragraph(sheet, row + 1, f"{number}. {line}") - 1
    return row + 1


def _links(sheet: Sheet, row: int, heading: str, links: Sequence[tuple[Place, str, str]]) -> int:
    sheet.put(row, 0, heading, SUBTITLE)
    for place, name, purpose in links:
        row += 1
        sheet.link(row, 0, name, place, BODY_LINK)
        sheet.put(row, 1, purpose, BODY_WRAP)
        lines = max(lines_needed(purpose, TEXT_WIDTH - 2), lines_needed(name, LABEL_WIDTH - 2))
        sheet.height(row, LINE_POINTS * lines + 3)
    return row + 1
