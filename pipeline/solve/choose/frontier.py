"""What more or less of hours and money would bring: the choice made again within other limits.

Points stand on the options' costs as estimated and corrected by the finished rounds, so they are estimates; the
finished plan itself is the point `grant as given`. Up to what is given no volume gets more than the plan's rounds
left it; beyond, all of its options are open again.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from pipeline.solve.choose.check import exceeded, needs, picked
from pipeline.solve.choose.problem import Limits, Minutes, Problem, Solution
from pipeline.solve.choose.setting import Setting, fund_enclosures, within
from pipeline.solve.choose.solver import Result, better, solve
from pipeline.units import PCT_OF_WHOLE, pct_down

HOURS, MONEY, BOTH = "hours", "money", "hours and money"
VARIED = (HOURS, MONEY, BOTH)
GIVEN_PCT = int(PCT_OF_WHOLE)
NO_END = 10**12
"""Minutes nobody runs out of."""


@dataclass(frozen=True, kw_only=True)
class Spent:
    """What a choice takes, enclosures of volumes without sheets included."""

    minutes: int
    supplies_hundredths: int
    staff_hundredths: int


@dataclass(frozen=True, kw_only=True)
class Point:
    """The best choice when `varied` is `pct` per cent of what is given (None: as much as is asked for)."""

    varied: str
    pct: int | None
    limits: Limits
    result: Result
    spent: Spent
    sheets: int
    volumes: int


def pcts(*, step: int, more: int) -> tuple[int | None, ...]:
    """Shares that are tried: steps up to what is given, a little more, two steps more, everything."""
    below = range(step, GIVEN_PCT, step)
    return (*below, *sorted({GIVEN_PCT + more, GIVEN_PCT + step, GIVEN_PCT + 2 * step}), None)


def find_points(
    setting: Setting, minutes: dict[str, int], spent: Spent, *, shares: tuple[int | None, ...], seed: int
) -> Iterator[Point]:
    """Points by what is varied and share, least first. `minutes`: of each enclosure's volume; `spent`: by the plan.

    Where the campaign has no budget, less money means less than the plan spends.
    """
    wide = _all_options(setting)
    known: dict[tuple[str, int | None], Result] = {}
    for varied in VARIED:
        tries = {
            pct: within(
                wide if pct is None or pct > GIVEN_PCT else setting, _limits(setting, spent, varied, pct)
            )
            for pct in shares
        }
        wider: Result | None = None
        for pct in reversed(shares):
            more = [wider]
            if varied == BOTH and pct is not None and pct < GIVEN_PCT:
                more += [known[HOURS, pct], known[MONEY, pct]]  # less of one alone leaves the other wider
            known[varied, pct] = wider = _best(tries[pct].problem, more, seed)
        last: Solution | None = None
        for pct in shares:
            kept = _not_below(tries[pct].problem, known[varied, pct], last)
            last = kept.solution
            yield _point(tries[pct], minutes, kept, (varied, pct))


def _best(problem: Problem, wider: Iterable[Result | None], seed: int) -> Result:
    """The best choice; that within wider limits where it keeps these too, since its bound then holds here."""
    for more in wider:
        if more is not None and _is_allowed(problem, more.solution):
            return replace(more, seconds=0.0)
    return solve(problem, seed=seed)


def _is_allowed(problem: Problem, solution: Solution) -> bool:
    """Whether an answer is one of this problem and within its limits."""
    pairs = zip(problem.volumes, solution.picks, strict=True)
    if any(pick >= len(volume.options) for volume, pick in pairs):
        return False
    return not exceeded(problem, needs(problem, picked(problem, solution)))


def spent_by(setting: Setting, solution: Solution, minutes: dict[str, int]) -> Spent:
    """What a choice and the enclosures paid beside it take."""
    used = needs(setting.problem, picked(setting.problem, solution))
    funding = fund_enclosures(setting, solution)
    paid = [one for one in setting.case.rehousings if one.volume_id in funding.volume_ids]
    return Spent(
        minutes=used.minutes[0] + sum(minutes[one.volume_id] for one in paid),
        supplies_hundredths=used.supplies_hundredths + funding.supplies_hundredths,
        staff_hundredths=used.staff_hundredths + sum(one.staff_hundredths for one in paid),
    )


def _point(tried: Setting, minutes: dict[str, int], result: Result, about: tuple[str, int | None]) -> Point:
    chosen = picked(tried.problem, result.solution)
    return Point(
        varied=about[0],
        pct=about[1],
        limits=tried.case.problem.limits,
        result=result,
        spent=spent_by(tried, result.solution, minutes),
        sheets=sum(option.sheets for option in chosen),
        volumes=sum(option.sheets > 0 for option in chosen),
    )


def _all_options(setting: Setting) -> Setting:
    """The setting with every option open that deliveries leave.

    Nothing comes first as asked for: an asked volume that the rounds held down would push out what the plan has,
    and the bound would fall below the plan.
    """
    case = setting.case
    volumes = tuple(
        replace(
            volume,
            options=tuple(
                one for one in options if (volume.volume_id, one.option_no) not in case.late_options
            ),
            is_asked=False,
        )
        for volume, options in zip(case.problem.volumes, case.full_options, strict=True)
    )
    return replace(setting, case=replace(case, problem=replace(case.problem, volumes=volumes)))


def _limits(setting: Setting, spent: Spent, varied: str, pct: int | None) -> Limits:
    limits = setting.case.problem.limits
    if varied in (HOURS, BOTH):
        limits = replace(limits, minutes=_minutes(limits.minutes, pct))
    if varied in (MONEY, BOTH):
        limits = replace(
            limits,
            supplies_hundredths=_money(limits.supplies_hundredths, spent.supplies_hundredths, pct),
            staff_hundredths=_money(limits.staff_hundredths, spent.staff_hundredths, pct),
        )
    return limits


def _minutes(given: Minutes, pct: int | None) -> Minutes:
    any_one, technician, conservator = (
        NO_END if pct is None else pct_down(minutes, pct) for minutes in given
    )
    return any_one, technician, conservator


def _money(given: int | None, spent: int, pct: int | None) -> int | None:
    if pct is None:
        return None
    if given is not None:
        return pct_down(given, pct)
    return pct_down(spent, pct) if pct < GIVEN_PCT else None


def _not_below(problem: Problem, result: Result, last: Solution | None) -> Result:
    """The answer, or that for less where it is still allowed and better."""
    if last is None or not _is_allowed(problem, last):
        return result
    best = better(problem, result.solution, last)
    if best is result.solution:
        return result
    objective = sum(option.benefit_millionths for option in picked(problem, best))
    return replace(result, solution=best, objective=objective)
