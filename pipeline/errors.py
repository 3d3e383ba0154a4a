"""Findings people can act on, the errors that stop a run, and the exit status each one means."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum
from typing import Literal

Level = Literal["error", "warning", "note"]


class ExitCode(IntEnum):
    """Exit status of the command, as promised in the README."""

    DONE = 0
    FAILED = 1
    USAGE = 2
    REFUSED = 3
    AUDIT_FAILED = 4
    INTERRUPTED = 130


@dataclass(frozen=True, kw_only=True)
class Finding:
    """One thing a person should look at: where it stands, what is wrong, what to do.

    `code` is stable and never shown in the middle of a sentence; tests assert on it.
    `cell` is an address such as F17, or blank when the finding is about a whole sheet or file.
    """

    code: str
    level: Level
    sheet: str
    cell: str = ""
    volume_id: str = ""
    message: str
    action: str = ""

    def line(self) -> str:
        """`SHEET!CELL  level  what is wrong  what to do`, on one line."""
        place = f"{self.sheet}!{self.cell}" if self.cell else self.sheet
        parts = (place, self.level, self.message, self.action)
        return "  ".join(" ".join(part.split()) for part in parts if part)


class GuardleafError(Exception):
    """Base of the failures this program expects; each knows its exit status."""

    exit_code = ExitCode.FAILED


class InventoryRefusedError(GuardleafError):
    """The inventory or policy has errors: nothing is planned. Carries every finding."""

    exit_code = ExitCode.REFUSED

    def __init__(self, findings: Sequence[Finding]) -> None:
        self.findings = tuple(findings)
        errors = sum(finding.level == "error" for finding in self.findings)
        super().__init__(f"{errors} error{'s' if errors != 1 else ''} found; nothing was planned")


class ReturnRefusedError(GuardleafError):
    """A returned work order has errors: nothing is recorded. Carries every finding."""

    exit_code = ExitCode.REFUSED

    def __init__(self, findings: Sequence[Finding]) -> None:
        self.findings = tuple(findings)
        errors = sum(finding.level == "error" for finding in self.findings)
        super().__init__(
            f"{errors} error{'s' if errors != 1 else ''} found; nothing was recorded. "
            "Mend the cells, or take the good rows with --accept-good-rows"
        )


class FileProblemError(GuardleafError):
    """A file or folder could not be read or written (missing, locked, disk full, in use)."""

    exit_code = ExitCode.REFUSED


class AuditFailedError(GuardleafError):
    """A hard rule does not hold on the finished plan. Carries one line per broken rule."""

    exit_code = ExitCode.AUDIT_FAILED

    def __init__(self, broken: Sequence[str]) -> None:
        self.broken = tuple(broken)
        super().__init__(f"audit failed: {len(self.broken)} rule(s) broken")


class ContractError(GuardleafError):
    """A table inside the program breaks its contract: a fault of ours, not of the user's."""
