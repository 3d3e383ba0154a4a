"""Every output of the made-up plan, written once."""

from pathlib import Path

import pytest

from pipeline.outputs.write import write_outputs
from tests.outputs.fake_plan import fake_store


@pytest.fixture(scope="session")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with all outputs of the made-up plan."""
    out = tmp_path_factory.mktemp("plan")
    with fake_store() as store:
        write_outputs(store, out)
    return out
