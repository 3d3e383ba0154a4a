"""What more or less of the grant would bring, as a table and a picture, for the funder report and the lab."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from pipeline.outputs.pictures import FONT_POINTS, blank_figure, png_bytes
from pipeline.outputs.sheet import Book
from pipeline.outputs.styles import BODY, DECIMAL_1, DECIMAL_2, INTEGER
from pipeline.outputs.table import Column, write_table
from pipeline.published_plan import Plan, Row

if TYPE_CHECKING:
    from matplotlib.axes import Axes

NAME = "More or less"
PURPOSE = (
    "what more or less of hours, of money or of both would bring; the plan is the row `grant as given`, "
    "all other rows are estimates"
)
TITLE = "Page losses avoided against hours and against money"
WIDTH_INCHES, HEIGHT_INCHES = 6.4, 3.4
NEAR_SHARE = 0.6
"""Share of the greatest value from which on values lie near each other: their axis then does not start at 0."""
MARGIN_SHARE = 0.05
CUT_AXES = "axes do not start at 0"
LEFT, RIGHT = (0.13, 0.17, 0.36, 0.66), (0.61, 0.17, 0.36, 0.66)


@dataclass(frozen=True)
class _Line:
    """A line of the picture: what is varied along it and how it looks."""

    varied: str
    word: str
    marker: str
    dashes: str


BOTH = _Line("hours and money", "both", "o", "-")
HOURS = _Line("hours", "hours alone", "^", "--")
MONEY = _Line("money", "money alone", "s", ":")


def frontier_rows(plan: Plan) -> list[Row]:
    """Points of the frontier in their order; none where no volume may be planned."""
    rows = plan.table("frontier")
    return rows if any(row["benefit"] for row in rows) else []


def write_frontier(book: Book, plan: Plan) -> tuple[str, str]:
    """Write the table; returns the sheet's name and purpose."""
    sheet = book.sheet(NAME, landscape=True)
    write_table(sheet, _columns(plan.facts.currency), frontier_rows(plan))
    sheet.finish()
    return sheet.name, PURPOSE


def _columns(currency: str) -> tuple[Column, ...]:
    return (
        Column(heading="What is varied", key="varied", style=BODY),
        Column(heading="How much", key="label", style=BODY),
        Column(heading="Estimate or plan", key="is_estimate", style=BODY, value=_basis),
        Column(heading="Hours there are", key="hours_there", style=DECIMAL_1),
        Column(heading=f"Supplies budget ({currency})", key="supplies_budget", style=DECIMAL_2),
        Column(heading=f"Staff budget ({currency})", key="staff_budget", style=DECIMAL_2),
        Column(heading="Hours of work", key="hours", style=DECIMAL_1),
        Column(heading=f"Supplies ({currency})", key="supplies_cost", style=DECIMAL_2),
        Column(heading=f"Labour ({currency})", key="staff_cost", style=DECIMAL_2),
        Column(heading=f"In all ({currency})", key="cost", style=DECIMAL_2),
        Column(heading="Volumes with sheets", key="planned_volumes_count", style=INTEGER),
        Column(heading="Sheets", key="sheets", style=INTEGER),
        Column(heading="Page losses avoided", key="benefit", style=DECIMAL_1),
        Column(heading="At most (proven for the estimate)", key="bound_benefit", style=DECIMAL_1),
    )


def _basis(row: Row) -> str:
    return "estimate" if row["is_estimate"] else "the plan"


def frontier_words(rows: Sequence[Row], currency: str) -> str:
    """The picture's figures in words."""
    points = (
        f"{row['varied']} {row['label']}: {row['benefit']:,.0f} page losses avoided, {row['hours']:,.0f} hours, "
        f"{row['cost']:,.0f} {currency}"
        for row in rows
        if row["varied"] == BOTH.varied
    )
    return "Lines. " + "; ".join(points)


def frontier_png(rows: Sequence[Row], currency: str) -> bytes:
    """PNG: page losses avoided against hours on the left, against money on the right; the plan is the star."""
    figure = blank_figure(WIDTH_INCHES, HEIGHT_INCHES)
    left, right = figure.add_axes(LEFT), figure.add_axes(RIGHT)
    for axes, key, lines in ((left, "hours", (BOTH, HOURS)), (right, "cost", (BOTH, MONEY))):
        for line in lines:
            _draw(axes, rows, key, line)
        _mark_plan(axes, rows, key)
        axes.set_xlim(axis_span([row[key] for row in rows]))
        axes.set_ylim(axis_span([row["benefit"] for row in rows]))
        axes.tick_params(labelsize=FONT_POINTS)
        for side in ("top", "right"):
            axes.spines[side].set_visible(False)
    if left.get_ylim()[0] > 0:
        figure.text(0.01, 0.01, CUT_AXES, fontsize=FONT_POINTS)
    left.set_xlabel("hours of work", fontsize=FONT_POINTS)
    right.set_xlabel(f"supplies and labour ({currency.replace('$', chr(92) + '$')})", fontsize=FONT_POINTS)
    left.set_ylabel("page losses avoided", fontsize=FONT_POINTS)
    handles = {
        text: handle
        for axes in (left, right)
        for handle, text in zip(*axes.get_legend_handles_labels(), strict=True)
    }
    figure.legend(
        handles.values(), handles.keys(), loc="upper center", ncols=2, fontsize=FONT_POINTS, frameon=False
    )
    return png_bytes(figure)


def axis_span(values: Sequence[float]) -> tuple[float, float]:
    """From 0, or from a little below the least where all values lie near each other; a little beyond the greatest."""
    margin = MARGIN_SHARE * max(values)
    is_near = min(values) >= NEAR_SHARE * max(values)
    return (min(values) - margin if is_near else 0.0), max(values) + margin


def _draw(axes: "Axes", rows: Sequence[Row], key: str, line: _Line) -> None:
    points = [row for row in rows if row["varied"] == line.varied or not row["is_estimate"]]
    points.sort(key=lambda row: (row[key], row["benefit"]))
    axes.plot(
        [row[key] for row in points],
        [row["benefit"] for row in points],
        line.dashes,
        marker=line.marker,
        markersize=3.5,
        color="black",
        linewidth=1.0,
        markerfacecolor="white",
        label=f"estimates: {line.word}",
    )


def _mark_plan(axes: "Axes", rows: Sequence[Row], key: str) -> None:
    for row in rows:
        if not row["is_estimate"]:
            axes.plot(
                row[key], row["benefit"], "*", color="black", markersize=11, label="the plan: grant as given"
            )
