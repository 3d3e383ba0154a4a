"""Which cut sizes serve the volumes of one paper: what is asked, what is answered, and the tables of both.

Sides are whole ticks (0.5 mm, or 1/32 in where the lab works in inches); distances from the ideal are um; paper
is mm2 of the paper's cheapest stock. Windows whose figures are alike are one window here. Trade model, section 6.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import polars as pl

from pipeline import units
from pipeline.contracts import TABLES
from pipeline.frames import Frames, figures
from pipeline.solve.size.parents import Parent, reached_sides, stock_parents


class Leaf(NamedTuple):
    """A cut size: width from spine to fore edge, height from head to tail."""

    width_ticks: int
    height_ticks: int


class Rectangle(NamedTuple):
    """Every leaf from the least to the most of both sides."""

    least_width_ticks: int
    most_width_ticks: int
    least_height_ticks: int
    most_height_ticks: int

    def holds(self, leaf: Leaf) -> bool:
        """Whether the leaf lies in the rectangle."""
        return (
            self.least_width_ticks <= leaf.width_ticks <= self.most_width_ticks
            and self.least_height_ticks <= leaf.height_ticks <= self.most_height_ticks
        )

    def is_empty(self) -> bool:
        """Whether no leaf lies in the rectangle."""
        return (
            self.least_width_ticks > self.most_width_ticks or self.least_height_ticks > self.most_height_ticks
        )

    @property
    def shape(self) -> tuple[int, int]:
        """Numbers of widths and of heights."""
        return (
            self.most_width_ticks - self.least_width_ticks + 1,
            self.most_height_ticks - self.least_height_ticks + 1,
        )

    def leaves(self) -> list[Leaf]:
        """Every leaf of the rectangle, narrow before wide, low before high."""
        return [
            Leaf(width, height)
            for width in range(self.least_width_ticks, self.most_width_ticks + 1)
            for height in range(self.least_height_ticks, self.most_height_ticks + 1)
        ]


class VolumeSheets(NamedTuple):
    """A volume and the sheets of this paper it gets."""

    volume_id: str
    sheets: int


@dataclass(frozen=True, kw_only=True)
class Window:
    """The leaves that some volumes, all alike, accept, and the leaf they would like best."""

    rectangle: Rectangle
    ideal_width_um: int
    ideal_height_um: int
    off_ideal_mm2_per_mm: int
    """Paper worth one mm off the ideal, mm2 a sheet."""
    volumes: tuple[VolumeSheets, ...]

    @property
    def sheets(self) -> int:
        """Sheets of all of the window's volumes."""
        return sum(volume.sheets for volume in self.volumes)


@dataclass(frozen=True, kw_only=True)
class SizeProblem:
    """One paper: windows to be served by the fewest leaves, and the parents the leaves are cut from."""

    paper_id: str
    length_unit: str
    windows: tuple[Window, ...]
    parents: tuple[Parent, ...]


@dataclass(frozen=True, kw_only=True)
class CutSize:
    """One leaf and the windows (by number) it serves."""

    leaf: Leaf
    windows: tuple[int, ...]


@dataclass(frozen=True, kw_only=True)
class SizeSolution:
    """Cut sizes of one paper, highest and widest first; no fewer than `lower_bound` can do.

    `strangers` are windows of which no two overlap: each needs a size of its own, as anyone can see.
    """

    paper_id: str
    sizes: tuple[CutSize, ...]
    lower_bound: int
    strangers: tuple[int, ...]


def ideal_leaf(window: Window, length_unit: str) -> Leaf:
    """The leaf of a window nearest below its ideal, as far as the window holds it."""
    rectangle = window.rectangle
    width, height = (
        units.ticks_down(units.um_to_mm(um), length_unit)
        for um in (window.ideal_width_um, window.ideal_height_um)
    )
    return Leaf(
        min(max(width, rectangle.least_width_ticks), rectangle.most_width_ticks),
        min(max(height, rectangle.least_height_ticks), rectangle.most_height_ticks),
    )


def shared_rectangle(rectangles: Collection[Rectangle]) -> Rectangle:
    """The leaves that lie in all of the rectangles; empty when they share none. Raises ValueError without any."""
    return Rectangle(
        max(rectangle.least_width_ticks for rectangle in rectangles),
        min(rectangle.most_width_ticks for rectangle in rectangles),
        max(rectangle.least_height_ticks for rectangle in rectangles),
        min(rectangle.most_height_ticks for rectangle in rectangles),
    )


def admissible_leaves(problem: SizeProblem, solution: SizeSolution) -> tuple[Rectangle, ...]:
    """For each cut size, every leaf that would serve its windows as well."""
    return tuple(
        shared_rectangle([problem.windows[number].rectangle for number in size.windows])
        for size in solution.sizes
    )


def size_problems(frames: Frames) -> list[SizeProblem]:
    """One problem for each paper with sheets, by paper_id.

    Reads work.size_windows, clean.campaign, clean.papers, clean.stock and policy.figures.
    """
    windows = frames["work.size_windows"]
    unit = str(frames["clean.campaign"]["length_unit"].item())
    pct = figures(frames)["size.paper_saving_per_mm_off_ideal_pct"]
    return [
        SizeProblem(
            paper_id=paper_id,
            length_unit=unit,
            windows=_windows(windows.filter(pl.col("paper_id") == paper_id), parents, pct),
            parents=parents,
        )
        for paper_id in sorted(set(windows["paper_id"].to_list()))
        for parents in [stock_parents(frames, paper_id)]
    ]


def _windows(rows: pl.DataFrame, parents: tuple[Parent, ...], pct: float) -> tuple[Window, ...]:
    """Windows in the order of their figures, those alike made one."""
    alike: dict[Window, list[VolumeSheets]] = {}
    for row in rows.sort("volume_id").iter_rows(named=True):
        window = Window(
            rectangle=_within_reach(
                Rectangle(
                    row["least_width_ticks"],
                    row["most_width_ticks"],
                    row["least_height_ticks"],
                    row["most_height_ticks"],
                ),
                parents,
            ),
            ideal_width_um=units.floor_um(row["ideal_width_mm"]),
            ideal_height_um=units.floor_um(row["ideal_height_mm"]),
            off_ideal_mm2_per_mm=units.pct_of_area_mm2(row["ideal_width_mm"], row["ideal_height_mm"], pct),
            volumes=(),
        )
        alike.setdefault(window, []).append(VolumeSheets(row["volume_id"], row["sheets"]))
    merged = [replace(window, volumes=tuple(volumes)) for window, volumes in alike.items()]
    return tuple(sorted(merged, key=_figures_of))


def _figures_of(window: Window) -> tuple[int, ...]:
    return (*window.rectangle, window.ideal_width_um, window.ideal_height_um)


def _within_reach(rectangle: Rectangle, parents: tuple[Parent, ...]) -> Rectangle:
    """The part of a window that comes off a parent, the largest such part; the window itself where none does.

    A page nearly as large as the sheet takes a leaf smaller than the ideal, and a sheet still.
    """
    parts = []
    for most_width_ticks, most_height_ticks in reached_sides(parents):
        part = rectangle._replace(
            most_width_ticks=min(rectangle.most_width_ticks, most_width_ticks),
            most_height_ticks=min(rectangle.most_height_ticks, most_height_ticks),
        )
        if not part.is_empty():
            parts.append(part)
    return max(parts, key=lambda part: (part.shape[0] * part.shape[1], part), default=rectangle)


def solution_tables(
    problems: Sequence[SizeProblem], solutions: Sequence[SizeSolution], pages: pl.DataFrame
) -> Frames:
    """work.cut_sizes, work.cut_size_volumes and work.cut_size_bounds of all papers.

    `pages` is work.size_windows. A cut_size_id is the paper's id and a number, highest and widest leaf first.
    """
    page_sides = {
        (row["volume_id"], row["paper_id"]): (row["page_width_mm"], row["page_height_mm"])
        for row in pages.iter_rows(named=True)
    }
    sizes, served, bounds = [], [], []
    for problem, solution in zip(problems, solutions, strict=True):
        bounds.append(
            {
                "paper_id": problem.paper_id,
                "cut_sizes": len(solution.sizes),
                "lower_bound": solution.lower_bound,
            }
        )
        for size, cut_size_id in zip(solution.sizes, cut_size_ids(solution), strict=True):
            size_row, volume_rows = _size_rows(problem, size, cut_size_id, page_sides)
            sizes.append(size_row)
            served.extend(volume_rows)
    rows = {"work.cut_sizes": sizes, "work.cut_size_volumes": served, "work.cut_size_bounds": bounds}
    return {name: TABLES[name].frame(table_rows) for name, table_rows in rows.items()}


def cut_size_ids(solution: SizeSolution) -> list[str]:
    """Ids of a solution's cut sizes in order, such as BUF90-01; unique over all papers."""
    digits = max(2, len(str(len(solution.sizes))))
    return [f"{solution.paper_id}-{number:0{digits}d}" for number in range(1, len(solution.sizes) + 1)]


def _size_rows(
    problem: SizeProblem,
    size: CutSize,
    cut_size_id: str,
    page_sides: dict[tuple[str, str], tuple[float, float]],
) -> tuple[dict[str, object], list[dict[str, object]]]:
    width_mm = units.ticks_to_mm(size.leaf.width_ticks, problem.length_unit)
    height_mm = units.ticks_to_mm(size.leaf.height_ticks, problem.length_unit)
    volumes = sorted(volume for number in size.windows for volume in problem.windows[number].volumes)
    size_row: dict[str, object] = {
        "cut_size_id": cut_size_id,
        "paper_id": problem.paper_id,
        "width_mm": width_mm,
        "height_mm": height_mm,
        "sheets": sum(volume.sheets for volume in volumes),
    }
    volume_rows: list[dict[str, object]] = []
    for volume in volumes:
        page_width_mm, page_height_mm = page_sides[volume.volume_id, problem.paper_id]
        volume_rows.append(
            {
                "cut_size_id": cut_size_id,
                "volume_id": volume.volume_id,
                "sheets": volume.sheets,
                "clearance_width_mm": page_width_mm - width_mm,
                "clearance_height_mm": page_height_mm - height_mm,
            }
        )
    return size_row, volume_rows
