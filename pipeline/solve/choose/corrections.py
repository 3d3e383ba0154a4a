"""What finished rounds found, as the next choice needs it. No tables but work.corrections."""

from dataclasses import dataclass, field

import polars as pl


@dataclass(frozen=True)
class Tightening:
    """Factors on the estimated needs, the most option left to a volume, volumes that found no dates."""

    round_no: int = 0
    supplies_factor: float = 1.0
    staff_factor: float = 1.0
    hours_factor: float = 1.0
    most_option: dict[str, int] = field(default_factory=dict)
    undated: dict[str, int] = field(default_factory=dict)
    """Volume -> number of rounds in which it found no dates."""

    def factor(self, limit: str) -> float:
        """Factor on the estimates of a limit. Raises KeyError when it is not supplies, staff or hours."""
        factors = {"supplies": self.supplies_factor, "staff": self.staff_factor, "hours": self.hours_factor}
        return factors[limit]


def read_tightening(corrections: pl.DataFrame) -> Tightening:
    """The newest factor of each limit, the newest most option of each volume. No rows: the first round."""
    if corrections.is_empty():
        return Tightening()
    factors = {"supplies": 1.0, "staff": 1.0, "hours": 1.0}
    most: dict[str, int] = {}
    undated: dict[str, int] = {}
    for row in corrections.sort("round_no", "limit", "volume_id").iter_rows(named=True):
        if row["limit"] == "volume":
            most[row["volume_id"]] = int(row["found"])
        elif row["limit"] == "dates":
            undated[row["volume_id"]] = undated.get(row["volume_id"], 0) + 1
        else:
            factors[row["limit"]] = row["found"] / row["estimated"]
    rounds = corrections["round_no"].to_list()
    return Tightening(max(rounds) + 1, factors["supplies"], factors["staff"], factors["hours"], most, undated)
