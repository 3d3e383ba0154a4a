"""The audit: every hard rule re-checked from the published tables alone.

A rule is one file of sql/audit: a bare SELECT of the rows that break it, with a column `what` in words; none
means that the rule holds. Nothing here knows how a plan is made: no stage and no solver is imported.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from pipeline.folder import store_path
from pipeline.resources import sql_files
from pipeline.store import Store

RULES_FOLDER = "audit"
RULE_MARK = "-- rule:"
WHAT_COLUMN = "what"
EXAMPLES_SHOWN = 5


@dataclass(frozen=True, kw_only=True)
class RuleResult:
    """How one hard rule came out: its name, what it says, how many rows break it, the first few in words."""

    rule: str
    sentence: str
    broken_rows: int
    examples: tuple[str, ...]

    @property
    def holds(self) -> bool:
        """Whether no row breaks the rule."""
        return self.broken_rows == 0


def audit_store(store: Store) -> list[RuleResult]:
    """One result per rule, in the order of their names. Reads schema published only."""
    return [check_rule(store, path) for path in sql_files(RULES_FOLDER)]


def audit_folder(folder: Path) -> list[RuleResult]:
    """One result per rule of the plan in a folder. Raises FileProblemError when it holds no readable plan."""
    with Store(store_path(folder), read_only=True) as store:
        return audit_store(store)


def check_rule(store: Store, path: Path) -> RuleResult:
    """The result of one rule. Raises ValueError when the file does not begin with its sentence."""
    text = path.read_text(encoding="utf-8")
    first_line = text.partition("\n")[0]
    if not first_line.startswith(RULE_MARK):
        raise ValueError(f"{path.name} does not begin with {RULE_MARK!r}")
    broken = sorted(str(what) for what in store.query(text)[WHAT_COLUMN].to_list())
    return RuleResult(
        rule=path.stem,
        sentence=first_line.removeprefix(RULE_MARK).strip(),
        broken_rows=len(broken),
        examples=tuple(broken[:EXAMPLES_SHOWN]),
    )


def broken_lines(results: Sequence[RuleResult]) -> list[str]:
    """One line per broken rule: what it says, how many rows break it, the first few of them."""
    return [
        f"{result.rule}: {result.sentence} Broken by {result.broken_rows}: {' | '.join(result.examples)}"
        for result in results
        if not result.holds
    ]
