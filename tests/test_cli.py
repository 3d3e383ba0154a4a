"""The command as a user calls it: what it prints where, its exit statuses, and that nothing is left behind."""

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from pipeline.resources import data_folder
from tests import builders


def guardleaf(*arguments: str, folder: Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "pipeline", *arguments]
    return subprocess.run(
        command, capture_output=True, text=True, check=False, cwd=folder, stdin=subprocess.DEVNULL
    )


def test_no_arguments_shows_help_and_means_wrong_usage(tmp_path: Path) -> None:
    done = guardleaf(folder=tmp_path)
    assert done.returncode == 2
    assert "demo" in done.stdout + done.stderr


def test_help_lists_only_what_works(tmp_path: Path) -> None:
    done = guardleaf("--help", folder=tmp_path)
    assert done.returncode == 0
    shown = (
        "demo", "template", "check", "match", "plan", "explain", "compare", "audit", "record", "replan", "report"
    )  # fmt: skip
    for word in shown:
        assert word in done.stdout


def test_a_wrong_command_gets_the_nearest_right_one(tmp_path: Path) -> None:
    done = guardleaf("plann", folder=tmp_path)
    assert done.returncode == 2
    assert "plan" in done.stderr


def test_version(tmp_path: Path) -> None:
    done = guardleaf("--version", folder=tmp_path)
    assert done.returncode == 0
    assert done.stdout.startswith("guardleaf ")


@pytest.mark.parametrize("call", ["check", "plan"])
def test_an_inventory_that_is_not_there(call: str, tmp_path: Path) -> None:
    extra = ("--out", "plan") if call == "plan" else ()
    done = guardleaf(call, "nowhere.xlsx", *extra, folder=tmp_path)
    assert done.returncode == 3
    assert "nowhere.xlsx" in done.stderr
    assert "Traceback" not in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_a_faulty_inventory_is_refused_with_every_finding_and_nothing_written(tmp_path: Path) -> None:
    shutil.copytree(data_folder("sample_inventory") / "csv", tmp_path / "inventory")
    volumes = tmp_path / "inventory" / "Volumes.csv"
    lines = volumes.read_text(encoding="utf-8-sig").splitlines()
    lines[1] = lines[1].replace("laced", "laces")
    lines[2] = lines[2].replace(",24.0,", ",-24.0,")
    volumes.write_text("\n".join(lines) + "\n", encoding="utf-8")
    done = guardleaf("plan", "inventory", "--out", "plan", folder=tmp_path)
    assert done.returncode == 3
    errors = [line for line in done.stderr.splitlines() if "  error  " in line]
    assert [line.split("  ")[0] for line in errors] == ["Volumes!H2", "Volumes!K3"]
    assert "laced" in errors[0]
    assert done.stdout == ""
    assert [path.name for path in tmp_path.iterdir()] == ["inventory"]


def test_check_of_the_sample_finds_no_error(tmp_path: Path) -> None:
    done = guardleaf("check", str(data_folder("sample_inventory") / "sample_inventory.xlsx"), folder=tmp_path)
    assert done.returncode == 0
    assert done.stdout.startswith("0 errors")


def test_the_template_passes_its_own_check(tmp_path: Path) -> None:
    assert guardleaf("template", "inventory.xlsx", folder=tmp_path).returncode == 0
    assert guardleaf("check", "inventory.xlsx", folder=tmp_path).returncode == 0
    again = guardleaf("template", "inventory.xlsx", folder=tmp_path)
    assert again.returncode == 3
    assert "exists already" in again.stderr


def test_a_folder_with_other_files_is_never_overwritten(tmp_path: Path) -> None:
    builders.inventory(tmp_path / "inventory.xlsx")
    (tmp_path / "letters").mkdir()
    (tmp_path / "letters" / "letter.txt").write_text("dear all")
    done = guardleaf("plan", "inventory.xlsx", "--out", "letters", folder=tmp_path)
    assert done.returncode == 3
    assert [path.name for path in (tmp_path / "letters").iterdir()] == ["letter.txt"]


def test_explain_and_audit_of_a_plan(sample_plan: Path, tmp_path: Path) -> None:
    audited = guardleaf("audit", str(sample_plan), folder=tmp_path)
    assert audited.returncode == 0
    assert "rules hold" in audited.stdout
    told = guardleaf("explain", str(sample_plan), "CC-004", folder=tmp_path)
    assert told.returncode == 0
    assert "Headroom" in told.stdout
    unknown = guardleaf("explain", str(sample_plan), "CC-4", folder=tmp_path)
    assert unknown.returncode == 3
    assert "did you mean" in unknown.stderr
