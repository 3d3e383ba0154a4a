"""What a stage is and how one runs: typed tables in, typed tables out, one commit."""

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from pipeline.contracts import TABLES
from pipeline.frames import Frames
from pipeline.resources import sql_text
from pipeline.settings import Settings
from pipeline.store import Store

LOGS = ("log.solve",)
"""Tables that any Python step may add rows to."""


@dataclass(frozen=True)
class Sql:
    """A step that fills one table from the SELECT of the same name."""

    table: str


@dataclass(frozen=True)
class Python:
    """A step that turns frames into frames."""

    run: Callable[[Frames, Settings], Frames]
    reads: tuple[str, ...]
    writes: tuple[str, ...]


@dataclass(frozen=True)
class Stage:
    """One of the twelve stages: its number, its name everywhere, and its steps in order."""

    number: int
    name: str
    steps: tuple[Sql | Python, ...]

    @property
    def folder(self) -> str:
        """Folder of the stage's SELECTs under sql/."""
        return f"{self.number:02d}_{self.name}"

    @property
    def writes(self) -> tuple[str, ...]:
        """Tables the stage fills, in order."""
        tables: list[str] = []
        for step in self.steps:
            tables += [step.table] if isinstance(step, Sql) else step.writes
        return tuple(tables)


def run_stage(store: Store, stage: Stage, settings: Settings) -> None:
    """Run a stage's steps and commit once. Raises ContractError when a table breaks its contract."""
    store.begin()
    done: list[tuple[str, float]] = []
    for step in stage.steps:
        started = time.perf_counter()
        if isinstance(step, Sql):
            name = step.table.split(".")[1]
            store.run_sql(step.table, sql_text(stage.folder, name))
        else:
            name = step.run.__name__
            _run_python(store, step, settings)
        done.append((name, time.perf_counter() - started))
    _log_steps(store, stage.name, done)
    store.commit()


def _run_python(store: Store, step: Python, settings: Settings) -> None:
    frames = {table: store.read(table) for table in step.reads}
    answer = step.run(frames, settings)
    promised = set(step.writes) | set(LOGS)
    if set(answer) - promised or set(step.writes) - set(answer):
        raise ValueError(f"{step.run.__name__} gave {sorted(answer)}, promised {sorted(step.writes)}")
    for table, frame in answer.items():
        if table in LOGS:
            store.append(table, frame)
        else:
            store.write(table, frame)


def _log_steps(store: Store, stage: str, done: Sequence[tuple[str, float]]) -> None:
    table = TABLES["log.steps"]
    first = store.read(table.name).height + 1 if store.has(table.name) else 1
    rows: list[dict[str, object]] = [
        {"step_no": number, "stage": stage, "part": part, "seconds": seconds}
        for number, (part, seconds) in enumerate(done, start=first)
    ]
    store.append(table.name, table.frame(rows))
