"""Counts without places: what a volume's quick-survey counts hold beyond its rows, laid out as groups of
openings.

Source: trade model, section 3. Different hazards are taken to lie in different openings; where the volume
has too few, the smallest group not yet laid is laid onto openings of the largest that bear nothing else,
again until it fits. Where even that does not do (three hazards and more, large counts), the hazards are laid
on top of each other from one opening on: the fewest openings that counts can take, which is the largest of
them.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from pipeline.inventory.parse import Ranges


@dataclass(frozen=True)
class CountGroup:
    """Openings, places not known, that bear the same hazards."""

    hazards: tuple[str, ...]
    count: int


@dataclass(frozen=True)
class PlacedRow:
    """What a row of Openings says: hazards in places, or in `count` openings without places."""

    hazards: frozenset[str]
    ranges: Ranges
    count: int


@dataclass(frozen=True)
class Placed:
    """What a volume's rows hold: openings with each hazard, and openings taken by any row."""

    by_hazard: Mapping[str, int]
    taken: int


def placed_by_rows(rows: Iterable[PlacedRow], leaves: int) -> Placed:
    """Openings that rows hold, 0..leaves only: an opening named twice counts once, rows without places add
    up.
    """
    listed: dict[str, set[int]] = {}
    without_place: dict[str, int] = {}
    all_listed: set[int] = set()
    all_without = 0
    for row in rows:
        numbers = {no for first, last in row.ranges for no in range(first, min(last, leaves) + 1)}
        count = 0 if row.ranges else row.count
        all_listed |= numbers
        all_without += count
        for hazard in row.hazards:
            listed.setdefault(hazard, set()).update(numbers)
            without_place[hazard] = without_place.get(hazard, 0) + count
    by_hazard = {hazard: len(numbers) + without_place[hazard] for hazard, numbers in listed.items()}
    return Placed(by_hazard, len(all_listed) + all_without)


def counts_beyond_rows(counts: Mapping[str, int], placed: Placed) -> dict[str, int]:
    """What each count holds beyond the rows, hazards in the order of the counts; none where the rows hold as
    much.
    """
    beyond = {hazard: count - placed.by_hazard.get(hazard, 0) for hazard, count in counts.items()}
    return {hazard: count for hazard, count in beyond.items() if count > 0}


def lay_counts(counts: Mapping[str, int], free_openings: int) -> list[CountGroup]:
    """Groups of openings that bear what the counts hold, in at most `free_openings` where that is possible.

    `counts` is in the order of the hazard table, which settles ties. Each hazard keeps its count.
    """
    order = {hazard: place for place, hazard in enumerate(counts)}
    bare = dict(counts)
    shared: dict[tuple[str, ...], int] = {}
    while sum(bare.values()) + sum(shared.values()) > free_openings:
        alone = [hazard for hazard in bare if bare[hazard] > 0]
        if len(alone) < 2:
            return _group_rows(_nested(counts, order), order)
        host = min(alone, key=lambda hazard: (-counts[hazard], order[hazard]))
        guest = min((h for h in alone if h != host), key=lambda hazard: (bare[hazard], order[hazard]))
        laid = min(bare[guest], bare[host])
        both = tuple(sorted((host, guest), key=order.__getitem__))
        shared[both] = shared.get(both, 0) + laid
        bare[guest] -= laid
        bare[host] -= laid
    single = {(hazard,): count for hazard, count in bare.items() if count > 0}
    return _group_rows(single | shared, order)


def _nested(counts: Mapping[str, int], order: Mapping[str, int]) -> dict[tuple[str, ...], int]:
    """Every hazard from the first opening on: the larger count holds the smaller."""
    ranked = sorted(counts, key=lambda hazard: (-counts[hazard], order[hazard]))
    groups: dict[tuple[str, ...], int] = {}
    for depth, hazard in enumerate(ranked, start=1):
        deeper = counts[ranked[depth]] if depth < len(ranked) else 0
        if counts[hazard] > deeper:
            together = tuple(sorted(ranked[:depth], key=order.__getitem__))
            groups[together] = counts[hazard] - deeper
    return groups


def _group_rows(groups: Mapping[tuple[str, ...], int], order: Mapping[str, int]) -> list[CountGroup]:
    ranked = sorted(groups, key=lambda hazards: (tuple(order[hazard] for hazard in hazards), len(hazards)))
    return [CountGroup(hazards, groups[hazards]) for hazards in ranked]
