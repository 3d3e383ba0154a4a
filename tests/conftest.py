"""The sample planned once for all tests that look at a whole plan."""

from datetime import date, datetime
from pathlib import Path

import pytest

from pipeline.plan import make_plan
from pipeline.resources import sample_inventory
from pipeline.settings import Settings

AS_OF = date(2027, 1, 4)


def pytest_addoption(parser: pytest.Parser) -> None:
    """`--renew-golden` writes the golden files anew instead of comparing with them."""
    parser.addoption("--renew-golden", action="store_true", help="write the golden files anew")


def plan_sample(out: Path, planned_at: datetime) -> Path:
    """The sample inventory planned into `out`."""
    settings = Settings(inventory=sample_inventory(), out=out, as_of=AS_OF, planned_at=planned_at)
    make_plan(settings, lambda text: None)
    return out


@pytest.fixture(scope="session")
def sample_plan(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Folder of the sample's plan."""
    return plan_sample(tmp_path_factory.mktemp("plans") / "sample", datetime(2027, 1, 4, 9))
