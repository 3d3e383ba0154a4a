"""material_totals.xlsx: what to order, by when, from which price; paper by paper; enclosures."""

from pathlib import Path

from pipeline.outputs.cutting_choices import write_cutting_choices
from pipeline.outputs.front import Front, write_front
from pipeline.outputs.lengths import Lengths
from pipeline.outputs.lists import MADE_TO_MEASURE, inside_columns, length_column
from pipeline.outputs.saving import offcut_sentence, saving_sentence
from pipeline.outputs.sheet import Book, Sheet, Value
from pipeline.outputs.styles import (
    BODY,
    BODY_ID,
    BODY_WRAP,
    DATE,
    DECIMAL_1,
    DECIMAL_2,
    INTEGER,
    Style,
)
from pipeline.outputs.table import Column, write_table
from pipeline.outputs.wording import GRAIN_WORDS
from pipeline.published_plan import Plan, Row

TITLE = "Material totals"
PURPOSE = (
    "What the plan needs of each paper, stock line and enclosure, and what to order by when. "
    "In sheet Order you may change what is on hand, the pack and its price: the packs and the money follow."
)
HOW_TO = (
    "Check what is on hand, the pack and its price in sheet Order; change the dotted cells where they "
    "are out of date.",
    "Order each line with packs by its date; a line without a date has no dated cut or needs nothing bought.",
    "Then the same in sheet Enclosures.",
    "Changes here stay in this file. To plan with them, change the inventory and plan again.",
)
NEEDED = Style(line="frame", number="#,##0.###", align="right")
BUY_FORMULA = "=MAX(0,{needed}-{on_hand})"
PACKS_FORMULA = "=ROUNDUP(ROUND({to_buy}/{pack_quantity},6),0)"
COST_FORMULA = "={packs}*{pack_price}"
ENCLOSURE_COST_FORMULA = "={to_buy}*{price}"


def write_material_totals(path: Path, plan: Plan) -> None:
    """Write the workbook. Raises OutputError or FileProblemError."""
    with Book(path, plan.facts, TITLE) as book:
        first = book.sheet("Start here")
        sheets = [_write_order(book, plan), _write_papers(book, plan), _write_enclosures(book, plan)]
        sheets += [*_write_offcuts(book, plan), write_cutting_choices(book, plan)]
        front = Front(TITLE, PURPOSE, _facts(plan), HOW_TO, (), sheets)
        write_front(first, front, plan.facts, cleaned=book.cleaned)


def _facts(plan: Plan) -> list[tuple[str, Value]]:
    totals, currency = plan.totals(), plan.facts.currency
    words = (
        ("sheets", "Sheets to lay in", "{:,.0f}"),
        ("spares", "Spare sheets", "{:,.0f}"),
        ("paper_cost", "Paper to buy", "{:,.2f} " + currency),
        ("enclosures", "New enclosures", "{:,.0f}"),
        ("enclosure_cost", "Enclosures to buy", "{:,.2f} " + currency),
    )
    facts: list[tuple[str, Value]] = [
        (label, shape.format(totals[m]["value"])) for m, label, shape in words if m in totals
    ]
    sentences = (("Against the usual way", saving_sentence(plan)), ("Off-cuts used", offcut_sentence(plan)))
    return [*facts, *((label, text) for label, text in sentences if text)]


def _write_order(book: Book, plan: Plan) -> tuple[str, str]:
    rows = plan.query("order_lines")
    columns = _order_columns(plan)
    sheet = book.sheet("Order", landscape=True)
    after = write_table(sheet, columns, rows, totals=_total(plan, "paper_cost"))
    if rows:
        place = {column.key: number for number, column in enumerate(columns)}
        last = after - 2
        _numbers(sheet, (1, place["on_hand"], last, place["on_hand"]), whole=False, least=0)
        _numbers(sheet, (1, place["pack_quantity"], last, place["pack_quantity"]), whole=True, least=1)
        _numbers(sheet, (1, place["pack_price"], last, place["pack_price"]), whole=False, least=0)
    sheet.finish()
    return (
        sheet.name,
        f"{len(rows)} stock lines that leaves are cut from: needed, on hand, to buy, packs, cost, order by",
    )


def _numbers(sheet: Sheet, cells: tuple[int, int, int, int], *, whole: bool, least: int) -> None:
    sheet.numbers_only(cells, whole=whole, least=least, hint=f"A number of at least {least}.")


def _total(plan: Plan, measure: str) -> dict[str, float]:
    return {"cost": plan.totals()[measure]["value"]} if measure in plan.totals() else {"cost": 0.0}


def _order_columns(plan: Plan) -> tuple[Column, ...]:
    lengths, currency = Lengths(plan.facts.length_unit), plan.facts.currency
    return (
        Column(heading="Stock", key="stock_id", style=BODY_ID),
        Column(heading="Paper", key="paper_id", style=BODY_ID),
        Column(heading="Description", key="description", style=BODY_WRAP, most_width=28),
        length_column(lengths, "Width", "width_mm"),
        length_column(lengths, "Length", "length_mm"),
        Column(heading="Grain", key="grain", style=BODY, value=lambda row: GRAIN_WORDS[row["grain"]]),
        Column(heading="Sold by", key="unit", style=BODY),
        Column(heading="Needed", key="needed", style=NEEDED),
        Column(heading="On hand", key="on_hand", style=NEEDED.but(entry=True)),
        Column(heading="To buy", key="to_buy", style=NEEDED, formula=BUY_FORMULA),
        Column(heading="In a pack", key="pack_quantity", style=INTEGER.but(entry=True)),
        Column(heading="Packs", key="packs", style=INTEGER.but(bold=True), formula=PACKS_FORMULA),
        Column(heading=f"Pack price ({currency})", key="pack_price", style=DECIMAL_2.but(entry=True)),
        Column(heading=f"Cost ({currency})", key="cost", style=DECIMAL_2, formula=COST_FORMULA, total="cost"),
        Column(heading="Lead (days)", key="lead_days", style=INTEGER),
        Column(heading="Order by", key="order_by", style=DATE),
    )


def _write_papers(book: Book, plan: Plan) -> tuple[str, str]:
    currency = plan.facts.currency
    columns = (
        Column(heading="Paper", key="paper_id", style=BODY_ID),
        Column(heading="Description", key="description", style=BODY_WRAP, most_width=30),
        Column(heading="Kind", key="buffer"),
        Column(heading="Grammage (g/m2)", key="grammage_gsm", style=DECIMAL_1),
        Column(heading="Volumes", key="volumes", style=INTEGER),
        Column(heading="Sheets", key="sheets", style=INTEGER),
        Column(heading="Spares", key="spares", style=INTEGER),
        Column(heading="Cut sizes", key="cut_sizes", style=INTEGER),
        Column(heading="Fewest cut sizes (proven)", key="cut_sizes_bound", style=INTEGER),
        Column(heading="Area of leaves (m2)", key="area_needed_m2", style=DECIMAL_2),
        Column(heading="Area of parents (m2)", key="area_of_parents_m2", style=DECIMAL_2),
        Column(heading="Trim, waste and off-cuts (m2)", key="area_wasted_m2", style=DECIMAL_2),
        Column(heading=f"Value of parents used ({currency})", key="cost_needed", style=DECIMAL_2),
        Column(heading=f"Least value (proven, {currency})", key="cost_lower_bound", style=DECIMAL_2),
        Column(heading=f"Spared by off-cuts, apart ({currency})", key="spared_cost", style=DECIMAL_2),
    )
    sheet = book.sheet("Papers", landscape=True)
    rows = plan.query("paper_lines")
    write_table(sheet, columns, rows)
    sheet.finish()
    return (
        sheet.name,
        f"{len(rows)} papers: sheets, spares, waste, and how near the cutting comes to the proven least",
    )


def _write_offcuts(book: Book, plan: Plan) -> list[tuple[str, str]]:
    """Write which leaves are cut from off-cuts; no sheet where none are."""
    rows = plan.query("offcut_lines")
    if not rows:
        return []
    lengths = Lengths(plan.facts.length_unit)
    columns = (
        Column(heading="Paper", key="paper_id", style=BODY_ID),
        Column(heading="Description", key="description", style=BODY_WRAP, most_width=30),
        Column(heading="Left by ticket", key="from_offcut_of", style=BODY_ID),
        Column(heading="Cut by ticket", key="pattern_id", style=BODY_ID),
        Column(heading="Off-cuts", key="offcuts_count", style=INTEGER),
        *(
            length_column(lengths, f"Along stock's {side}", f"along_{side}_mm")
            for side in ("width", "length")
        ),
        Column(heading="Cut size", key="cut_size_id", style=BODY_ID),
        Column(heading="Leaves", key="pieces_count", style=INTEGER),
    )
    sheet = book.sheet("Off-cuts used", landscape=True)
    write_table(sheet, columns, rows)
    sheet.finish()
    return [
        (sheet.name, "leaves that are cut from off-cuts of other tickets, so that fresh parents are spared")
    ]


def _write_enclosures(book: Book, plan: Plan) -> tuple[str, str]:
    sheet = book.sheet("Enclosures", landscape=True)
    rows: list[Row] = plan.query("enclosure_lines")
    after = write_table(sheet, _enclosure_columns(plan), rows, totals=_total(plan, "enclosure_cost"))
    if rows:
        _numbers(sheet, (1, 5, after - 2, 5), whole=False, least=0)
        _numbers(sheet, (1, 7, after - 2, 7), whole=False, least=0)
    sheet.finish()
    return (
        sheet.name,
        "stock enclosures and boxes made to measure; inside measures of the latter stand in the box list",
    )


def _enclosure_columns(plan: Plan) -> tuple[Column, ...]:
    lengths, currency = Lengths(plan.facts.length_unit), plan.facts.currency
    return (
        Column(
            heading="Enclosure",
            key="enclosure_id",
            style=BODY_ID,
            value=lambda r: r["enclosure_id"] or MADE_TO_MEASURE,
        ),
        *inside_columns(lengths),
        Column(heading="Needed", key="needed", style=NEEDED),
        Column(heading="On hand", key="on_hand", style=NEEDED.but(entry=True)),
        Column(heading="To buy", key="to_buy", style=NEEDED, formula=BUY_FORMULA),
        Column(heading=f"Price ({currency})", key="price", style=DECIMAL_2.but(entry=True)),
        Column(
            heading=f"Cost ({currency})",
            key="cost",
            style=DECIMAL_2,
            formula=ENCLOSURE_COST_FORMULA,
            total="cost",
        ),
        Column(heading="Lead (days)", key="lead_days", style=INTEGER),
        Column(heading="Order by", key="order_by", style=DATE),
    )
