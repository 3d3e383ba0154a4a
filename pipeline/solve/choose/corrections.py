"""What finished rounds found, as the next choice needs it. No tables but work.corrections."""

from dataclasses import dataclass, field

import polars as pl


@dataclass(frozen=True)
class Tightening:
    """Factors on the estimated needs, what papers came to, the most option left to a volume, late volumes."""

    round_no: int = 0
    supplies_factor: float = 1.0
    staff_factor: float = 1.0
    hours_factor: float = 1.0
    paper_factor: dict[str, float] = field(default_factory=dict)
    """Paper -> use found over use estimated."""
    shelf_worth: dict[str, float] = field(default_factory=dict)
    """Paper -> worth of what the plan could use of the stock in the lab."""
    pack_surcharge: dict[str, float] = field(default_factory=dict)
    """Paper -> cost found less whole packs of its cheapest stock line."""
    most_option: dict[str, int] = field(default_factory=dict)
    undated: dict[str, int] = field(default_factory=dict)
    """Volume -> number of rounds in which it found no dates."""

    def of_paper(self, paper_id: str) -> float:
        """Factor on the estimated use of a paper."""
        return self.supplies_factor * self.paper_factor.get(paper_id, 1.0)


def read_tightening(corrections: pl.DataFrame) -> Tightening:
    """The newest row of each limit, volume and paper. No rows: the first round."""
    if corrections.is_empty():
        return Tightening()
    newest: dict[tuple[str, str], tuple[float, float]] = {}
    undated: dict[str, int] = {}
    keys = ("round_no", "limit", "volume_id", "paper_id")
    for row in corrections.sort(keys).iter_rows(named=True):
        newest[row["limit"], row["volume_id"] or row["paper_id"]] = (row["estimated"], row["found"])
        if row["limit"] == "dates":
            undated[row["volume_id"]] = undated.get(row["volume_id"], 0) + 1
    rows = [(limit, subject, *values) for (limit, subject), values in newest.items()]
    factors = {limit: found / estimated for limit, subject, estimated, found in rows if not subject}
    rounds = corrections["round_no"].to_list()
    return Tightening(
        round_no=max(rounds) + 1,
        supplies_factor=factors.get("supplies", 1.0),
        staff_factor=factors.get("staff", 1.0),
        hours_factor=factors.get("hours", 1.0),
        paper_factor={
            subject: found / estimated for limit, subject, estimated, found in rows if limit == "paper"
        },
        shelf_worth={subject: found for limit, subject, _, found in rows if limit == "shelf"},
        pack_surcharge={
            subject: found - estimated for limit, subject, estimated, found in rows if limit == "packs"
        },
        most_option={subject: int(found) for limit, subject, _, found in rows if limit == "volume"},
        undated=undated,
    )
