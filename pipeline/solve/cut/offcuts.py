"""Leaves cut from the useful off-cuts of parents that are cut anyway, so that whole fresh parents are spared.

The patterns of the plan stay as they are; only how many parents are cut by each, and what is cut from their
off-cuts, is chosen anew. An off-cut that is used is cut square where it falls, so it needs no trim; it is a panel
of its own without cost. Off-cuts of off-cuts are not used again. The choice is exact over the ways listed; where
an off-cut could be cut in very many ways, only some are listed, and the method says so.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from pipeline.solve.cut.layout import remainders
from pipeline.solve.cut.offcut_model import Choice, Question, WayTerms, choose
from pipeline.solve.cut.offcut_ways import ways_of
from pipeline.solve.cut.problem import Panel, Pattern, Problem, Run, join_runs, pattern_cost, piece_counts
from pipeline.solve.cut.supplies import FIRST_CUTS
from pipeline.solve.cut.tidy import without_surplus


@dataclass(frozen=True, kw_only=True)
class Handling:
    """When an off-cut is worth its work. Costs are campaign currency; sides are ticks.

    `keeping_cost` is that of labelling, keeping and finding the off-cuts of a ticket.
    """

    setup_cost: float
    lift_cost: float
    keeping_cost: float
    sheets_a_lift: int
    longest_cut_ticks: int
    least_sides_ticks: tuple[int, int]


class Offcut(NamedTuple):
    """Like off-cuts of a run: index of the run, sides along the stock's width and length, how many a parent."""

    run: int
    along_width: int
    along_length: int
    each: int


class Source(NamedTuple):
    """Where a panel comes from: the pattern that leaves the off-cut, and the off-cut's sides."""

    pattern: Pattern
    along_width: int
    along_length: int


@dataclass(frozen=True, kw_only=True)
class Reuse:
    """A plan that uses off-cuts. `problem` has a panel without cost for each kind and direction of off-cut.

    `sources` says what the panels of off-cuts are; `spared` are the fresh parents that are no longer cut.
    `saved` and `most_saved` are currency, work included: what is saved, and what could be at most in this way.
    """

    problem: Problem
    runs: tuple[Run, ...]
    sources: dict[int, Source]
    spared: tuple[Run, ...]
    saved: float
    most_saved: float
    method: str
    limit_hit: str


ALL_WAYS = "whole-number program over all ways of cutting the off-cuts; fresh patterns stay as they are"
SOME_WAYS = (
    "heuristic: whole-number program over some ways of cutting the off-cuts; fresh patterns stay as they are"
)


def is_useful(along_width: int, along_length: int, least_sides: tuple[int, int]) -> bool:
    """Whether an off-cut is worth keeping: its shorter and its longer side reach the least ones."""
    shorter, longer = sorted((along_width, along_length))
    return shorter >= least_sides[0] and longer >= least_sides[1]


def use_offcuts(problem: Problem, runs: Sequence[Run], handling: Handling) -> Reuse | None:
    """The plan with fresh parents spared, where that saves more than its work costs; None where nothing is saved.

    Every rule of cutting holds for off-cuts as for parents: grain, two stages, sizes on a parent, longest cut.
    """
    search = _Search(problem, tuple(runs), handling)
    if not search.spare:
        return None
    choice = choose(search.question())
    return search.answer(choice) if choice and any(choice.times) else None


class _Search:
    """Off-cuts of a plan as panels, runs of which parents might be spared, and ways of cutting the off-cuts."""

    def __init__(self, problem: Problem, runs: tuple[Run, ...], handling: Handling) -> None:
        self.runs, self.handling = runs, handling
        self.fresh_panels = len(problem.panels)
        self.offcuts = [o for run in range(len(runs)) for o in _offcuts_of(problem, runs, run, handling)]
        self.owners: list[int] = []
        panels: list[Panel] = []
        for number, offcut in enumerate(self.offcuts):
            found = _panels_of(problem.panels[runs[offcut.run].pattern.panel], offcut, handling)
            panels += found
            self.owners += [number] * len(found)
        self.problem = replace(problem, panels=(*problem.panels, *panels))
        self.counts = [piece_counts(problem, run.pattern) for run in runs]
        made = [sum(c[i] * r.sheets for c, r in zip(self.counts, runs, strict=True)) for i in self._sizes()]
        self.surplus = [made[i] - problem.sizes[i].demand for i in self._sizes()]
        self.spare = self._spare()
        self.ways, self.are_all = self._ways()

    def _sizes(self) -> range:
        return range(len(self.problem.sizes))

    def _spare(self) -> list[int]:
        """Runs of which a parent might be spared: all its pieces are surplus or might come from off-cuts."""
        most = list(self.surplus)
        for panel, owner in enumerate(self.owners, start=self.fresh_panels):
            offcut, rooms = self.offcuts[owner], self.problem.panels[panel]
            for size, turned in self.problem.placements(panel):
                print_ = self.problem.footprint(panel, size, turned)
                fit = (rooms.strip_ticks // print_.along_strip) * (rooms.stack_ticks // print_.along_stack)
                most[size] += fit * offcut.each * self.runs[offcut.run].sheets
        return [
            run
            for run, counts in enumerate(self.counts)
            if all(count <= most[size] for size, count in enumerate(counts) if count)
        ]

    def _ways(self) -> tuple[list[Pattern], bool]:
        """Patterns on off-cuts, of no more pieces than the spared parents would have given."""
        wanted = [
            max(0, sum(self.counts[run][size] * self.runs[run].sheets for run in self.spare) - extra)
            for size, extra in enumerate(self.surplus)
        ]
        found: list[Pattern] = []
        are_all = True
        for panel in range(self.fresh_panels, len(self.problem.panels)):
            ways = ways_of(self.problem, panel, wanted)
            found += ways.patterns
            are_all = are_all and ways.are_all
        return found, are_all

    def _owner(self, way: Pattern) -> int:
        return self.owners[way.panel - self.fresh_panels]

    def question(self) -> Question:
        """The choice of parents to spare and ways to use, as numbers."""
        work, unit = self.handling, float(self.problem.cost_unit)
        lifts = [-(-run.sheets // work.sheets_a_lift) for run in self.runs]
        return Question(
            sheets=[self.runs[run].sheets for run in self.spare],
            parent_counts=[self.counts[run] for run in self.spare],
            parent_costs=[pattern_cost(self.problem, self.runs[run].pattern) * unit for run in self.spare],
            run_costs=[work.setup_cost + lifts[run] * work.lift_cost for run in self.spare],
            surplus=self.surplus,
            ways=[
                WayTerms(piece_counts(self.problem, way), self._owner(way), work.sheets_a_lift)
                for way in self.ways
            ],
            ticket_cost=work.setup_cost + work.lift_cost + work.keeping_cost,
            offcuts=[self._supply(offcut) for offcut in self.offcuts],
        )

    def _supply(self, offcut: Offcut) -> tuple[int, int, int | None]:
        """Off-cuts of a kind in the whole plan, how many a parent, place of its run among those to spare."""
        sheets = self.runs[offcut.run].sheets
        place = self.spare.index(offcut.run) if offcut.run in self.spare else None
        return offcut.each * sheets, offcut.each, place

    def answer(self, choice: Choice) -> Reuse:
        """The plan of a choice, without pieces beyond the demand on the off-cuts."""
        spared = dict(zip(self.spare, choice.spared, strict=True))
        fresh = [run._replace(sheets=run.sheets - spared.get(i, 0)) for i, run in enumerate(self.runs)]
        used = [Run(way, times) for way, times in zip(self.ways, choice.times, strict=True) if times]
        left = [size.demand for size in self.problem.sizes]
        for run, counts in zip(fresh, self.counts, strict=True):
            left = [most - count * run.sheets for most, count in zip(left, counts, strict=True)]
        sizes = zip(self.problem.sizes, left, strict=True)
        rest = replace(self.problem, sizes=tuple(replace(s, demand=max(0, most)) for s, most in sizes))
        return Reuse(
            problem=self.problem,
            runs=(*(run for run in fresh if run.sheets), *without_surplus(rest, used)),
            sources={
                self.fresh_panels + place: self._source(owner) for place, owner in enumerate(self.owners)
            },
            spared=join_runs(
                self.problem, [Run(self.runs[run].pattern, times) for run, times in spared.items()]
            ),
            saved=choice.saved,
            most_saved=choice.most_saved if self.are_all else max(choice.most_saved, self._all_spared()),
            method=ALL_WAYS if self.are_all else SOME_WAYS,
            limit_hit=choice.limit_hit,
        )

    def _all_spared(self) -> float:
        """Saved if every parent that might be spared were, at no work: no way of cutting the off-cuts saves more."""
        asked = self.question()
        paper = sum(n * cost for n, cost in zip(asked.sheets, asked.parent_costs, strict=True))
        return paper + sum(asked.run_costs)

    def _source(self, owner: int) -> Source:
        offcut = self.offcuts[owner]
        return Source(self.runs[offcut.run].pattern, offcut.along_width, offcut.along_length)


def _offcuts_of(problem: Problem, runs: Sequence[Run], number: int, handling: Handling) -> list[Offcut]:
    """Useful off-cuts of one run that the guillotine can square on all four sides, like ones together."""
    counts: dict[tuple[int, int], int] = {}
    for place in remainders(problem, runs[number].pattern):
        sides = place.along_width, place.along_length
        is_squared = max(sides) <= handling.longest_cut_ticks
        if is_squared and is_useful(*sides, least_sides=handling.least_sides_ticks):
            counts[sides] = counts.get(sides, 0) + 1
    return [Offcut(number, *sides, each) for sides, each in sorted(counts.items())]


def _panels_of(parent: Panel, offcut: Offcut, handling: Handling) -> list[Panel]:
    """Both ways of cutting an off-cut. Its grain is the parent's; its edges are cut already."""
    is_grain_long = parent.is_grain_along_strip == (parent.first_cut != "across_width")
    panels = []
    for first_cut in FIRST_CUTS:
        across = first_cut == "across_width"
        sides = offcut.along_width, offcut.along_length
        panels.append(
            Panel(
                stock_id=parent.stock_id,
                first_cut=first_cut,
                is_grain_along_strip=is_grain_long != across,
                strip_ticks=sides[0] if across else sides[1],
                stack_ticks=sides[1] if across else sides[0],
                cost=0,
            )
        )
    return panels
