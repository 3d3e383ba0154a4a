"""The campaign's cost in the classes of a grant's budget (form SF-424A), for workbook and document."""

from pipeline.outputs.docx_parts import Report
from pipeline.outputs.plan import Plan, Row
from pipeline.outputs.sheet import Book
from pipeline.outputs.styles import BODY, BODY_WRAP, DECIMAL_2, INTEGER
from pipeline.outputs.table import Column, write_table

CLASS_WORDS = {
    "personnel": "Personnel",
    "fringe": "Fringe benefits",
    "travel": "Travel",
    "equipment": "Equipment",
    "supplies": "Supplies",
    "contractual": "Contractual",
    "construction": "Construction",
    "other": "Other",
    "total_direct": "Total direct costs",
    "indirect": "Indirect costs",
    "total": "Total",
}


def write_budget(book: Book, plan: Plan) -> tuple[str, str]:
    """Write the budget on a sheet of its own. Returns name and purpose."""
    currency = plan.facts.currency
    columns = (
        Column(heading="No.", key="class_no", style=INTEGER),
        Column(heading="Class", key="cost_class", style=BODY, value=_class_words),
        Column(heading=f"Cost ({currency})", key="cost", style=DECIMAL_2),
        Column(heading=f"Budget set ({currency})", key="budget", style=DECIMAL_2),
        Column(heading="What it holds", key="includes", style=BODY_WRAP),
    )
    sheet = book.sheet("Budget")
    write_table(sheet, columns, plan.table("cost_classes"))
    sheet.finish()
    return (
        sheet.name,
        "the campaign's cost in the classes of a grant's budget, contingency and indirect cost included",
    )


def tell_budget(report: Report, plan: Plan) -> None:
    """The same as a table of the document."""
    rows = plan.table("cost_classes")
    if not rows:
        return
    currency = plan.facts.currency
    report.table(
        "Cost by class of a grant's budget",
        ["Class", f"Cost ({currency})", f"Budget set ({currency})", "What it holds"],
        [
            [
                _class_words(row),
                f"{row['cost']:,.2f}",
                "–" if row["budget"] is None else f"{row['budget']:,.2f}",
                row["includes"],
            ]
            for row in rows
        ],
    )


def _class_words(row: Row) -> str:
    return CLASS_WORDS[row["cost_class"]]
