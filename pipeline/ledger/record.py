"""Returned work orders into the ledger: rows judged against the plan they answer, good lines added, never changed.

The rows of a return about one volume (or pattern) say how far it has come in that plan. A later return that says
otherwise takes the place of the earlier lines, which it names; nothing is deleted. Rows that say what the ledger says
already add nothing.
"""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import polars as pl

from pipeline.contracts.ledger import PAST_LINES
from pipeline.errors import Finding, ReturnRefusedError
from pipeline.folder import plan_in_use, store_path
from pipeline.inventory.guard import file_problem
from pipeline.ledger.book import add_return, read_ledger, remove_unfinished, standing_lines
from pipeline.ledger.lines import Line, judge_rows
from pipeline.ledger.returned import read_returned
from pipeline.ledger.tasks import Answered, read_answered

Subject = tuple[str, str, str]
"""Revision, and the volume or pattern a line is about."""
COMPARED = (
    "progress",
    "done_on",
    "staff_id",
    "minutes_taken",
    "other_minutes",
    "used_by_paper",
    "used_sheets_count",
    "spoiled_sheets_count",
    "fore_edge_measured_mm",
    "is_cleared",
    "is_boxed",
    "note",
)
"""What two lines must share to say the same."""


@dataclass(frozen=True)
class RecordResult:
    """What came of recording: findings, and a line of words per returned file."""

    findings: tuple[Finding, ...]
    summary: tuple[str, ...]


@dataclass(frozen=True)
class _Judged:
    """One returned file, judged: its hash, its good lines, its findings."""

    path: Path
    sha256: str
    lines: tuple[Line, ...]
    findings: tuple[Finding, ...]

    @property
    def errors(self) -> int:
        """How many cells or rows could not be understood."""
        return sum(finding.level == "error" for finding in self.findings)


def record_returns(
    folder: Path, returned: Sequence[Path], *, accept_good_rows: bool, recorded_at: datetime
) -> RecordResult:
    """Take returned workbooks into the ledger of a plan; nothing of any when one has errors, unless told to.

    Raises ReturnRefusedError with every finding, FileProblemError when a file cannot be read or written.
    """
    store_path(folder)
    with plan_in_use(folder):
        remove_unfinished(folder)
        ledger = read_ledger(folder)
        answered = read_answered(folder)
        judged = [_judge_file(path, answered) for path in returned]
        findings = tuple(finding for one in judged for finding in one.findings)
        if any(one.errors for one in judged) and not accept_good_rows:
            raise ReturnRefusedError(findings)
        summary = []
        for one in judged:
            words, ledger, replaced = _add(folder, ledger, one, recorded_at)
            findings += replaced
            summary.append(words)
    return RecordResult(findings, tuple(summary))


def _judge_file(path: Path, answered: Answered) -> _Judged:
    try:
        sha256 = hashlib.sha256(path.read_bytes()).hexdigest()
    except OSError as error:
        raise file_problem(path, error) from error
    sheets, findings = read_returned(path)
    lines: list[Line] = []
    for sheet in sheets:
        good, more = judge_rows(sheet, answered)
        lines += good
        findings += more
    return _Judged(path, sha256, tuple(lines), tuple(findings))


def _add(
    folder: Path, ledger: pl.DataFrame, one: _Judged, recorded_at: datetime
) -> tuple[str, pl.DataFrame, tuple[Finding, ...]]:
    """Add a file's new lines. The words for the user, the ledger as it is then, and what was corrected."""
    known = ledger.filter(pl.col("return_sha256") == one.sha256)
    if known.height:
        return f"{one.path.name}: is return {known['return_no'][0]} already; nothing added", ledger, ()
    return_no = max(ledger["return_no"].to_list(), default=0) + 1
    rows, findings = _new_rows(one, standing_lines(ledger), return_no, recorded_at)
    refused = f"; {one.errors} errors, those rows are left out" if one.errors else ""
    if not rows:
        return f"{one.path.name}: nothing new{refused}", ledger, ()
    frame = PAST_LINES.frame(rows)
    add_return(folder, frame, return_no=return_no, sha256=one.sha256)
    words = (
        f"{one.path.name}: return {return_no}, {len(rows)} line{'s' if len(rows) > 1 else ''} added{refused}"
    )
    return words, pl.concat([ledger, frame]), tuple(findings)


def _new_rows(
    one: _Judged, standing: pl.DataFrame, return_no: int, recorded_at: datetime
) -> tuple[list[dict[str, object]], list[Finding]]:
    """Rows of the ledger for the volumes and patterns the file says something new of, and notes on corrections."""
    earlier: dict[Subject, list[dict[str, object]]] = {}
    for row in standing.iter_rows(named=True):
        earlier.setdefault((row["revision"], row["volume_id"] or "", row["pattern_id"] or ""), []).append(row)
    by_subject: dict[Subject, list[Line]] = {}
    for line in one.lines:
        values = line.values
        key = line.revision, str(values["volume_id"] or ""), str(values["pattern_id"] or "")
        by_subject.setdefault(key, []).append(line)
    rows: list[dict[str, object]] = []
    findings: list[Finding] = []
    for key, lines in by_subject.items():
        before = earlier.get(key, [])
        if _said(row for row in before) == _said(line.values for line in lines):
            continue
        if before:
            findings.append(_corrected(lines[0], before))
        for line in lines:
            head: dict[str, object] = {
                "line_id": f"{return_no:04d}-{len(rows) + 1:04d}",
                "return_no": return_no,
                "return_sha256": one.sha256,
                "file_name": one.path.name,
                "recorded_at": recorded_at,
                "supersedes": ", ".join(str(row["line_id"]) for row in before),
            }
            rows.append(head | line.values)
    return rows, findings


def _said(rows: object) -> list[tuple[str, ...]]:
    """What lines say, in an order of its own, so that it can be compared."""
    return sorted(tuple(str(row[name]) for name in COMPARED) for row in rows)  # type: ignore[attr-defined]


def _corrected(line: Line, before: list[dict[str, object]]) -> Finding:
    told = "; ".join(f"{row['progress']}, {row['minutes_taken']} minutes" for row in before)
    return Finding(
        code="line_corrected",
        level="note",
        sheet=line.sheet,
        cell=line.cell,
        volume_id=str(line.values["volume_id"] or ""),
        message=f"this takes the place of what return {before[0]['return_no']} said of {line.subject[1]}: {told}",
        action="if both are true, write a row for each day in one return",
    )
