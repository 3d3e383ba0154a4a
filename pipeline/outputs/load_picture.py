"""Hours planned against hours there are, week by week: all people together, then each of them."""

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

from pipeline.outputs.form import Form
from pipeline.outputs.pictures import FONT_POINTS, GREYS, blank_figure, png_bytes, png_inches
from pipeline.outputs.plan import Plan, Row, rows_by
from pipeline.outputs.sheet import Book
from pipeline.outputs.styles import SUBTITLE

if TYPE_CHECKING:
    from matplotlib.axes import Axes

WIDTH_INCHES = 6.8
PANEL_INCHES = 1.25
FRAME_INCHES = 0.5
MOST_PANELS = 6
"""All people together and the five with most work: as much as a page takes."""
MOST_WEEK_NAMES = 14
ALL_PEOPLE = "All people"


def write_load(book: Book, plan: Plan) -> tuple[str, str]:
    """Write the picture on a sheet of its own. Returns name and purpose."""
    sheet = book.sheet("Load")
    form = Form(sheet, (30.0, 30.0, 30.0))
    form.line("Load by week", SUBTITLE.but(size=16))
    panels = load_panels(plan.query("load_weeks"))
    if panels:
        form.line("Bars: hours planned. Line: hours there are, absences and closures taken off.")
        png = load_picture(panels)
        form.picture(png, load_words(panels), png_inches(png)[1])
    else:
        form.line("Nobody works in this plan.")
    sheet.print_area(form.row, form.last_column)
    sheet.repeat_rows(0, 0)
    sheet.finish()
    return (
        sheet.name,
        "for the project manager: hours planned against hours there are, week by week, as a picture",
    )


def load_panels(rows: Sequence[Row]) -> list[tuple[str, list[Row]]]:
    """Weeks by panel: all people together first, then the people with most hours planned, in the order of ids."""
    panels = rows_by(list(rows), "staff_id")
    people = sorted(
        (who for who in panels if who is not None), key=lambda who: (-panels[who][0]["campaign_planned"], who)
    )
    shown = [None] * (None in panels) + sorted(people[: MOST_PANELS - 1])
    return [(who or ALL_PEOPLE, panels[who]) for who in shown]


def load_words(panels: Sequence[tuple[str, Sequence[Row]]]) -> str:
    """The picture in words."""
    parts = (
        f"{name} {rows[0]['campaign_planned']:,.0f} of {rows[0]['campaign_available']:,.0f} hours"
        for name, rows in panels
    )
    return "Bars of hours planned under a line of hours there are, by week. " + "; ".join(parts)


def load_picture(panels: Sequence[tuple[str, Sequence[Row]]]) -> bytes:
    """PNG: one panel below the other, weeks from left to right."""
    height = FRAME_INCHES + PANEL_INCHES * len(panels)
    figure = blank_figure(WIDTH_INCHES, height)
    panel = PANEL_INCHES / height
    for number, (name, rows) in enumerate(panels):
        low = (FRAME_INCHES / height) + panel * (len(panels) - 1 - number)
        axes = figure.add_axes((0.09, low + 0.06 * panel, 0.89, 0.72 * panel))
        _panel(axes, name, rows)
        _weeks(axes, [row["week_start"] for row in rows], is_last=number == len(panels) - 1)
    return png_bytes(figure)


def _panel(axes: "Axes", name: str, rows: Sequence[Row]) -> None:
    places = list(range(len(rows)))
    planned = [row["hours_planned"] for row in rows]
    available = [row["hours_available"] for row in rows]
    axes.bar(places, planned, width=0.7, color=GREYS[1], edgecolor="black", linewidth=0.5)
    axes.step(
        [-0.5, *(place + 0.5 for place in places)],
        [available[0], *available],
        color="black",
        linewidth=1.2,
    )
    axes.set_ylim(0, 1.15 * max(1.0, *planned, *available))
    axes.set_xlim(-0.6, len(rows) - 0.4)
    axes.set_title(name.replace("$", r"\$"), fontsize=FONT_POINTS, loc="left", pad=2)
    axes.tick_params(labelsize=FONT_POINTS - 1)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)


def _weeks(axes: "Axes", weeks: Sequence[date], *, is_last: bool) -> None:
    step = -(-len(weeks) // MOST_WEEK_NAMES)
    shown = range(0, len(weeks), step)
    names = [f"{weeks[place]:%d %b}" if is_last else "" for place in shown]
    axes.set_xticks(list(shown), names, fontsize=FONT_POINTS - 1, rotation=45 if is_last else 0)
