"""06 choose: the option of each volume that brings the greatest benefit within hours, money and dates.

`choose_options` chooses, `place_sheets` says in which openings the chosen sheets lie, `reconcile` compares
the finished plan with the limits and writes corrections for another round (protocol:
pipeline/solve/choose/rounds.py).
"""

from collections import defaultdict

import polars as pl

from pipeline import units
from pipeline.contracts import TABLES
from pipeline.frames import Frames, figures
from pipeline.openings import compact_openings, expand_openings
from pipeline.settings import DRAFT_ROUNDS, Settings
from pipeline.solve.choose.check import picked
from pipeline.solve.choose.found import read_estimated, read_found
from pipeline.solve.choose.problem import Solution, with_picks
from pipeline.solve.choose.reasons import Words, held_volumes, reasons, rehousing_reason
from pipeline.solve.choose.rounds import Round, corrections_of_round
from pipeline.solve.choose.setting import Setting, fund_enclosures, read_setting
from pipeline.solve.choose.solver import Result, solve
from pipeline.solve.outcome import Outcome, outcome_rows

CHOOSE_READS = (
    "work.options",
    "work.option_hours",
    "work.option_costs",
    "work.option_supplies",
    "work.option_enclosures",
    "work.supply_packs",
    "work.fit_states",
    "work.corrections",
    "clean.volumes",
    "clean.decisions",
    "clean.campaign",
    "clean.staff",
    "clean.absences",
    "clean.closures",
    "policy.figures",
)
"""Tables that choose_options reads."""
PLACE_READS = ("work.choices", "work.option_sheets", "work.opening_groups")
"""Tables that place_sheets reads."""
RECONCILE_READS = (
    *CHOOSE_READS,
    "work.choices",
    "work.interleaves",
    "work.enclosure_fits",
    "work.material_needs",
    "work.tasks",
    "work.assignments",
    "work.paper_properties",
    "clean.stock",
    "clean.enclosure_stock",
)
"""Tables that reconcile reads, once 06 to 10 have run."""


def choose_options(frames: Frames, settings: Settings) -> Frames:
    """The option of each volume that may be planned, whether its enclosure is paid, and why not more.

    Greatest total benefit within the hours of each skill and both budgets, once what a person asked for has its
    place; estimates are raised by what earlier rounds found. Proven bound in log.solve. Source: trade model, section 8.
    """
    setting = read_setting(frames)
    result = solve(setting.problem, seed=settings.seed)
    funding = fund_enclosures(setting, result.solution)
    words = _words(frames, setting)
    why = dict(
        reasons(
            setting.case,
            setting.problem,
            result.solution,
            undated=set(setting.tightening.undated) & set(setting.tightening.most_option),
            words=words,
        )
    )
    for rehousing in setting.case.rehousings:
        limit = funding.unpaid.get(rehousing.volume_id)
        if limit:
            why[rehousing.volume_id] = rehousing_reason(rehousing, limit, words)
    rows = _choice_rows(setting, result.solution, funding.volume_ids, why)
    outcome = _outcome(result, setting.tightening.round_no, settings.seed)
    return {"work.choices": TABLES["work.choices"].frame(rows), "log.solve": outcome_rows([outcome])}


def place_sheets(frames: Frames, settings: Settings) -> Frames:
    """The chosen sheets with the openings they lie in, compact text; blank where places are not noted.

    Where a group is covered in part the lowest openings come first; of two papers in one group the first by
    id takes the lower numbers.
    """
    chosen = (
        frames["work.option_sheets"]
        .join(frames["work.choices"].select("volume_id", "option_no"), on=["volume_id", "option_no"])
        .join(
            frames["work.opening_groups"].select("volume_id", "group_no", "openings", "count"),
            on=["volume_id", "group_no"],
        )
        .sort("volume_id", "group_no", "paper_id")
    )
    taken: dict[tuple[str, int], int] = defaultdict(int)
    rows = []
    for row in chosen.iter_rows(named=True):
        key = (row["volume_id"], row["group_no"])
        rows.append(row | {"openings": _places(row["openings"], row["count"], taken[key], row["sheets"])})
        taken[key] += row["sheets"]
    return {"work.interleaves": TABLES["work.interleaves"].frame(rows)}


def reconcile(frames: Frames, settings: Settings) -> Frames:
    """work.corrections with the rows of the round just finished; no new rows: every budget and date holds.

    Compares paper bought in packs, enclosures bought, labour of the people who do it, and volumes without
    dates with the campaign's limits. To be called after 06 to 10; while rows are added, run 06 to 10 again.
    """
    setting = read_setting(frames)
    numbers = dict(frames["work.choices"].select("volume_id", "option_no").iter_rows())
    solution = with_picks(setting.problem, numbers)
    held = held_volumes(setting.case, setting.problem, solution)
    policy = figures(frames)
    campaign = frames["clean.campaign"].row(0, named=True)
    done = Round(
        problem=setting.problem,
        solution=solution,
        tightening=setting.tightening,
        estimated=read_estimated(frames),
        found=read_found(frames),
        supplies_budget=campaign["supplies_budget"],
        staff_budget=campaign["staff_budget"],
        available=setting.available,
        held_by=frozenset(limit for one in held for limit in one.short),
        unused_frac=policy["choose.unused_frac"],
        full_hours_frac=policy["choose.full_hours_frac"],
        busy_hours_frac=policy["choose.busy_hours_frac"],
        free_rounds_count=int(policy["choose.free_rounds_count"]),
        loosening_rounds_count=DRAFT_ROUNDS[settings.effort],
    )
    rows = TABLES["work.corrections"].frame(list(corrections_of_round(done)))
    return {"work.corrections": pl.concat([frames["work.corrections"], rows])}


def _choice_rows(
    setting: Setting, solution: Solution, funded: frozenset[str], why: dict[str, str]
) -> list[dict[str, object]]:
    options = {
        volume.volume_id: option
        for volume, option in zip(setting.problem.volumes, picked(setting.problem, solution), strict=True)
    }
    rows: list[dict[str, object]] = []
    for volume_id in setting.case.all_ids:
        option = options.get(volume_id)
        rows.append(
            {
                "volume_id": volume_id,
                "option_no": 0 if option is None else option.option_no,
                "is_funded": volume_id in funded if option is None else option.sheets > 0,
                "reason": why.get(volume_id, ""),
            }
        )
    return rows


def _words(frames: Frames, setting: Setting) -> Words:
    campaign = frames["clean.campaign"].row(0, named=True)
    return Words(
        currency=campaign["currency"],
        start_date=campaign["start_date"],
        end_date=campaign["end_date"],
        supplies_budget=campaign["supplies_budget"],
        staff_budget=campaign["staff_budget"],
        enclosures_first_hundredths=setting.reserved.supplies_hundredths,
    )


def _places(openings: str | None, count: int, taken: int, sheets: int) -> str | None:
    """Openings of `sheets` sheets of a group of which `taken` openings already have one."""
    if openings is None or sheets == count:
        return openings
    numbers = sorted(expand_openings(openings))
    return compact_openings(numbers[taken : taken + sheets])


def _outcome(result: Result, round_no: int, seed: int) -> Outcome:
    return Outcome(
        stage="choose",
        part=f"round {round_no + 1}",
        method=result.method,
        status="optimal" if result.objective == result.bound else "feasible",
        objective=result.objective / units.BENEFIT_PARTS,
        bound=result.bound / units.BENEFIT_PARTS,
        seconds=result.seconds,
        seed=seed,
        limit_hit=result.limit_hit,
    )
