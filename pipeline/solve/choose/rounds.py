"""What a finished round found against what the choice was made on, and the corrections that follow.

Protocol: a round is 06 choose to 10 schedule. After it `corrections_of_round` gives rows of
work.corrections; none means that every budget and date holds. The next choice is a function of all rows so
far:

- `supplies`, `staff`, `hours`: estimated and found need; their ratio is the factor on the estimates from
now on. - `dates`: a volume with sheets of which a task found no date. - `volume`: the most option left to a
volume from now on.

In the free rounds a limit that left room it could have used is loosened (the first two rounds only), and
one that broke is tightened. After the free rounds nothing may grow: each volume keeps at most what it has,
what broke gives way, so every further round takes something away and the rounds come to an end.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from pipeline.solve.choose.check import needs, picked
from pipeline.solve.choose.corrections import Tightening
from pipeline.solve.choose.problem import Minutes, Problem, Solution

LOOSENING_ROUNDS = 2
LEAST_TIGHTENING = 1.02
FORCED_TIGHTENING = 0.05
Row = dict[str, str | int | float]


@dataclass(frozen=True, kw_only=True)
class Estimated:
    """What the chosen options were thought to take, before any factor."""

    paper_cost: float
    staff_cost: float
    minutes: Minutes


@dataclass(frozen=True, kw_only=True)
class Found:
    """Figures of the finished plan. Paper used counts what came from the shelf, paper cost only packs bought.

    Minutes are those of cutting and of volumes with sheets, by least skill; the dated ones apart.
    """

    paper_used_cost: float
    supplies_cost: float
    staff_cost: float
    minutes: Minutes
    dated_minutes: Minutes
    undated: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Round:
    """One finished round: what was asked, what was estimated, what was found, and what may be asked next."""

    problem: Problem
    solution: Solution
    tightening: Tightening
    estimated: Estimated
    found: Found
    supplies_budget: float | None
    staff_budget: float | None
    available: Minutes
    held_by: frozenset[str]
    """Limits that keep some volume from its next option."""
    unused_frac: float
    full_hours_frac: float
    busy_hours_frac: float
    free_rounds_count: int

    @property
    def round_no(self) -> int:
        """Number of the round, from 0."""
        return self.tightening.round_no

    @property
    def may_loosen(self) -> bool:
        """Whether a limit with room left is still loosened."""
        return self.round_no < LOOSENING_ROUNDS

    @property
    def is_free(self) -> bool:
        """Whether volumes may still get more than before."""
        return self.round_no < self.free_rounds_count

    @property
    def least_tightening(self) -> float:
        """Least growth of the factor of a limit that broke; doubles in each round after the free ones."""
        forced = self.round_no - self.free_rounds_count
        return LEAST_TIGHTENING if forced < 0 else 1 + FORCED_TIGHTENING * 2.0**forced


def corrections_of_round(done: Round) -> list[Row]:
    """Rows of work.corrections after a round; none when every limit holds and none left much room."""
    rows = [*_supplies(done), *_staff(done), *_hours(done)]
    rows += [_row(done, "dates", 1.0, 0.0, volume_id) for volume_id in done.found.undated]
    if rows:
        rows += _most_options(done)
    return rows


def _supplies(done: Round) -> Iterator[Row]:
    """The factor on paper when packs and patterns came dearer than the budget, or left much of it over."""
    if done.supplies_budget is None:
        return
    estimated, found = done.estimated.paper_cost, done.found.paper_used_cost
    yield from _money(done, "supplies", done.found.supplies_cost - done.supplies_budget, estimated, found)


def _staff(done: Round) -> Iterator[Row]:
    """The factor on labour when the people who do the work cost more than the budget, or much less."""
    if done.staff_budget is None:
        return
    estimated, found = done.estimated.staff_cost, done.found.staff_cost
    yield from _money(done, "staff", found - done.staff_budget, estimated, found)


def _money(done: Round, limit: str, over: float, estimated: float, found: float) -> Iterator[Row]:
    budget = done.supplies_budget if limit == "supplies" else done.staff_budget
    factor = done.tightening.factor(limit)
    if not estimated or budget is None:
        return
    if over > 0:
        new = max(found / estimated, factor * done.least_tightening)
        yield _row(done, limit, estimated, estimated * new)
    elif (
        done.may_loosen
        and limit in done.held_by
        and not done.found.undated
        and -over > done.unused_frac * budget
    ):
        new = found / estimated
        if 0 < new < factor:
            yield _row(done, limit, estimated, found)


def _hours(done: Round) -> Iterator[Row]:
    """The factor on hours when volumes found no dates though people are busy, or when much was left over.

    With it the choice asks for no more of the scarcest skill than could be dated.
    """
    found, factor = done.found, done.tightening.hours_factor
    rank = _scarcest(done)
    if rank is None or not done.estimated.minutes[rank]:
        return
    estimated, available = done.estimated.minutes[rank], done.available[rank]
    if found.undated:
        if _filled_frac(done) >= done.busy_hours_frac and done.is_free:
            asked = found.minutes[rank] * available / max(found.dated_minutes[rank], 1)
            yield _row(done, "hours", estimated, max(asked, estimated * factor * done.least_tightening))
    elif done.may_loosen and "hours" in done.held_by and not done.tightening.undated:
        new = found.minutes[rank] / estimated
        if found.minutes[rank] < (1 - done.unused_frac) * available and 0 < new < factor:
            yield _row(done, "hours", estimated, found.minutes[rank])


def _scarcest(done: Round) -> int | None:
    """Rank of the skill whose hours are fullest on the finished plan; None when nobody has any hours."""
    ranks = [rank for rank in range(3) if done.available[rank]]
    if not ranks:
        return None
    return max(ranks, key=lambda rank: (done.found.dated_minutes[rank] / done.available[rank], -rank))


def _filled_frac(done: Round) -> float:
    """Share of the scarcest skill's hours that dated work fills."""
    rank = _scarcest(done)
    return 0.0 if rank is None else done.found.dated_minutes[rank] / done.available[rank]


def _most_options(done: Round) -> Iterator[Row]:
    """The most option left to volumes: none without dates, unless the hours are full and for the first time.

    After the free rounds every volume keeps at most what it has.
    """
    undated = set(done.found.undated)
    is_short_of_hours = done.is_free and _filled_frac(done) >= done.full_hours_frac
    chosen = zip(done.problem.volumes, picked(done.problem, done.solution), strict=True)
    for volume, option in chosen:
        again = done.tightening.undated.get(volume.volume_id, 0) > 0
        if volume.volume_id in undated and (again or not is_short_of_hours):
            yield _row(done, "volume", option.option_no, volume.options[0].option_no, volume.volume_id)
        elif not done.is_free:
            yield _row(done, "volume", option.option_no, option.option_no, volume.volume_id)


def _row(done: Round, limit: str, estimated: float, found: float, volume_id: str = "") -> Row:
    return {
        "round_no": done.round_no,
        "limit": limit,
        "volume_id": volume_id,
        "estimated": float(estimated),
        "found": float(found),
    }


def estimated_minutes(problem: Problem, solution: Solution, factor: float) -> Minutes:
    """Minutes of the chosen options without the factor they were raised by."""
    minutes = needs(problem, picked(problem, solution)).minutes
    return (int(minutes[0] / factor), int(minutes[1] / factor), int(minutes[2] / factor))
