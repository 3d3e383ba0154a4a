"""What a finished round found against what the choice was made on, and the corrections that follow.

Protocol: a round is 06 choose to 10 schedule. After it `corrections_of_round` gives rows of work.corrections; none
means that every budget and date holds. The next choice is a function of all rows so far:

- `paper`, `shelf`, `packs`: a paper's use, the part of it that came from stock in the lab, and what was paid for
  packs, estimated and found; at the same choice the corrected estimate costs what was found.
- `staff`, `hours`, `supplies`: estimated and found need; their ratio is a factor on the estimates from now on.
- `dates`: a volume with sheets of which a task found no date.
- `volume`: the most option left to a volume from now on.

In the free rounds a limit that left room it could have used is loosened (the first rounds only; hours not once
a volume was late), and one that broke is tightened. After the free rounds nothing may grow: each volume keeps at
most what it has, what broke gives way, so every further round takes something away and the rounds come to an end.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil, inf

from pipeline.solve.choose.check import picked
from pipeline.solve.choose.corrections import Tightening
from pipeline.solve.choose.problem import Minutes, Problem, Solution
from pipeline.units import FLOOR_GUARD

LEAST_TIGHTENING = 1.02
FORCED_TIGHTENING = 0.05
Row = dict[str, str | int | float]


@dataclass(frozen=True, kw_only=True)
class Estimated:
    """What the chosen options were thought to take, before any factor; the use of each paper at its price."""

    papers: dict[str, float]
    staff_cost: float
    minutes: Minutes


@dataclass(frozen=True, kw_only=True)
class PaperUse:
    """A paper of the finished plan: use and what of it was in the lab at the paper's price; packs paid.

    `worth` is what stands in the lab, `pack` the price of a pack of its cheapest stock line.
    """

    used: float
    from_shelf: float
    paid: float
    worth: float
    pack: float


@dataclass(frozen=True, kw_only=True)
class Found:
    """Figures of the finished plan.

    Minutes are those of cutting and of volumes with sheets, by least skill; the dated ones apart.
    """

    papers: dict[str, PaperUse]
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
    loosening_rounds_count: int

    @property
    def round_no(self) -> int:
        """Number of the round, from 0."""
        return self.tightening.round_no

    @property
    def may_loosen(self) -> bool:
        """Whether a limit with room left is still loosened."""
        return self.round_no < self.loosening_rounds_count

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
    rows = [*_staff(done), *_hours(done)]
    rows += [
        _row(done, "dates", 1.0, 0.0, about=("volume_id", volume_id)) for volume_id in done.found.undated
    ]
    if rows or _asks_for_paper(done):
        rows += [*_papers(done), *_forced_supplies(done), *_most_options(done)]
    return rows


def _over_supplies(done: Round) -> float:
    """What the supplies cost beyond their budget; below 0 where some of it is left, minus infinite without one."""
    return -inf if done.supplies_budget is None else done.found.supplies_cost - done.supplies_budget


def _asks_for_paper(done: Round) -> bool:
    """Whether packs came dearer than the budget, or left much of it over that could be used."""
    over = _over_supplies(done)
    if done.supplies_budget is None or over > 0:
        return over > 0
    has_room = -over > done.unused_frac * done.supplies_budget
    return has_room and done.may_loosen and "supplies" in done.held_by and not done.found.undated


def _papers(done: Round) -> Iterator[Row]:
    """What each paper came to, so that the same choice would now be costed at what it costs."""
    for paper_id, estimated in sorted(done.estimated.papers.items()):
        use = done.found.papers.get(paper_id)
        if use is None or not estimated or not use.used:
            continue
        shelf = _shelf_found(done, paper_id, use)
        packs = max(0, ceil((use.used - shelf) / use.pack - FLOOR_GUARD)) * use.pack if use.pack else 0.0
        yield _row(done, "paper", estimated, use.used, about=("paper_id", paper_id))
        yield _row(done, "shelf", use.worth, shelf, about=("paper_id", paper_id))
        yield _row(done, "packs", packs, use.paid, about=("paper_id", paper_id))


def _shelf_found(done: Round, paper_id: str, use: PaperUse) -> float:
    """Worth of a paper's stock in the lab that the plan can count on.

    All of it while nothing had to be bought; else what was used; nothing once a corrected figure failed too.
    """
    if not use.paid:
        return use.worth
    was_corrected = done.tightening.shelf_worth.get(paper_id, use.worth) < use.worth
    return 0.0 if was_corrected and _over_supplies(done) > 0 else use.from_shelf


def _forced_supplies(done: Round) -> Iterator[Row]:
    """After the free rounds: a growing factor on all paper while the budget breaks."""
    if _over_supplies(done) > 0 and not done.is_free:
        yield _row(done, "supplies", 1.0, done.tightening.supplies_factor * done.least_tightening)


def _staff(done: Round) -> Iterator[Row]:
    """The factor on labour when the people who do the work cost more than the budget, or much less."""
    budget, factor = done.staff_budget, done.tightening.staff_factor
    estimated, found = done.estimated.staff_cost, done.found.staff_cost
    if budget is None or not estimated:
        return
    if found > budget:
        yield _row(done, "staff", estimated, max(found, estimated * factor * done.least_tightening))
        return
    is_left = found < (1 - done.unused_frac) * budget and 0 < found / estimated < factor
    if is_left and done.may_loosen and "staff" in done.held_by and not done.found.undated:
        yield _row(done, "staff", estimated, found)


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
            least = volume.options[0].option_no
            yield _row(done, "volume", option.option_no, least, about=("volume_id", volume.volume_id))
        elif not done.is_free:
            now = option.option_no
            yield _row(done, "volume", now, now, about=("volume_id", volume.volume_id))


def _row(
    done: Round, limit: str, estimated: float, found: float, *, about: tuple[str, str] = ("volume_id", "")
) -> Row:
    """A row of work.corrections, about a volume or a paper or neither."""
    row: Row = {"round_no": done.round_no, "limit": limit, "volume_id": "", "paper_id": ""}
    return row | {"estimated": float(estimated), "found": float(found)} | dict([about])
