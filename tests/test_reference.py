"""The references are what the contracts say. `pytest --renew-golden` writes them anew."""

import re
from pathlib import Path

import pytest

from pipeline.contracts.fields import HOLDS
from pipeline.policy.load import load_policy
from pipeline.reference import columns_reference, effort_reference, policy_reference, published_reference

ROOT = Path(__file__).parents[1]
EFFORTS_BEGIN, EFFORTS_END = "<!-- efforts: made from the solvers' counts -->\n", "<!-- end of efforts -->"
COLUMNS_BEGIN, COLUMNS_END = "<!-- columns: made from the contracts -->", "<!-- end of columns -->"
REFERENCES = {
    "sql/README.md": published_reference,
    "pipeline/policy/README.md": policy_reference,
}


@pytest.mark.parametrize("name", REFERENCES)
def test_references(name: str, request: pytest.FixtureRequest) -> None:
    path, text = ROOT / name, REFERENCES[name]()
    if request.config.getoption("--renew-golden"):
        path.write_text(text, encoding="utf-8")
    assert path.read_text(encoding="utf-8") == text


def test_the_columns_of_the_inventory_are_listed(request: pytest.FixtureRequest) -> None:
    path = ROOT / "sample_inventory" / "README.md"
    before, _, rest = path.read_text(encoding="utf-8").partition(COLUMNS_BEGIN)
    listed, _, after = rest.partition(COLUMNS_END)
    text = f"\n{columns_reference()}"
    if request.config.getoption("--renew-golden"):
        path.write_text(before + COLUMNS_BEGIN + text + COLUMNS_END + after, encoding="utf-8")
        return
    assert listed == text


def test_the_method_page_says_what_ends_each_search(request: pytest.FixtureRequest) -> None:
    path = ROOT / "pipeline" / "METHOD.md"
    before, _, rest = path.read_text(encoding="utf-8").partition(EFFORTS_BEGIN)
    listed, _, after = rest.partition(EFFORTS_END)
    text = effort_reference()
    if request.config.getoption("--renew-golden"):
        path.write_text(before + EFFORTS_BEGIN + text + EFFORTS_END + after, encoding="utf-8")
        return
    assert listed == text


def test_the_method_page_names_policy_keys_that_exist() -> None:
    keys = {entry.key for entry in load_policy().entries}
    sections = {key.partition(".")[0] for key in keys}
    text = (ROOT / "pipeline" / "METHOD.md").read_text(encoding="utf-8")
    named = set(re.findall(r"\b([a-z]+(?:_[a-z]+)*\.(?:[a-z_0-9]+|\*))", text))
    named = {name for name in named if name.partition(".")[0] in sections}
    assert len(named) > 20
    assert {name for name in named if not name.endswith("*")} <= keys


def test_the_method_page_names_every_section_of_judgement_that_decides_protection() -> None:
    text = (ROOT / "pipeline" / "METHOD.md").read_text(encoding="utf-8")
    deciding = (
        "hazard",
        "severity",
        "content",
        "use",
        "mechanism",
        "efficacy",
        "significance",
        "binding",
        "rate",
    )
    assert [section for section in deciding if f"`{section}.*`" not in text] == []


def test_the_cautions_page_names_every_hold() -> None:
    text = (ROOT / "reports" / "CAUTIONS.md").read_text(encoding="utf-8")
    assert [hold for hold in HOLDS if hold != "other" and f"`{hold}`" not in text] == []
    assert "local codes" in text
