"""Plans side by side as lines on a screen and as a workbook. Does no sums."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from pipeline.compare import Change, ComparedPlan, Comparison, Line, Value
from pipeline.outputs.front import Front, write_front
from pipeline.outputs.plan import PlanFacts, Row
from pipeline.outputs.sheet import Book
from pipeline.outputs.styles import BODY, BODY_ID, BODY_WRAP, DATE, DECIMAL_2, INTEGER
from pipeline.outputs.table import Column, write_table

SHOWN_VOLUMES = 20
LABEL_LETTERS, VALUE_LETTERS = 34, 16
WHOLE_UNITS = ("volumes", "openings", "sheets", "count", "enclosures")
UNSAID = (*WHOLE_UNITS, "page-equivalents", "hours")
"""Units that the figure's own name says."""
TITLE = "Plans side by side"


def comparison_lines(found: Comparison) -> Iterator[str]:
    """The comparison for a screen; of the volumes those whose benefit changed most."""
    for plan in found.plans:
        facts = plan.facts
        yield f"{plan.letter:<3}{plan.folder}: {facts.campaign_name}, plan {facts.revision} of {facts.as_of}"
        yield from (f"   {words}" for words in plan.what_ifs)
    yield from (f"   {remark}" for remark in found.remarks)
    yield ""
    first, *others = [plan.letter for plan in found.plans]
    heads = [first, *others, *(f"{letter} less {first}" for letter in others)]
    yield " " * LABEL_LETTERS + "".join(f"{head:>{VALUE_LETTERS}}" for head in heads)
    yield from (_text_line(line, found.plans) for line in (*found.conditions[2:8], *found.figures))
    yield ""
    yield from _move_lines(found)
    yield from _change_lines(found)


def _text_line(line: Line, plans: Sequence[ComparedPlan]) -> str:
    label = f"{line.label}, {line.unit}" if line.unit and line.unit not in UNSAID else line.label
    cells = [_shown(value, line.unit) for value in line.values]
    cells += [_signed(line, difference) for difference in line.differences]
    return f"{label[: LABEL_LETTERS - 1]:<{LABEL_LETTERS}}" + "".join(
        f"{cell[: VALUE_LETTERS - 1]:>{VALUE_LETTERS}}" for cell in cells
    )


def _shown(value: Value, unit: str) -> str:
    if value is None:
        return "-"
    if isinstance(value, float | int):
        decimals = 0 if unit in WHOLE_UNITS or (value == int(value) and not unit) else 2
        return f"{value:,.{decimals}f}"
    return value.isoformat() if isinstance(value, date) else value


def _signed(line: Line, difference: float | None) -> str:
    if difference is None:
        return "-"
    if line.label == "finished":
        return f"{difference:+.0f} days"
    decimals = 0 if line.unit in WHOLE_UNITS else 2
    text = f"{difference:+,.{decimals}f}"
    return "0" if not text.strip("+-0.") else text


def _move_lines(found: Comparison) -> Iterator[str]:
    is_many = len(found.plans) > 2  # two plans need no letter
    for letter, first, other, count in found.moves:
        head = f"{letter}: " if is_many else ""
        yield f"{head}{count} {'volume' if count == 1 else 'volumes'} {first or 'absent'} -> {other or 'absent'}"


def _change_lines(found: Comparison) -> Iterator[str]:
    changes = [change for change in found.changes if not change.is_date_only]
    dates = len(found.changes) - len(changes)
    yield f"{len(changes)} volumes differ, {dates} more in the day they are done only"
    changes.sort(key=lambda change: (-change.gain, change.volume_id))
    for change in changes[:SHOWN_VOLUMES]:
        yield f"  {change.volume_id:<12} {change.words}"
    if len(changes) > SHOWN_VOLUMES:
        yield f"  and {len(changes) - SHOWN_VOLUMES} more; --out FILE.xlsx lists them all"


@dataclass(frozen=True)
class ComparedFacts(PlanFacts):
    """Facts of the first plan, for the print set-up; the footer names every plan."""

    plans: str = ""

    @property
    def footer(self) -> str:
        """The plans compared, on one short line."""
        return f"compared: {self.plans}"


def write_comparison(path: Path, found: Comparison) -> None:
    """Write the comparison as a workbook. Raises FileProblemError when the file cannot be written."""
    names = ", ".join(f"{plan.letter} {plan.folder.name}" for plan in found.plans)
    facts = ComparedFacts(**vars(found.plans[0].facts), plans=names)
    with Book(path, facts, TITLE) as book:
        first = book.sheet("Start here")
        sheets = [_figures(book, found), _made_with(book, found), _states(book, found), _volumes(book, found)]
        front = Front(
            TITLE,
            f"{len(found.plans)} plans side by side; {found.plans[0].letter} is the one the others are held against. "
            "Read from the published tables of each; money is in each plan's own currency.",
            [(plan.letter, _plan_words(plan)) for plan in found.plans],
            (
                "Figures first, then Volumes: filter a column to see what one plan does otherwise.",
                *found.remarks,
            ),
            (),
            sheets,
        )
        write_front(first, front, facts, cleaned=book.cleaned)


def _plan_words(plan: ComparedPlan) -> str:
    facts = plan.facts
    words = (
        f"{plan.folder}: {facts.campaign_name}, plan {facts.revision} of {facts.as_of}, in {facts.currency}"
    )
    return ". ".join((words, *plan.what_ifs))


def _table_rows(lines: Sequence[Line], plans: Sequence[ComparedPlan]) -> list[Row]:
    rows = []
    for line in lines:
        row: Row = {"label": line.label.strip(), "unit": line.unit}
        row |= {plan.letter: value for plan, value in zip(plans, line.values, strict=True)}
        row |= {
            f"{plan.letter} less": difference
            for plan, difference in zip(plans[1:], line.differences, strict=True)
        }
        rows.append(row)
    return rows


def _figures(book: Book, found: Comparison) -> tuple[str, str]:
    first = found.plans[0].letter
    columns = (
        Column(heading="Figure", key="label", style=BODY_WRAP),
        Column(heading="Unit", key="unit"),
        *(Column(heading=plan.letter, key=plan.letter, style=DECIMAL_2) for plan in found.plans),
        *(
            Column(heading=f"{plan.letter} less {first}", key=f"{plan.letter} less", style=DECIMAL_2)
            for plan in found.plans[1:]
        ),
    )
    sheet = book.sheet("Figures", landscape=True)
    write_table(sheet, columns, _table_rows(found.figures, found.plans))
    sheet.finish()
    return sheet.name, "sheets, page losses avoided, hours, cost, finish (difference in days), states"


def _made_with(book: Book, found: Comparison) -> tuple[str, str]:
    columns = (
        Column(heading="Made with", key="label"),
        *(Column(heading=plan.letter, key=plan.letter, style=BODY_WRAP) for plan in found.plans),
    )
    rows = [
        {"label": line.label}
        | {plan.letter: _shown(value, "") for plan, value in zip(found.plans, line.values, strict=True)}
        for line in found.conditions
    ]
    what_ifs = {plan.letter: ". ".join(plan.what_ifs) for plan in found.plans}
    sheet = book.sheet("Made with", landscape=True)
    write_table(sheet, columns, [*rows, {"label": "what if"} | what_ifs])
    sheet.finish()
    return sheet.name, "dates, budgets, people, inventory and policy of each plan, and what-ifs"


def _states(book: Book, found: Comparison) -> tuple[str, str]:
    names = ("letter", "first", "other", "volumes")
    rows = [dict(zip(names, move, strict=True)) for move in found.moves]
    columns = (
        Column(heading="Plan", key="letter"),
        Column(
            heading=f"State in {found.plans[0].letter}",
            key="first",
            value=lambda row: row["first"] or "absent",
        ),
        Column(heading="State in the plan", key="other", value=lambda row: row["other"] or "absent"),
        Column(heading="Volumes", key="volumes", style=INTEGER),
    )
    sheet = book.sheet("States")
    write_table(sheet, columns, rows)
    sheet.finish()
    return sheet.name, "how many volumes go from one state to another"


def _volumes(book: Book, found: Comparison) -> tuple[str, str]:
    parts = (
        ("state", "State", BODY),
        ("sheets", "Sheets", INTEGER),
        ("benefit_planned", "Page losses avoided", DECIMAL_2),
        ("hours", "Hours", DECIMAL_2),
        ("papers", "Papers", BODY_WRAP),
        ("finish_day", "Done", DATE),
    )
    columns = (
        Column(heading="Volume", key="volume_id", style=BODY_ID),
        Column(heading="Collection", key="collection", style=BODY_WRAP, most_width=24),
        Column(heading="What changed", key="words", style=BODY_WRAP, most_width=60),
        *(
            Column(heading=f"{heading} {plan.letter}", key=f"{key} {plan.letter}", style=style, most_width=16)
            for key, heading, style in parts
            for plan in found.plans
        ),
    )
    sheet = book.sheet("Volumes", landscape=True)
    write_table(sheet, columns, [_volume_row(change, found.plans) for change in found.changes])
    sheet.finish()
    return sheet.name, "every volume that is not the same in all plans, and what changed"


def _volume_row(change: Change, plans: Sequence[ComparedPlan]) -> Row:
    row: Row = {"volume_id": change.volume_id, "collection": change.collection, "words": change.words}
    for plan, there in zip(plans, change.rows, strict=True):
        for key in ("state", "sheets", "benefit_planned", "hours", "papers", "finish_day"):
            row[f"{key} {plan.letter}"] = there[key] if there else None
        row[f"state {plan.letter}"] = there["state"].replace("_", " ") if there else "not in the plan"
    return row
