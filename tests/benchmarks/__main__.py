"""`python -m tests.benchmarks [VOLUMES ...]`: plans made inventories and prints seconds per stage, memory and gaps.

Each size runs in a process of its own, so that its peak memory is its own. Figures are for comparing within one run.
"""

import json
import math
import resource
import subprocess
import sys
import tempfile
import time
from datetime import date, datetime
from pathlib import Path

from pipeline.plan import make_plan
from pipeline.settings import Settings
from pipeline.store import Store
from tests.benchmarks.inventories import write_inventory

DEFAULT_SIZES = (500, 5000)
STAGE_SECONDS = "select stage, sum(seconds) from log.steps group by stage order by min(step_no)"
GAPS = """
with best as (select stage, part, min(gap_frac) as gap_frac from log.solve group by stage, part)
select stage, count(*), max(gap_frac) from best group by stage order by stage
"""
"""Of each part the best answer: yardsticks such as the usual way of a planner stand in log.solve beside it."""


def measure(volumes: int) -> dict[str, object]:
    """Plan one made inventory in this process."""
    with tempfile.TemporaryDirectory() as folder:
        inventory = write_inventory(Path(folder) / "inventory", volumes)
        settings = Settings(
            inventory=inventory,
            out=Path(folder) / "plan",
            as_of=date(2027, 1, 4),
            planned_at=datetime(2027, 1, 4, 9),
        )
        started = time.perf_counter()
        make_plan(settings, lambda text: None)
        whole = time.perf_counter() - started
        with Store(settings.out / "plan.duckdb", read_only=True) as store:
            stages = dict(store.rows(STAGE_SECONDS))
            gaps = [list(row) for row in store.rows(GAPS)]
    peak_mib = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return {"volumes": volumes, "whole": whole, "stages": stages, "gaps": gaps, "peak_mib": peak_mib}


def show(results: list[dict[str, object]]) -> None:
    """Print the table: one row per stage, one column per size, growth between the last two."""
    names = list(dict.fromkeys(name for result in results for name in result["stages"]))  # type: ignore[attr-defined]
    print(
        "| seconds | "
        + " | ".join(f"{result['volumes']} volumes" for result in results)
        + " | growth exponent |"
    )
    print("| --- |" + " --- |" * (len(results) + 1))
    for name in names:
        seconds = [float(result["stages"].get(name, 0)) for result in results]  # type: ignore[attr-defined]
        print(
            f"| {name} | "
            + " | ".join(f"{value:.2f}" for value in seconds)
            + f" | {growth(results, seconds)} |"
        )
    whole = [float(result["whole"]) for result in results]  # type: ignore[arg-type]
    print(
        "| whole plan | " + " | ".join(f"{value:.2f}" for value in whole) + f" | {growth(results, whole)} |"
    )
    print("| peak memory, MiB | " + " | ".join(f"{result['peak_mib']:.0f}" for result in results) + " | |")
    for result in results:
        for stage, solves, gap in result["gaps"]:  # type: ignore[attr-defined]
            print(f"{result['volumes']} volumes, {stage}: {solves} parts, greatest gap {100 * gap:.2f} %")


def growth(results: list[dict[str, object]], seconds: list[float]) -> str:
    """Exponent of growth between the two largest sizes; 1 is in step with the number of volumes."""
    if len(results) < 2 or min(seconds[-2:]) <= 0:
        return ""
    sizes = [float(result["volumes"]) for result in results[-2:]]  # type: ignore[arg-type]
    return f"{math.log(seconds[-1] / seconds[-2]) / math.log(sizes[1] / sizes[0]):.2f}"


def main() -> None:
    """Run each size in a process of its own and print the table."""
    if sys.argv[1:2] == ["--one"]:
        print(json.dumps(measure(int(sys.argv[2]))))
        return
    results = []
    for volumes in [int(text) for text in sys.argv[1:]] or DEFAULT_SIZES:
        command = [sys.executable, "-m", "tests.benchmarks", "--one", str(volumes)]
        done = subprocess.run(command, stdout=subprocess.PIPE, text=True, check=True)
        results.append(json.loads(done.stdout))
    show(results)


if __name__ == "__main__":
    main()
