"""What a run is told from outside: paths, dates, seed, limits. Built once by the command line, passed down."""

from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path

EFFORTS = ("quick", "usual", "thorough")
"""How hard a plan is searched for. Counts end every search, so each of them gives the same plan every time."""

DRAFT_ROUNDS = {"quick": 1, "usual": 2, "thorough": 2}
"""Rounds of a plan that only show what the choice comes to, by effort. After each of them the next choice may ask for
more; later rounds only take away what breaks a limit."""


@dataclass(frozen=True, kw_only=True)
class MorePerson:
    """One more person to plan with. Hours or pay left out: those of the first person of that skill."""

    skill: str
    hours_per_week: float | None = None
    hourly_rate: float | None = None


@dataclass(frozen=True, kw_only=True)
class WhatIf:
    """What is to be planned otherwise than the inventory and the policy say; None: as they say.

    Budgets are in campaign currency, infinite for no limit.
    """

    end_date: date | None = None
    supplies_budget: float | None = None
    staff_budget: float | None = None
    more_people: tuple[MorePerson, ...] = ()
    greatest_clearance_mm: float | None = None


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
    replans: Path | None = None
    """Folder of the plan whose remaining work is planned anew; none for a first plan."""
    sensitivity: bool = False
    """Whether the plan is also to say how sure its states and ranking are."""
    what_if: WhatIf = field(default_factory=WhatIf)
    effort: str = "usual"
    """One of EFFORTS: quick searches less and compares no other ways, thorough looks longer for less paper."""
    is_draft: bool = False
    """Whether a round only is to show what the choice comes to: proofs and what just compares ways are left out."""

    @property
    def is_quick(self) -> bool:
        """Whether only what the plan itself needs is looked for."""
        return self.effort == "quick"
