"""Made volumes for the choice of sheets, and a table of its speed beside one MIP per volume.

Run as `python -m tests.benchmarks.fit`. Each row runs in a process of its own, so that its peak memory is its
own; a sample of the volumes goes to HiGHS in the same process. Benefits must be equal, or the row says how
many differ.
"""

import json
import resource
import subprocess
import sys
from dataclasses import asdict, dataclass
from time import process_time

import numpy as np

from pipeline.solve.fit.baseline import greedy_papers, hull_bound, hull_steps
from pipeline.solve.fit.check import broken_rules
from pipeline.solve.fit.model import solve
from pipeline.solve.fit.problem import ANY_PAPER, NOT_PERMITTED, Mark, Papers, Problem, Solution
from pipeline.units import BENEFIT_TICKS
from tests.outside.choice_mip import mip_benefit

THICKNESSES_UM = {
    "step of 5 µm": (50, 95, 145),
    "no common step": (52, 93, 147, 60, 121, 75, 84, 41, 158, 103),
}
PERMITTED_SHARE = 0.7
SMALL_HEADROOM_UM, LARGE_HEADROOM_UM = 4000, 6000
LARGE_VOLUME_OPENINGS = 300


@dataclass(frozen=True, kw_only=True)
class Made:
    """A made collection: how many volumes, openings each, papers of which list, volumes to give to HiGHS."""

    volumes: int
    openings: int
    papers: int
    thicknesses: str = "no common step"
    sample: int = 20
    seed: int = 1


ROWS = (
    Made(volumes=5_000, openings=50, papers=3),
    Made(volumes=10_000, openings=50, papers=3),
    Made(volumes=20_000, openings=50, papers=3),
    Made(volumes=20_000, openings=50, papers=3, thicknesses="step of 5 µm"),
    Made(volumes=20_000, openings=50, papers=6, sample=10),
    Made(volumes=500, openings=600, papers=5, sample=3),
    Made(volumes=500, openings=600, papers=10, sample=2),
)


def made_problem(made: Made) -> Problem:
    """Volumes whose openings all differ: no two share a group, which is the hard case."""
    rng = np.random.default_rng(made.seed)
    thickness = np.array(THICKNESSES_UM[made.thicknesses][: made.papers], dtype=np.int64)
    groups = made.volumes * made.openings
    benefit = rng.random((groups, made.papers)) * 0.3 * (0.6 + 0.4 * thickness / thickness.max())
    ticks = np.rint(benefit * BENEFIT_TICKS).astype(np.int64)
    is_permitted = rng.random(benefit.shape) < PERMITTED_SHARE
    highest = LARGE_HEADROOM_UM if made.openings >= LARGE_VOLUME_OPENINGS else SMALL_HEADROOM_UM
    return Problem(
        papers=Papers(
            thickness_um=thickness,
            is_buffered=np.arange(made.papers) % 2 == 0,
            price_ticks=rng.integers(1, 10, made.papers),
        ),
        headroom_um=rng.integers(0, highest, made.volumes),
        group_volume=np.repeat(np.arange(made.volumes), made.openings),
        group_count=np.ones(groups, dtype=np.int64),
        benefit_ticks=np.where(is_permitted, ticks, NOT_PERMITTED),
        opening_rank=np.tile(np.arange(made.openings), made.volumes),
        mark=np.full(groups, Mark.FREE, dtype=np.int64),
        only_paper=np.full(groups, ANY_PAPER, dtype=np.int64),
        floor_ticks=BENEFIT_TICKS // 200,
        max_papers=2,
    )


def measure(made: Made) -> dict[str, float]:
    """Seconds of the choice and of HiGHS a volume, peak memory, unequal answers, how near the yardsticks
    come.
    """
    problem = made_problem(made)
    started = process_time()
    solution = solve(problem)
    seconds = process_time() - started
    peak_mib = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    assert broken_rules(problem, solution) == []
    sample = np.linspace(0, made.volumes - 1, made.sample).astype(int).tolist()
    started = process_time()
    by_mip = [mip_benefit(problem, volume) for volume in sample]
    mip_seconds = (process_time() - started) / made.sample
    unequal = sum(
        abs(int(solution.benefit_ticks[volume]) - ticks) > BENEFIT_TICKS // 10**9
        for volume, ticks in zip(sample, by_mip, strict=True)
    )
    greedy, bound = yardsticks(problem, solution, sample)
    return {
        "seconds": seconds,
        "peak_mib": peak_mib,
        "mip_seconds": mip_seconds,
        "ratio": mip_seconds / (seconds / made.volumes),
        "unequal": unequal,
        "greedy_pct": greedy,
        "bound_pct": bound,
    }


def yardsticks(problem: Problem, solution: Solution, sample: list[int]) -> tuple[float, float]:
    """What greedy loses, and how far the bound without a paper limit stands above, in per cent of the
    sample.
    """
    best = greedy = bound = 0.0
    for volume in sample:
        rows = problem.group_volume == volume
        worth = np.where(problem.allowed()[rows], problem.benefit_ticks[rows], NOT_PERMITTED)
        steps = hull_steps(worth, problem.papers.thickness_um)
        headroom_um = int(problem.headroom_um[volume])
        papers = greedy_papers(steps, headroom_um, problem.max_papers)
        greedy += sum(int(worth[opening, paper]) for opening, paper in papers.items())
        bound += float(hull_bound(steps, np.array([headroom_um]))[0])
        best += int(solution.benefit_ticks[volume])
    return 100 * (1 - greedy / best), 100 * (bound / best - 1)


def main() -> None:
    """Print the table, one process a row."""
    if sys.argv[1:2] == ["--one"]:
        print("RESULT", json.dumps(measure(Made(**json.loads(sys.argv[2])))))
        return
    print(
        "| volumes | openings each | papers | thicknesses | seconds | ms a volume | peak MiB "
        "| HiGHS ms a volume (sample) | ratio | unequal | greedy loses | bound above |"
    )
    print("|" + " --- |" * 12)
    for made in ROWS:
        command = [sys.executable, "-m", "tests.benchmarks.fit", "--one", json.dumps(asdict(made))]
        done = subprocess.run(command, capture_output=True, text=True, check=True)
        print(table_row(made, json.loads(done.stdout.split("RESULT")[1])), flush=True)


def table_row(made: Made, found: dict[str, float]) -> str:
    """One row of the table."""
    cells = (
        str(made.volumes),
        str(made.openings),
        str(made.papers),
        made.thicknesses,
        f"{found['seconds']:.2f}",
        f"{1e3 * found['seconds'] / made.volumes:.3f}",
        f"{found['peak_mib']:.0f}",
        f"{1e3 * found['mip_seconds']:.0f} ({made.sample})",
        f"{found['ratio']:.0f}",
        f"{found['unequal']:.0f}",
        f"{found['greedy_pct']:.2f} %",
        f"{found['bound_pct']:.2f} %",
    )
    return f"| {' | '.join(cells)} |"


if __name__ == "__main__":
    main()
