"""Which enclosures of volumes without sheets the budgets pay for.

They bring no benefit that is counted, so they are no part of the model: the most significant volumes come
first, then the cheapest enclosures; one that stands in the lab costs nothing. One that does not fit is
passed over.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from pipeline.solve.choose.problem import Rehousing, Shelf


@dataclass(frozen=True, slots=True)
class Funding:
    """Volumes whose enclosure is paid, what stands against the others, what is spent and left."""

    volume_ids: frozenset[str]
    unpaid: dict[str, str]
    supplies_hundredths: int
    shelves: tuple[Shelf, ...]


def fund(
    rehousings: Iterable[Rehousing], *, supplies: int | None, staff: int | None, shelves: tuple[Shelf, ...]
) -> Funding:
    """Enclosures paid within what is left of each budget (None: no limit), in the order given."""
    left = list(shelves)
    spent = worked = 0
    paid: list[str] = []
    unpaid: dict[str, str] = {}
    for rehousing in rehousings:
        from_shelf = (
            0 if rehousing.shelf is None else min(left[rehousing.shelf].worth, rehousing.price_hundredths)
        )
        price = rehousing.price_hundredths - from_shelf
        labour = rehousing.staff_hundredths
        if rehousing.is_late:
            unpaid[rehousing.volume_id] = "delivery"
            continue
        if price and supplies is not None and spent + price > supplies:
            unpaid[rehousing.volume_id] = "supplies"
            continue
        if labour and staff is not None and worked + labour > staff:
            unpaid[rehousing.volume_id] = "staff"
            continue
        if rehousing.shelf is not None:
            shelf = left[rehousing.shelf]
            left[rehousing.shelf] = replace(shelf, worth=shelf.worth - from_shelf)
        spent += price
        worked += labour
        paid.append(rehousing.volume_id)
    return Funding(frozenset(paid), unpaid, spent, tuple(left))
