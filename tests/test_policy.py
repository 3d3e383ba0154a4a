"""The policy file: what the shipped one holds, what a lab may lay over it, what is refused and where."""

from pathlib import Path

import pytest

from pipeline.contracts import TABLES
from pipeline.errors import InventoryRefusedError
from pipeline.policy.load import load_policy
from pipeline.policy.tables import policy_tables


def lab_file(folder: Path, text: str) -> Path:
    path = folder / "lab.toml"
    path.write_text(text, encoding="utf-8")
    return path


def refused(folder: Path, text: str) -> list[tuple[str, str]]:
    with pytest.raises(InventoryRefusedError) as caught:
        load_policy(lab_file(folder, text))
    return [(finding.code, finding.cell) for finding in caught.value.findings]


def test_every_shipped_figure_has_a_unit_and_a_basis() -> None:
    for entry in load_policy().entries:
        assert entry.unit
        assert entry.basis, entry.key


def test_the_tables_keep_their_contracts() -> None:
    for name, frame in policy_tables(load_policy()).items():
        TABLES[name].check(frame)


def test_the_effective_policy_loads_back_to_itself(tmp_path: Path) -> None:
    policy = load_policy(lab_file(tmp_path, "[size]\nideal_clearance_mm = 3.5\n"))
    again = load_policy(lab_file(tmp_path, policy.text()))
    assert again.text() == policy.text()
    assert again.sha256() == policy.sha256()
    assert again.number("size.ideal_clearance_mm") == 3.5


def test_an_own_figure_says_so(tmp_path: Path) -> None:
    policy = load_policy(lab_file(tmp_path, "[size]\nideal_clearance_mm = 3.5\n"))
    basis = {entry.key: entry.basis for entry in policy.entries}
    assert basis["size.ideal_clearance_mm"] == "the lab's own figure"


def test_a_lab_may_add_a_hazard(tmp_path: Path) -> None:
    policy = load_policy(lab_file(tmp_path, "[hazard.glitter]\nabrasion_rate_per_century = 0.2\n"))
    hazards = policy_tables(policy)["policy.hazards"]
    assert hazards.filter(hazards["hazard"] == "glitter")["loss_rate_per_century"].to_list() == [0.2]


def test_all_faults_at_once_each_with_its_line(tmp_path: Path) -> None:
    text = """[hazard.fastener]
abrasion_rate_per_century = 1.2
[size]
ideal_clearence_mm = 3
most_clearance_mm = "six"
[rate.check]
skill = "wizard"
"""
    assert refused(tmp_path, text) == [
        ("policy_bad_value", "line 2"),
        ("policy_unknown_key", "line 4"),
        ("policy_bad_value", "line 5"),
        ("policy_bad_value", "line 7"),
    ]


def test_the_nearest_key_is_named(tmp_path: Path) -> None:
    with pytest.raises(InventoryRefusedError) as caught:
        load_policy(lab_file(tmp_path, "[size]\nideal_clearence_mm = 3\n"))
    assert caught.value.findings[0].action == "did you mean size.ideal_clearance_mm?"


def test_a_table_with_a_gap_is_refused(tmp_path: Path) -> None:
    assert refused(tmp_path, "[content.feather]\nis_photograph = 0\n") == [("policy_gap", "line 2")]
    assert refused(tmp_path, "[binding.sewn]\nweak_wedge_limit_deg = 3.5\n") == [("policy_gap", "line 2")]


def test_a_file_that_is_no_toml(tmp_path: Path) -> None:
    assert refused(tmp_path, "size: 3\n") == [("policy_not_toml", "")]
