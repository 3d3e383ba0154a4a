"""How a solve ended. Every solve leaves one row in log.solve: status, objective, bound, gap, seconds, seed."""

from dataclasses import dataclass
from typing import Literal

import polars as pl

from pipeline.contracts import TABLES

Status = Literal["optimal", "feasible", "infeasible"]


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """Result of one solve.

    `objective` and `bound` are in the unit the method states; a minimisation has bound <= objective.
    `limit_hit` names the limit that stopped the search (nodes, iterations, emergency clock), or is blank.
    """

    stage: str
    part: str
    method: str
    status: Status
    objective: float
    bound: float
    seconds: float
    seed: int
    limit_hit: str = ""

    @property
    def gap_frac(self) -> float:
        """Distance between objective and bound as a fraction of the bound; 0 when proven optimal."""
        distance = abs(self.objective - self.bound)
        if distance == 0:
            return 0.0
        return distance / max(abs(self.bound), 1e-12)


def outcome_rows(outcomes: list[Outcome]) -> pl.DataFrame:
    """Outcomes as rows of log.solve."""
    return pl.DataFrame(
        {
            "stage": [o.stage for o in outcomes],
            "part": [o.part for o in outcomes],
            "method": [o.method for o in outcomes],
            "status": [o.status for o in outcomes],
            "objective": [float(o.objective) for o in outcomes],
            "bound": [float(o.bound) for o in outcomes],
            "gap_frac": [o.gap_frac for o in outcomes],
            "seconds": [float(o.seconds) for o in outcomes],
            "seed": [o.seed for o in outcomes],
            "limit_hit": [o.limit_hit for o in outcomes],
        },
        schema=TABLES["log.solve"].polars_schema,
    )
