"""`python -m tests.benchmarks [VOLUMES ...] [--effort LEVEL] [--write]`: seconds per stage of plans, memory, gaps.

Plans made inventories; without VOLUMES the smallest also with the quick effort. Seconds of `solvers` are those of
the steps that search, what they wait for the second process included.

Each size runs in a process of its own. Memory is that of the process and its workers together, pages they share
counted once, looked at every half second (Linux only). Figures are for comparing within one run. With --write the
table also replaces tests/benchmarks/RESULTS.md.
"""

import argparse
import json
import math
import os
import platform
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime
from importlib.metadata import version
from pathlib import Path

from pipeline import __version__
from pipeline.plan import make_plan
from pipeline.settings import EFFORTS, Settings
from pipeline.store import Store
from tests.benchmarks.inventories import write_inventory

DEFAULT_CASES = ((500, "quick"), (500, "usual"), (5000, "usual"), (20_000, "usual"))
RESULTS = Path(__file__).parent / "RESULTS.md"
PACKAGES = (
    "polars",
    "duckdb",
    "pandera",
    "highspy",
    "numpy",
    "networkx",
    "xlsxwriter",
    "openpyxl",
)
MOST_GROWTH = 1.2
"""A plan of n times the volumes may take this many times n times the seconds of the smallest."""
LOOK_SECONDS = 0.5
SOLVERS = (
    "fit_volumes",
    "find_needs",
    "choose_options",
    "cover_sizes",
    "cut_sheets",
    "schedule_tasks",
    "compare_cutting",
    "find_frontier",
)
"""Steps that search."""
QUICK_VOLUMES, QUICK_SOLVER_SECONDS = 500, 5.0
"""What the steps that search may take with the quick effort, in so large an inventory."""
STAGE_SECONDS = "select stage, sum(seconds) from log.steps group by stage order by min(step_no)"
ROWS = {
    "leaves in the volumes": "select sum(leaves) from published.volumes",
    "inventory rows": "select count(*) from (select distinct sheet, row_no from raw.cells)",
    "rounds": "select count(*) from log.steps where part = 'choose_options'",
    "chosen benefit above the plan's, %": """
        select 100 * (arg_max(bound, rowid) / nullif(arg_max(objective, rowid), 0) - 1)
        from log.solve where stage = 'choose'
    """,
    "cut sizes beyond the proven least, %": """
        select 100 * (sum(cut_sizes) / sum(lower_bound) - 1) from work.cut_size_bounds
    """,
    "paper above the proven least, %": """
        select 100 * (sum(cost_needed) / sum(cost_lower_bound) - 1) from published.paper_bounds
    """,
    "mean time to the finish above its bound, %": """
        select 100 * (arg_max(objective, rowid) / nullif(arg_max(bound, rowid), 0) - 1)
        from log.solve where stage = 'schedule'
    """,
}
"""What a plan came to: one figure a SELECT."""


@dataclass(frozen=True, kw_only=True)
class Measured:
    """One plan: seconds in all and by stage (outputs are what the stages leave over), peak memory, figures."""

    volumes: int
    effort: str
    seconds: float
    solver_seconds: float
    stages: dict[str, float]
    peak_mib: float
    figures: dict[str, float]


def measure(volumes: int, effort: str) -> Measured:
    """Plan one made inventory in this process."""
    with tempfile.TemporaryDirectory() as folder:
        inventory = write_inventory(Path(folder) / "inventory", volumes)
        settings = Settings(
            inventory=inventory,
            out=Path(folder) / "plan",
            as_of=date(2027, 1, 4),
            planned_at=datetime(2027, 1, 4, 9),
            effort=effort,
        )
        begun: list[tuple[str, float]] = []
        with Memory() as memory:
            started = time.perf_counter()
            make_plan(settings, lambda text: begun.append((text, time.perf_counter())))
            seconds = time.perf_counter() - started
        with Store(settings.out / "plan.duckdb", read_only=True) as store:
            stages = {str(stage): float(taken) for stage, taken in store.rows(STAGE_SECONDS)}
            solver_seconds = sum(
                store.rows("select coalesce(sum(seconds), 0) from log.steps where part = ?", [part])[0][0]
                for part in SOLVERS
            )
            figures = {name: float(store.rows(select)[0][0] or 0) for name, select in ROWS.items()}
    at = dict(begun)
    stages["audit"] = at["outputs"] - at["audit"]
    stages["outputs"] = started + seconds - at["outputs"]
    return Measured(
        volumes=volumes,
        effort=effort,
        seconds=seconds,
        solver_seconds=solver_seconds,
        stages=stages,
        peak_mib=memory.peak_mib,
        figures=figures,
    )


class Memory:
    """Watches the memory of this process and those it started. Use as a context manager."""

    def __init__(self) -> None:
        self.peak_mib = 0.0
        self._is_over = threading.Event()
        self._watcher = threading.Thread(target=self._watch, daemon=True)

    def __enter__(self) -> "Memory":
        self._watcher.start()
        return self

    def __exit__(self, *error: object) -> None:
        self._is_over.set()
        self._watcher.join()

    def _watch(self) -> None:
        while not self._is_over.wait(LOOK_SECONDS):
            self.peak_mib = max(self.peak_mib, sum(_own_kib(pid) for pid in _family(os.getpid())) / 1024)


def _family(pid: int) -> list[int]:
    """The process and all it started, as far as they still run."""
    found = [pid]
    for children in Path(f"/proc/{pid}/task").glob("*/children"):
        try:
            names = children.read_text().split()
        except OSError:  # the thread has ended meanwhile
            continue
        found += [member for name in names for member in _family(int(name))]
    return found


def _own_kib(pid: int) -> int:
    """Memory of a process, its share of what is shared; 0 once it has ended."""
    try:
        lines = Path(f"/proc/{pid}/smaps_rollup").read_text().splitlines()
    except OSError:
        return 0
    return next((int(line.split()[1]) for line in lines if line.startswith("Pss:")), 0)


def table(results: Sequence[Measured]) -> str:
    """One row per stage, one column per plan, growth between the last two; then memory, gaps and versions."""
    heads = [f"{one.volumes:,} volumes, {one.effort}" for one in results]
    lines = ["| | " + " | ".join(heads) + " | growth exponent |", "| --- |" + " ---: |" * (len(results) + 1)]
    for name in dict.fromkeys(name for result in results for name in result.stages):
        lines.append(
            _line(f"{name}, s", results, [result.stages.get(name, 0.0) for result in results], "{:.1f}")
        )
    lines.append(_line("**whole plan, s**", results, [result.seconds for result in results], "{:.1f}"))
    lines.append(_line("solvers, s", results, [result.solver_seconds for result in results], "{:.1f}"))
    lines.append(
        _row(
            "seconds a volume, over those of the smallest", [f"{_share(results, one):.2f}" for one in results]
        )
    )
    lines.append(_line("peak memory, MiB", results, [result.peak_mib for result in results], "{:.0f}"))
    for name in ROWS:
        lines.append(_row(name, [f"{result.figures[name]:,.2f}".removesuffix(".00") for result in results]))
    packages = ", ".join([f"guardleaf {__version__}", *(f"{name} {version(name)}" for name in PACKAGES)])
    machine = f"{os.cpu_count()} cores, {platform.system()} {platform.machine()}, Python {platform.python_version()}"
    return "\n".join([*lines, "", *_verdicts(results), "", f"{machine}; {packages}.", ""])


def _share(results: Sequence[Measured], one: Measured) -> float:
    """Seconds a volume over those of the first plan of the same effort."""
    first = next(other for other in results if other.effort == one.effort)
    return one.seconds * first.volumes / (one.volumes * first.seconds)


def _verdicts(results: Sequence[Measured]) -> Iterator[str]:
    """What was aimed at, and whether it is met."""
    worst = max(_share(results, one) for one in results)
    verdict = "within" if worst <= MOST_GROWTH else "above"
    yield f"Seconds a volume grow at most {worst:.2f} times: {verdict} the {MOST_GROWTH:g} aimed at."
    for one in results:
        if (one.volumes, one.effort) == (QUICK_VOLUMES, "quick"):
            verdict = "within" if one.solver_seconds <= QUICK_SOLVER_SECONDS else "above"
            yield (
                f"With the quick effort solvers take {one.solver_seconds:.1f} s for {one.volumes} volumes: "
                f"{verdict} the {QUICK_SOLVER_SECONDS:g} s aimed at."
            )


def _line(name: str, results: Sequence[Measured], values: Sequence[float], form: str) -> str:
    return _row(name, [form.format(value) for value in values], _growth(results, values))


def _row(name: str, cells: Sequence[str], growth: str = "") -> str:
    return f"| {name} | " + " | ".join(cells) + f" | {growth} |"


def _growth(results: Sequence[Measured], values: Sequence[float]) -> str:
    """Exponent of growth between the last two plans of one effort; 1 is in step with the number of volumes."""
    last = results[-2:]
    if (
        len({one.volumes for one in last}) < 2
        or len({one.effort for one in last}) > 1
        or min(values[-2:]) <= 0
    ):
        return ""
    return f"{math.log(values[-1] / values[-2]) / math.log(last[1].volumes / last[0].volumes):.2f}"


def main(words: Sequence[str]) -> None:
    """Make each plan in a process of its own and print the table."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks")
    parser.add_argument("volumes", nargs="*", type=int)
    parser.add_argument("--effort", choices=EFFORTS, default="usual")
    parser.add_argument("--write", action="store_true", help="replace RESULTS.md")
    parser.add_argument("--one", action="store_true", help="plan in this process; figures as JSON")
    asked = parser.parse_args(words)
    if asked.one:
        print(json.dumps(asdict(measure(asked.volumes[0], asked.effort))))
        return
    results = []
    for volumes, effort in [(number, asked.effort) for number in asked.volumes] or DEFAULT_CASES:
        command = [sys.executable, "-m", "tests.benchmarks", "--one", str(volumes), "--effort", effort]
        done = subprocess.run(command, stdout=subprocess.PIPE, text=True, check=True)
        results.append(Measured(**json.loads(done.stdout)))
        print(table(results), flush=True)
    if asked.write:
        RESULTS.write_text(
            f"# Benchmark\n\nMade by `python -m tests.benchmarks --write`.\n\n{table(results)}"
        )


if __name__ == "__main__":
    main(sys.argv[1:])
