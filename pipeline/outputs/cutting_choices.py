"""What other ways of sizing and cutting would take: a sheet for the lab lead."""

from collections.abc import Sequence

from pipeline.outputs.charts import choices_picture
from pipeline.outputs.form import Form
from pipeline.outputs.lengths import Lengths
from pipeline.outputs.pictures import png_inches
from pipeline.outputs.sheet import Book, Value
from pipeline.outputs.styles import BODY, BODY_WRAP, DECIMAL_1, DECIMAL_2, INTEGER, NOTE, SUBTITLE, Style
from pipeline.published_plan import Plan, Row

SHEET = "Cutting choices"
WIDTHS = (26.0, 10.0, 10.0, 10.0, 10.0, 12.0, 12.0, 14.0)
INTRO = (
    "What a greater clearance between leaf and page buys, and what more sizes on a parent sheet buy. All of it is cut "
    "with a quick search, so that the rows compare; each has its own proven least. The plan was searched for longer: "
    "see the last table."
)
NOT_COMPARED = (
    "This plan was made with the quick effort, which compares no other clearances and no other numbers of sizes on a "
    "parent sheet. Plan again with the usual effort to see what they would buy."
)
NOTHING_CUT = "Nothing is cut in this plan."
WAY_WORDS = {
    "usual": "Usual way: each page size its own leaf, one size on a parent sheet",
    "sizes_apart": "Fewest sizes, nearest the ideal clearance (quick search)",
    "sizes_in_view": "Fewest sizes, chosen with the sheet in view (quick search)",
    "plan": "This plan",
}
CLEARANCE_HEADS = ("Greatest clearance", "Cut sizes", "Least (proven)")
CUT_HEADS = ("Patterns", "Parent sheets")
THIS_PLAN = "as planned"
PURPOSE = "what more clearance or more sizes on a sheet would buy; saving against the usual way"
PURPOSE_OF_QUICK = "saving against the usual way of cutting"
Cells = tuple[tuple[Value, ...], tuple[Style, ...]]


def write_cutting_choices(book: Book, plan: Plan) -> tuple[str, str]:
    """Write the sheet: both trade-offs as tables and picture where compared, and the saving against the usual way."""
    sheet = book.sheet(SHEET)
    form = Form(sheet, WIDTHS)
    clearances, sizes = plan.table("clearance_choices"), plan.table("sizes_per_sheet_choices")
    form.line(SHEET, SUBTITLE.but(size=16))
    ways = plan.query("cutting_ways")
    if clearances:
        form.line(INTRO)
        _clearances(form, plan, clearances)
        _sizes_per_sheet(form, plan, sizes)
        _picture(form, plan, clearances, sizes)
    else:
        form.line(NOT_COMPARED if ways else NOTHING_CUT)
    if ways:
        _ways(form, plan, ways)
    sheet.print_area(form.row - 1, form.last_column)
    sheet.finish()
    return sheet.name, PURPOSE if clearances else PURPOSE_OF_QUICK


def _table(form: Form, heads: Sequence[str], rows: Sequence[Cells]) -> None:
    spans = [(column, column) for column in range(len(heads))]
    form.heads(spans, heads)
    for values, styles in rows:
        form.body(spans, values, styles)


def _value_heads(plan: Plan) -> tuple[str, str, str]:
    return f"Value ({plan.facts.currency})", f"Least ({plan.facts.currency}, proven)", "Remark"


def _clearances(form: Form, plan: Plan, rows: Sequence[Row]) -> None:
    lengths = Lengths(plan.facts.length_unit)
    form.heading("Greatest clearance between page and leaf, both sides of a direction together")
    cells: list[Cells] = []
    for row in rows:
        first = (lengths.text(row["most_clearance_mm"]), row["cut_sizes"], row["lower_bound"])
        remark = THIS_PLAN if row["is_planned"] else row["reason"]
        values, styles = _cut(row, remark)
        cells.append(((*first, *values), (BODY, INTEGER, INTEGER, *styles)))
    _table(form, (*CLEARANCE_HEADS, *CUT_HEADS, *_value_heads(plan)), cells)


def _cut(row: Row, remark: str) -> Cells:
    values = (
        row["patterns_count"],
        row["parents_count"],
        row["cost_needed"],
        row["cost_lower_bound"],
        remark,
    )
    return values, (INTEGER, INTEGER, DECIMAL_2, DECIMAL_2, BODY_WRAP)


def _sizes_per_sheet(form: Form, plan: Plan, rows: Sequence[Row]) -> None:
    form.heading("Different sizes allowed on one parent sheet")
    cells: list[Cells] = []
    for row in rows:
        values, styles = _cut(row, THIS_PLAN if row["is_planned"] else "")
        cells.append(((sizes_word(row), *values), (BODY, *styles)))
    _table(form, ("Sizes on a sheet", *CUT_HEADS, *_value_heads(plan)), cells)


def sizes_word(row: Row) -> str:
    """The number of sizes allowed on a parent, in words where there is no limit."""
    return "any" if row["max_sizes_per_sheet"] is None else str(row["max_sizes_per_sheet"])


def _picture(form: Form, plan: Plan, clearances: Sequence[Row], sizes: Sequence[Row]) -> None:
    lengths, currency = Lengths(plan.facts.length_unit), plan.facts.currency
    cuttable = [row for row in clearances if row["cost_needed"] is not None]
    limits = [(lengths.bare(row["most_clearance_mm"]), row) for row in cuttable]
    counts = [(sizes_word(row), row) for row in sizes]
    png = choices_picture(limits, counts, units=(lengths.unit, currency))
    words = "; ".join(f"{name} {lengths.unit}: {row['cost_needed']:,.2f} {currency}" for name, row in limits)
    more = "; ".join(f"{name} sizes a sheet: {row['cost_needed']:,.2f} {currency}" for name, row in counts)
    form.gap()
    form.picture(
        png, f"Lines and bars. Value of parents by greatest clearance: {words}. {more}.", png_inches(png)[1]
    )


def _ways(form: Form, plan: Plan, ways: Sequence[Row]) -> None:
    form.heading("Saving against the usual way")
    heads = ("Way", "Cut sizes", "Set-ups", "Parent sheets", "Fewer set-ups (%)", "Fewer sheets (%)")
    cells: list[Cells] = []
    for row in ways:
        values = (
            WAY_WORDS[row["way"]],
            row["cut_sizes"],
            row["patterns_count"],
            row["parents_count"],
            row["patterns_saved_pct"],
            row["parents_saved_pct"],
            row["cost_needed"],
            row["cost_saved_pct"],
        )
        styles = (BODY_WRAP, INTEGER, INTEGER, INTEGER, DECIMAL_1, DECIMAL_1, DECIMAL_2, DECIMAL_1)
        cells.append((values, styles))
    _table(form, (*heads, f"Value ({plan.facts.currency})", "Less value (%)"), cells)
    form.line(
        "Set-ups: one for each pattern. Value: parent sheets at their price, stock on hand alike, before packs. "
        "Volumes with the same page size and paper share a leaf in the usual way too.",
        NOTE,
    )
