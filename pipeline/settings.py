"""What a run is told from outside: paths, dates, seed, limits. Built once by the command line, passed down."""

from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path


@dataclass(frozen=True, kw_only=True)
class Settings:
    """Settings of one run. `planned_at` is the only thing that may differ between two runs on the same input."""

    inventory: Path
    out: Path
    as_of: date
    planned_at: datetime
    policy: Path | None = None
    columns: Path | None = None
    """The lab's column file: how its own sheets, headings and words are read."""
    seed: int = 20_260_101
    revision: str = "r1"
    sensitivity: bool = False
    """Whether the plan is also to say how sure its states and ranking are."""
