"""Pictures of the reports: greys and hatching, figures written on the bars."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from pipeline.outputs.funder_facts import STATES, Figure, month_name
from pipeline.outputs.pictures import FONT_POINTS, GREYS, HATCHES, blank_figure, png_bytes
from pipeline.outputs.plan import Row

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure as Picture

Look = dict[str, Any]

WIDTH_INCHES = 6.4
BAR_INCHES = 0.42
FRAME_INCHES = 1.5
MOST_HEIGHT_INCHES = 8.0
CHOICES_INCHES = 2.7
LABEL_LETTERS = 28
FEW_SHARE = 0.04
"""A part of a bar shorter than this share of the longest is drawn without its figure."""


def states_picture(rows: Sequence[Row]) -> bytes:
    """PNG: volumes by state, one bar for each collection."""
    figure, axes = _bars(len(rows), "volumes")
    longest = max((row["volumes"] or 0 for row in rows), default=0) or 1
    starts = [0.0] * len(rows)
    for number, state in enumerate(STATES):
        values = [row[state.key] or 0.0 for row in rows]
        if any(values):
            _layer(axes, (starts, values), state.heading, number, least=FEW_SHARE * longest)
            starts = [start + value for start, value in zip(starts, values, strict=True)]
    axes.set_xlim(0, 1.03 * longest)
    _names(axes, [row["collection"] for row in rows])
    figure.legend(loc="lower center", ncols=4, fontsize=FONT_POINTS - 0.5, frameon=False, handlelength=2.5)
    return png_bytes(figure)


def _layer(
    axes: "Axes", bars: tuple[list[float], list[float]], word: str, number: int, *, least: float
) -> None:
    starts, values = bars
    places = range(len(values))
    look: Look = {"color": GREYS[number], "hatch": HATCHES[number], "edgecolor": "black", "linewidth": 0.6}
    axes.barh(places, values, left=starts, height=0.62, label=word, **look)
    white = {"facecolor": "white", "edgecolor": "none", "pad": 0.8}
    for place, start, value in zip(places, starts, values, strict=True):
        if value > least:
            middle = start + value / 2
            axes.text(
                middle, place, f"{value:,.0f}", fontsize=FONT_POINTS - 1, ha="center", va="center", bbox=white
            )


def losses_picture(rows: Sequence[Row], possible: Figure, planned: Figure) -> bytes:
    """PNG: page losses that could be avoided and those the plan avoids, by collection."""
    figure, axes = _bars(len(rows), "page-equivalents over the horizon")
    for shift, part, number in ((-0.19, possible, 0), (0.19, planned, 1)):
        values = [row[part.key] or 0.0 for row in rows]
        places = [place + shift for place in range(len(rows))]
        look: Look = {
            "color": GREYS[number],
            "hatch": HATCHES[number],
            "edgecolor": "black",
            "linewidth": 0.6,
        }
        axes.barh(places, values, height=0.36, label=part.heading, **look)
        for place, value in zip(places, values, strict=True):
            axes.text(value, place, f" {value:,.1f}", fontsize=FONT_POINTS - 1, ha="left", va="center")
    _names(axes, [row["collection"] for row in rows])
    axes.margins(x=0.12)
    figure.legend(loc="lower center", ncols=2, fontsize=FONT_POINTS, frameon=False, handlelength=2.5)
    return png_bytes(figure)


def hours_picture(months: Sequence[Row]) -> bytes:
    """PNG: hours of work by month."""
    figure = blank_figure(WIDTH_INCHES, 2.8)
    axes = figure.add_axes((0.1, 0.2, 0.87, 0.74))
    values = [row["hours"] for row in months]
    axes.bar(range(len(months)), values, width=0.6, color=GREYS[1], edgecolor="black", linewidth=0.6)
    for place, value in enumerate(values):
        axes.text(place, value, f"{value:,.0f}", fontsize=FONT_POINTS, ha="center", va="bottom")
    axes.set_xticks(
        range(len(months)),
        [month_name(row) for row in months],
        fontsize=FONT_POINTS,
        rotation=45 if len(months) > 9 else 0,
    )
    axes.set_ylabel("hours", fontsize=FONT_POINTS)
    axes.margins(y=0.15)
    axes.set_xlim(-0.8, max(len(months), 4) - 0.2)
    _plain(axes)
    return png_bytes(figure)


def choices_picture(
    clearances: Sequence[tuple[str, Row]], sizes: Sequence[tuple[str, Row]], *, units: tuple[str, str]
) -> bytes:
    """PNG: value of the parents and number of cut sizes by greatest clearance; value by sizes on a parent.

    Each row comes with its name on the axis; `units` are those of length and of money.
    """
    figure = blank_figure(WIDTH_INCHES, CHOICES_INCHES)
    left, right = figure.add_axes((0.11, 0.2, 0.47, 0.7)), figure.add_axes((0.69, 0.2, 0.3, 0.7))
    _by_clearance(left, clearances, units)
    values = [row["cost_needed"] for _, row in sizes]
    right.bar(range(len(values)), values, width=0.6, color=GREYS[1], edgecolor="black", linewidth=0.6)
    for place, (_, row) in enumerate(sizes):
        text = f"{row['cost_needed']:,.0f}\n({row['patterns_count']})"
        right.text(place, row["cost_needed"], text, fontsize=FONT_POINTS - 1.5, ha="center", va="bottom")
    right.set_ylim(0, 1.25 * max(values))
    right.set_title("in brackets: patterns", fontsize=FONT_POINTS, loc="left")
    right.set_xticks(range(len(sizes)), [name for name, _ in sizes], fontsize=FONT_POINTS)
    right.set_xlabel("sizes on a parent sheet", fontsize=FONT_POINTS)
    _plain(right)
    return png_bytes(figure)


def _by_clearance(axes: "Axes", rows: Sequence[tuple[str, Row]], units: tuple[str, str]) -> None:
    places = range(len(rows))
    values, least = ([row[key] for _, row in rows] for key in ("cost_needed", "cost_lower_bound"))
    axes.plot(places, values, color="black", marker="o", linewidth=1.2, label="quick search")
    axes.plot(places, least, color="0.4", linestyle="--", linewidth=1.0, label="proven least")
    for place, (_, row) in enumerate(rows):
        axes.annotate(
            f"{row['cut_sizes']}",
            (place, row["cost_needed"]),
            xytext=(0, 5),
            textcoords="offset points",
            fontsize=FONT_POINTS - 0.5,
            ha="center",
            fontweight="bold" if row["is_planned"] else "normal",
        )
        if row["is_planned"]:
            axes.plot(
                [place], [row["cost_needed"]], marker="s", markersize=9, color="black", fillstyle="none"
            )
    axes.set_xticks(places, [name for name, _ in rows], fontsize=FONT_POINTS)
    axes.set_xlabel(f"greatest clearance ({units[0]}); framed: this plan", fontsize=FONT_POINTS)
    axes.set_ylabel(f"value of parents ({units[1]})", fontsize=FONT_POINTS)
    axes.set_title("numbers: cut sizes", fontsize=FONT_POINTS, loc="left")
    axes.margins(x=0.06, y=0.18)
    axes.legend(fontsize=FONT_POINTS - 0.5, frameon=False)
    _plain(axes)


def _bars(count: int, label: str) -> tuple["Picture", "Axes"]:
    height = min(MOST_HEIGHT_INCHES, FRAME_INCHES + BAR_INCHES * max(count, 1))
    figure = blank_figure(WIDTH_INCHES, height)
    foot = 1.0 / height
    axes = figure.add_axes((0.29, foot, 0.68, 1 - foot - 0.1 / height))
    axes.set_xlabel(label, fontsize=FONT_POINTS)
    _plain(axes)
    return figure, axes


def _names(axes: "Axes", names: Sequence[str]) -> None:
    axes.set_yticks(range(len(names)), [_short(name) for name in names], fontsize=FONT_POINTS)
    axes.invert_yaxis()


def _short(name: str) -> str:
    plain = name.replace("$", r"\$")  # a dollar sign would start a formula
    return plain if len(plain) <= LABEL_LETTERS else plain[: LABEL_LETTERS - 1] + "…"


def _plain(axes: "Axes") -> None:
    axes.tick_params(labelsize=FONT_POINTS)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
