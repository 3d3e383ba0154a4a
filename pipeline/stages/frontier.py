"""11 publish: what more or less of the grant would bring, once the rounds have ended."""

from pipeline.contracts import TABLES
from pipeline.frames import Frames, figures
from pipeline.settings import Settings
from pipeline.solve.choose.found import read_found
from pipeline.solve.choose.frontier import (
    BOTH,
    GIVEN_PCT,
    NO_END,
    VARIED,
    Point,
    Spent,
    find_points,
    pcts,
    spent_by,
)
from pipeline.solve.choose.problem import Limits, nested_minutes, with_picks
from pipeline.solve.choose.setting import Setting, read_setting
from pipeline.solve.choose.solver import Result, solve
from pipeline.solve.outcome import Outcome, outcome_rows
from pipeline.stages.choose import RECONCILE_READS
from pipeline.units import BENEFIT_PARTS, MONEY_PARTS, hours, hundredths_up

FRONTIER_READS = RECONCILE_READS
"""Tables that find_frontier reads, once 06 to 10 have run for the last time."""
GIVEN, ALL = "grant as given", "all"
Row = dict[str, object]


def find_frontier(frames: Frames, settings: Settings) -> Frames:
    """Benefit against hours and against money: work.frontier. The finished plan is one point, the others estimates.

    Each estimate is the best choice within other limits on the options' costs as the rounds corrected them, with its
    proven bound; hours and costs are then those estimates times what the finished plan took over its own estimate.
    Of a quick plan only a little more and everything are estimated.
    """
    setting = read_setting(frames)
    numbers = dict(frames["work.choices"].select("volume_id", "option_no").iter_rows())
    plan = with_picks(setting.problem, numbers)
    minutes = _enclosing_minutes(frames, setting)
    estimated = spent_by(setting, plan, minutes)
    found = _found(frames)
    policy = figures(frames)
    step, more = int(policy["frontier.step_pct"]), int(policy["frontier.more_pct"])
    shares = (GIVEN_PCT + more, None) if settings.is_quick else pcts(step=step, more=more)
    points = list(find_points(setting, minutes, estimated, shares=shares, seed=settings.seed))
    given = solve(setting.problem, seed=settings.seed)
    rows = [_given_row(frames, setting, found, given)]
    rows += [_row(point, _calibrated(point.spent, estimated, found)) for point in points]
    rows = [{"point_no": number} | row for number, row in enumerate(sorted(rows, key=_place), start=1)]
    return {
        "work.frontier": TABLES["work.frontier"].frame(rows),
        "log.solve": outcome_rows([_outcome(point, settings.seed) for point in points]),
    }


def _enclosing_minutes(frames: Frames, setting: Setting) -> dict[str, int]:
    """Minutes that the enclosure of each volume without sheets takes."""
    nested = nested_minutes(frames["work.option_hours"], 1.0)
    return {one.volume_id: nested.get((one.volume_id, 0), (0,))[0] for one in setting.case.rehousings}


def _found(frames: Frames) -> Spent:
    """What the finished plan takes: minutes that have a date, money in hundredths."""
    found = read_found(frames)
    dated = frames["work.assignments"].drop_nulls("start_at").select("task_id")
    minutes = frames["work.tasks"].join(dated, on="task_id")["task_minutes"].sum()
    return Spent(
        minutes=int(minutes),
        supplies_hundredths=hundredths_up(found.supplies_cost),
        staff_hundredths=hundredths_up(found.staff_cost),
    )


def _calibrated(spent: Spent, estimated: Spent, found: Spent) -> Spent:
    """An estimate, were it off as much as the plan's own."""

    def like(amount: int, own: int, real: int) -> int:
        return amount * real // own if own else amount

    return Spent(
        minutes=like(spent.minutes, estimated.minutes, found.minutes),
        supplies_hundredths=like(
            spent.supplies_hundredths, estimated.supplies_hundredths, found.supplies_hundredths
        ),
        staff_hundredths=like(spent.staff_hundredths, estimated.staff_hundredths, found.staff_hundredths),
    )


def _given_row(frames: Frames, setting: Setting, found: Spent, given: Result) -> Row:
    """The finished plan; its bound is that of the last round's choice."""
    laid = frames["work.interleaves"]
    benefit = float(laid["benefit"].sort().sum() or 0.0)
    return {
        "varied": BOTH,
        "label": GIVEN,
        "grant_pct": float(GIVEN_PCT),
        **_limits_columns(setting.case.problem.limits),
        **_spent_columns(found),
        "sheets": int(laid["sheets"].sum()),
        "planned_volumes_count": laid["volume_id"].n_unique(),
        "benefit": benefit,
        "bound_benefit": max(benefit, given.bound / BENEFIT_PARTS),
        "is_estimate": False,
    }


def _row(point: Point, spent: Spent) -> Row:
    return {
        "varied": point.varied,
        "label": _label(point.pct),
        "grant_pct": None if point.pct is None else float(point.pct),
        **_limits_columns(point.limits),
        **_spent_columns(spent),
        "sheets": point.sheets,
        "planned_volumes_count": point.volumes,
        "benefit": point.result.objective / BENEFIT_PARTS,
        "bound_benefit": point.result.bound / BENEFIT_PARTS,
        "is_estimate": True,
    }


def _label(pct: int | None) -> str:
    """`50 %`, `+10 %`, `all`."""
    if pct is None:
        return ALL
    return f"{pct} %" if pct <= GIVEN_PCT else f"+{pct - GIVEN_PCT} %"


def _limits_columns(limits: Limits) -> Row:
    return {
        "hours_there": hours(limits.minutes[0]) if limits.minutes[0] < NO_END else None,
        "supplies_budget": _money(limits.supplies_hundredths),
        "staff_budget": _money(limits.staff_hundredths),
    }


def _spent_columns(spent: Spent) -> Row:
    return {
        "hours": hours(spent.minutes),
        "supplies_cost": spent.supplies_hundredths / MONEY_PARTS,
        "staff_cost": spent.staff_hundredths / MONEY_PARTS,
        "cost": (spent.supplies_hundredths + spent.staff_hundredths) / MONEY_PARTS,
    }


def _money(hundredths: int | None) -> float | None:
    return None if hundredths is None else hundredths / MONEY_PARTS


def _place(row: Row) -> tuple[int, float]:
    """Order of the points: hours, money, both; the least share first, everything last."""
    pct = row["grant_pct"]
    return VARIED.index(str(row["varied"])), float(pct) if isinstance(pct, float) else float("inf")


def _outcome(point: Point, seed: int) -> Outcome:
    result = point.result
    return Outcome(
        stage="publish",
        part=f"frontier, {point.varied} {_label(point.pct)}",
        method=result.method,
        status="optimal" if result.objective == result.bound else "feasible",
        objective=result.objective / BENEFIT_PARTS,
        bound=result.bound / BENEFIT_PARTS,
        seconds=result.seconds,
        seed=seed,
        limit_hit=result.limit_hit,
    )
