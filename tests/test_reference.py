"""The references are what the contracts say. `pytest --renew-golden` writes them anew."""

from pathlib import Path

import pytest

from pipeline.contracts.reference import policy_reference, published_reference

ROOT = Path(__file__).parents[1]
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
