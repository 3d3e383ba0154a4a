"""Broken estimates of a sampled survey: three volumes of 30 were surveyed, one of them covered."""

from typing import Any

from tests.sql.audit_edits import Case, Edit, change
from tests.sql.small_plan import Plan

RULE = "survey_estimates_follow_the_sample"


def strata(count: int = 30) -> Edit:
    """One stratum of so many volumes in all."""

    def edit(plan: Plan) -> str:
        plan["strata"] = [{"stratum": "s", "volumes_in_all": count}]
        return "strata"

    return edit


def estimate(**values: Any) -> Edit:
    """The estimate of covered volumes in the stratum: 30 of which a third."""

    def edit(plan: Plan) -> str:
        row = {
            "stratum": "s",
            "measure": "volumes_covered",
            "unit": "volumes",
            "volumes_surveyed": 3,
            "volumes_in_all": 30,
            "value": 10.0,
            "value_low": 1.0,
            "value_high": 28.0,
        }
        plan["survey_estimates"] = [row | values]
        return "survey_estimates"

    return edit


SAMPLE = (change("volumes", stratum="s"), strata())
CASES: tuple[Case, ...] = (
    (RULE, "11.000, not 10.000", (*SAMPLE, estimate(value=11.0))),
    (RULE, "does not hold 10.000", (*SAMPLE, estimate(value_high=9.0))),
    (RULE, "does not hold 12.000", (*SAMPLE, estimate(stratum=None, value=12.0, value_low=12.5))),
    (RULE, "4 surveyed of 30", (*SAMPLE, estimate(volumes_surveyed=4))),
    (RULE, "3 surveyed of 30, the volumes say 3 of 31", (SAMPLE[0], strata(31), estimate(value=31 / 3))),
)
