"""Published cutting instances (copies in data/, each naming its source) as problems."""

import json
from pathlib import Path
from typing import Any, NamedTuple

from pipeline.solve.cut.problem import Panel, Problem, Size

DATA = Path(__file__).parent / "data"
SETS = ("cintra_two_stage", "cintra_two_stage_turned", "paper_synthetic", "cintra_three_stage")


class Instance(NamedTuple):
    """A problem with what its source lists: a lower bound and the best plan known (None: nothing listed)."""

    name: str
    problem: Problem
    listed_bound: float | None
    listed_best: float | None


def instances(name: str) -> list[Instance]:
    """The instances of a set, in the order of its file; or of another file in the same layout."""
    path = DATA / f"{name}.json"
    read = json.loads((path if path.exists() else Path(name)).read_text(encoding="utf-8"))
    return [
        Instance(one["name"], _problem(one), one["listed_bound"], one["listed_best"])
        for one in read["instances"]
    ]


def _problem(one: dict[str, Any]) -> Problem:
    sizes = tuple(
        Size(
            cut_size_id=f"C{index:03d}",
            width_ticks=width,
            height_ticks=height,
            demand=demand,
            may_turn=bool(one["may_turn"]),
        )
        for index, (width, height, demand) in enumerate(one["sizes"])
    )
    panels = tuple(
        Panel(
            stock_id=f"S{index}",
            first_cut=first_cut,
            is_grain_along_strip=first_cut == "across_length",
            strip_ticks=width if first_cut == "across_width" else height,
            stack_ticks=height if first_cut == "across_width" else width,
            cost=cost,
        )
        for index, (width, height, cost) in enumerate(one["stock"])
        for first_cut in one["first_cuts"]
    )
    return Problem(sizes=sizes, panels=panels, max_sizes=None)
