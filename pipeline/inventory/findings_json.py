"""Findings for other programs: JSON Lines, one finding a line, in the order a person reads them."""

import dataclasses
import json
from collections.abc import Iterable
from pathlib import Path

from pipeline.errors import Finding
from pipeline.inventory.write_whole import refuse_target, write_whole

STANDARD_OUTPUT = "-"
SUFFIX = ".jsonl"


def json_lines(findings: Iterable[Finding]) -> str:
    """One JSON object a line: code, level, sheet, cell, volume_id, message, action."""
    return "".join(json.dumps(dataclasses.asdict(finding), ensure_ascii=False) + "\n" for finding in findings)


def write_json_lines(path: Path, inventory: Path, findings: Iterable[Finding]) -> None:
    """Write the lines to a file in UTF-8. Only an earlier .jsonl is replaced. Raises FileProblemError."""
    refuse_target(path, inventory, may_replace=path.suffix.lower() == SUFFIX)
    text = json_lines(findings)
    write_whole(path, lambda unfinished: _write(unfinished, text))


def _write(path: Path, text: str) -> None:
    path.write_bytes(text.encode("utf-8", errors="replace"))
