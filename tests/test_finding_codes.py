"""Every code a finding can have stands in the register and in the reference. `--renew-golden` writes the table anew."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from pipeline.contracts.finding_codes import FINDING_CODES, codes_markdown

ROOT = Path(__file__).parents[1]
REFERENCE = ROOT / "sample_inventory" / "README.md"
BEGIN, END = "<!-- finding codes: made from the register -->\n", "<!-- end of finding codes -->"
CODE_AT = {"Problem": 0, "Fault": 1}


def codes_in(path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if not isinstance(node, ast.Call):
            continue
        name = getattr(node.func, "id", "")
        given = [keyword.value for keyword in node.keywords if keyword.arg == "code" and name == "Finding"]
        if name in CODE_AT and len(node.args) > CODE_AT[name]:
            given.append(node.args[CODE_AT[name]])
        yield from (value.value for value in given if isinstance(value, ast.Constant))


def used() -> set[str]:
    found = {code for path in (ROOT / "pipeline").rglob("*.py") for code in codes_in(path)}
    for path in (ROOT / "sql").rglob("*.sql"):
        for line in re.findall(r"^.*\bas code\b", path.read_text(encoding="utf-8"), re.MULTILINE):
            found |= set(re.findall(r"'([a-z_]+)'", line))
    return found - {
        "_",
        "unknown_",
    }  # 'unknown_' || kind: unknown_volume, unknown_paper, unknown_staff, unknown_stratum


def test_every_code_is_registered() -> None:
    assert used() - set(FINDING_CODES) == set()
    assert len(used()) > 60


def test_no_code_is_registered_that_nothing_gives() -> None:
    register = ROOT / "pipeline" / "contracts" / "finding_codes.py"
    paths = [path for path in (ROOT / "pipeline").rglob("*.py") if path != register]
    text = "\n".join(path.read_text(encoding="utf-8") for path in [*paths, *(ROOT / "sql").rglob("*.sql")])
    given = set(re.findall(r"['\"]([a-z][a-z_]+)['\"]", text)) | {
        "unknown_volume",
        "unknown_paper",
        "unknown_staff",
        "unknown_stratum",
    }
    assert set(FINDING_CODES) - given == set()


def test_codes_are_plain_words() -> None:
    for code, meaning in FINDING_CODES.items():
        assert re.fullmatch(r"[a-z][a-z_]+", code), code
        assert meaning[0].islower() or meaning.startswith("Volumes"), code


def test_the_reference_lists_them(request: pytest.FixtureRequest) -> None:
    text = REFERENCE.read_text(encoding="utf-8")
    head, rest = text.split(BEGIN)
    _, tail = rest.split(END)
    wanted = head + BEGIN + codes_markdown() + END + tail
    if request.config.getoption("--renew-golden"):
        REFERENCE.write_text(wanted, encoding="utf-8")
    assert REFERENCE.read_text(encoding="utf-8") == wanted
