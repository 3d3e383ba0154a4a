"""Runs a job again and again in processes of its own and kills each at another point, then says what is left.

Run as a program: it never uses polars or DuckDB itself, so that the processes it forks may. The points are calls of
the system that change files: the k-th of them is where a process kills itself, as `kill -9` would. Nothing in the
program knows of this.
"""

import json
import os
import shutil
import signal
import sys
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import Any

import openpyxl  # noqa: F401  (loaded once, before forking)
import pandera.polars  # noqa: F401
import xlsxwriter  # noqa: F401

import pipeline.plan
from pipeline.audit import audit_folder
from pipeline.errors import GuardleafError
from pipeline.folder import build_beside, plan_in_use
from pipeline.ledger.book import read_ledger
from pipeline.ledger.record import record_returns
from pipeline.plan import make_plan, replan
from pipeline.settings import Settings
from pipeline.store import Store

WORKBOOKS = ("work_orders.xlsx", "material_totals.xlsx", "funder_report.xlsx", "funder_report.docx")
HOOKED = (
    (os, ("replace", "rename", "unlink", "mkdir", "rmdir", "fsync", "open")),
    (shutil, ("rmtree", "copytree")),
    (Store, ("write", "commit", "__exit__")),
)
"""Calls that change files, or in which the store does."""


def main() -> None:
    """Arguments: job (record, replan, plan, swap), folder with `given`, how many points. Prints one JSON list."""
    job, folder, points = sys.argv[1], Path(sys.argv[2]), int(sys.argv[3])
    total = 2 * _in_child(lambda: _count(job, _fresh(folder)))
    # half of the points are the last ones, where the new comes into its place; the others are spread over the rest
    last = list(range(max(1, total - points // 2 + 1), total + 1))
    before, wanted = last[0] - 1, points - len(last)
    spread = (
        {1 + number * before // wanted for number in range(wanted)}
        if before > wanted
        else set(range(1, last[0]))
    )
    chosen = [*sorted(spread), *last]
    told = []
    for point in chosen:
        fresh = _fresh(folder)
        status = _in_child(lambda point=point, fresh=fresh: _killed(job, fresh, point))  # type: ignore[misc]
        told.append({"point": point, "of": total, "status": status, **_look(fresh)})
    sys.stdout.write(json.dumps(told))


def _fresh(folder: Path) -> Path:
    """A fresh copy of the plan and its returned workbook."""
    place = folder / "trial"
    shutil.rmtree(place, ignore_errors=True)
    shutil.copytree(folder / "given", place)
    return place


def _in_child(work: Callable[[], int]) -> int:
    """What a forked process ends with: its exit status, or -9 when it was killed; a count where it counts."""
    read_end, write_end = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(read_end)
        code = 70
        try:
            code = work()
            os.write(write_end, str(code).encode())
        finally:
            os._exit(0 if code != 70 else 70)
    os.close(write_end)
    told = b""
    while part := os.read(read_end, 4096):
        told += part
    os.close(read_end)
    _, status = os.waitpid(child, 0)
    return -os.WTERMSIG(status) if os.WIFSIGNALED(status) else int(told or os.WEXITSTATUS(status))


def _run(job: str, place: Path) -> None:
    plan = place / "plan"
    # workbooks are written inside the new folder like everything else; empty ones save their time
    pipeline.plan.write_outputs = lambda store, building: [(building / name).touch() for name in WORKBOOKS]
    if job == "swap":
        # the end of a replan alone: a finished revision comes into its place
        with plan_in_use(plan), build_beside(plan, revision_aside="r1") as building:
            for path in (place / "next").iterdir():
                (shutil.copytree if path.is_dir() else shutil.copy)(path, building / path.name)
        return
    if job == "record":
        record_returns(
            plan, [place / "returned.xlsx"], accept_good_rows=False, recorded_at=datetime(2027, 1, 9)
        )
    elif job == "replan":
        _settings = Settings(
            inventory=plan, out=plan, as_of=date(2027, 1, 11), planned_at=datetime(2027, 1, 11, 8)
        )
        replan(_settings, lambda text: None)
    else:
        inventory = place / "inventory.xlsx"
        make_plan(
            Settings(
                inventory=inventory, out=plan, as_of=date(2027, 1, 4), planned_at=datetime(2027, 1, 5, 8)
            ),
            lambda text: None,
        )


def _count(job: str, place: Path) -> int:
    """How many points the job has."""
    seen = [0]
    _hook(lambda: seen.__setitem__(0, seen[0] + 1))
    _run(job, place)
    return seen[0]


def _killed(job: str, place: Path, point: int) -> int:
    """Run the job and be killed: odd points are before a call, even ones after it."""
    seen = [0]

    def count() -> None:
        seen[0] += 1
        if seen[0] == (point + 1) // 2:
            os.kill(os.getpid(), signal.SIGKILL)

    _hook(count, is_after=point % 2 == 0)
    _run(job, place)
    return 1


def _hook(count: Callable[[], None], *, is_after: bool = False) -> None:
    def counted(call: Callable[..., Any]) -> Callable[..., Any]:
        def run(*args: Any, **named: Any) -> Any:
            if not is_after:
                count()
            try:
                return call(*args, **named)
            finally:
                if is_after:
                    count()

        return run

    for owner, names in HOOKED:
        for name in names:
            setattr(owner, name, counted(getattr(owner, name)))
    _write_half(count)


def _write_half(count: Callable[[], None]) -> None:
    """A point in the middle of a file: half of a return's bytes are written before the count."""
    from pipeline.ledger import book

    def halved(path: Path, data: bytes) -> None:
        with path.open("wb") as file:
            file.write(data[: len(data) // 2])
            file.flush()
            count()
            file.write(data[len(data) // 2 :])
            file.flush()
            os.fsync(file.fileno())

    book._write_through = halved


def _look(place: Path) -> dict[str, Any]:
    """What a next command finds: revision, broken rules, lines of the ledger, what lies beside the plan."""
    read_end, write_end = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(read_end)
        try:
            told = _found(place)
        except GuardleafError as error:
            told = {"error": str(error)}
        os.write(write_end, json.dumps(told).encode())
        os._exit(0)
    os.close(write_end)
    told = b""
    while part := os.read(read_end, 4096):
        told += part
    os.close(read_end)
    os.waitpid(child, 0)
    return dict(json.loads(told))


def _found(place: Path) -> dict[str, Any]:
    plan = place / "plan"
    broken = [result.rule for result in audit_folder(plan) if not result.holds]
    for path in (plan / "revisions").glob("*"):
        broken += [f"{path.name}: {result.rule}" for result in audit_folder(path) if not result.holds]
    with Store(plan / "plan.duckdb", read_only=True) as store:
        run = store.read("published.run").row(0, named=True)
    lines = read_ledger(plan)["line_id"].to_list()
    earlier = sorted(path.name for path in (plan / "revisions").glob("*"))
    again = record_returns(
        plan, [place / "returned.xlsx"], accept_good_rows=False, recorded_at=datetime(2027, 1, 10)
    )
    return {
        "broken": broken,
        "revision": run["revision"],
        "planned_at": str(run["planned_at"]),
        "lines": lines,
        "earlier": earlier,
        "again": again.summary[0],
        "lines_then": read_ledger(plan)["line_id"].to_list(),
        "files": sorted(path.name for path in plan.iterdir()),
    }


if __name__ == "__main__":
    main()
