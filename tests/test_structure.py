"""The house rules, held by tests: one place for each thing, units in names, outputs apart, commands documented."""

import ast
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from typer.main import get_command

from pipeline.cli import app
from pipeline.contracts import TABLES
from pipeline.contracts.fields import FIELDS
from pipeline.plan import STAGES
from pipeline.stage import Sql

ROOT = Path(__file__).parents[1]
SQL = ROOT / "sql"
UNIT_ENDINGS = (
    "_mm",
    "_um",
    "_m2",
    "_gsm",
    "_deg",
    "_pct",
    "_frac",
    "_mnm",
    "_per_century",
    "_per_m2",
    "_per_sheet",
    "_ticks",
    "_years",
    "_days",
    "_no",
    "_rate",
    "_possible",
    "_planned",
    "_factor",
    "_weight",
    "_order",
    "_on",
    "_value",
    "_quantity",
)
OWN_UNITS = (
    "hours",
    "minutes",
    "sheets",
    "spares",
    "lifts",
    "packs",
    "count",
    "leaves",
    "existing_leaves",
    "volumes_in_all",
    "volumes_surveyed",
    "volumes_to_survey",
    "value_standard_error",
    "value_low",
    "value_high",
    "cut_sizes",
    "benefit",
    "value",
    "objective",
    "bound",
    "estimated",
    "found",
    "needed",
    "on_hand",
    "to_buy",
    "factor",
    "significance",
    "severity_grade",
    "ph",
    "seconds",
    "seed",
    "lower_bound",
    "half_hours",
    "loss_before",
)
MONEY = ("cost", "price", "budget")


def sources(folder: str = "pipeline") -> list[Path]:
    return sorted((ROOT / folder).rglob("*.py"))


def imports(path: Path) -> set[str]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    found: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module)
    return found


def test_every_select_is_listed_once() -> None:
    listed = [
        f"{stage.folder}/{step.table.split('.')[1]}.sql"
        for stage in STAGES
        for step in stage.steps
        if isinstance(step, Sql)
    ]
    assert len(listed) == len(set(listed))
    present = {
        path.relative_to(SQL).as_posix()
        for path in SQL.rglob("*.sql")
        if path.parent.name not in ("audit", "outputs", "past", "report")
    }
    assert set(listed) == present


def test_every_table_is_written_by_one_stage_or_at_the_start() -> None:
    written = [table for stage in STAGES for table in stage.writes]
    assert len(written) == len(set(written))
    at_start = {name for name in TABLES if name.startswith(("policy.", "log."))} | {
        "raw.run",
        "work.corrections",
        *(name for name in TABLES if name.startswith("work.past_")),
    }
    assert set(written) | at_start == set(TABLES)


def test_every_register_entry_is_used() -> None:
    used = {field.name for table in TABLES.values() for field, _ in table.fields}
    assert set(FIELDS) == used


def test_numeric_columns_name_their_unit() -> None:
    for field in FIELDS.values():
        if field.kind not in ("int", "float"):
            continue
        named = (
            field.name.endswith(UNIT_ENDINGS)
            or field.name in OWN_UNITS
            or any(word in field.name for word in MONEY)
            or field.name.startswith(("openings_", "hours_", "minutes_"))
            or field.name.endswith(("_openings", "_minutes", "_sheet", "_hours", "benefit", "_count"))
        )
        assert named, field.name


def test_help_answers_without_the_heavy_packages() -> None:
    code = "import sys, pipeline.cli; print(sorted({'polars', 'duckdb', 'highspy', 'openpyxl'} & set(sys.modules)))"
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stdout.strip() == "[]"


def test_only_the_store_imports_duckdb() -> None:
    users = [path.name for path in sources() if any(name.split(".")[0] == "duckdb" for name in imports(path))]
    assert users == ["store.py"]


def test_the_audit_knows_neither_stages_nor_solvers() -> None:
    names = imports(ROOT / "pipeline" / "audit.py")
    assert not any(name.startswith(("pipeline.stages", "pipeline.solve")) for name in names)


def test_checkers_import_no_solver() -> None:
    for path in sources("pipeline/solve"):
        if path.name == "check.py":
            assert not imports(path) & {"highspy", "ortools"}, path


def test_only_the_command_prints_or_exits() -> None:
    for path in sources():
        if path.name in ("cli.py",):
            continue
        calls = {
            node.func.id
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
        }
        assert not calls & {"print", "exit"}, path


def test_units_stand_in_one_place() -> None:
    for path in sources():
        if path.name in ("units.py", "examples.py"):
            continue
        text = re.sub(r'"""[\s\S]*?"""|#[^\n]*', "", path.read_text(encoding="utf-8"))
        assert not re.search(
            r"(?<![\w.])(25\.4|1000(\.0)?|1_000(\.0)?|1e3|1e6|1_000_000(\.0)?)(?![\w.])", text
        ), path


def test_every_command_has_help_an_example_and_a_place_in_the_readme() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    commands = get_command(app).commands  # type: ignore[attr-defined]
    assert commands
    for name, command in commands.items():
        assert command.help, name
        assert (command.epilog or "").startswith("Example: guardleaf "), name
        assert f"guardleaf {name}" in readme, name


def test_dependencies_have_lower_and_upper_majors() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    for requirement in [*project["dependencies"], *project["optional-dependencies"]["test"]]:
        assert re.search(r">=[\d.]+,<\d", requirement), requirement


@pytest.mark.parametrize("path", sources() + sources("sample_inventory"), ids=lambda path: path.name)
def test_no_file_is_over_400_lines(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= 400
