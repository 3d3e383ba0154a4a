"""Which option of each volume: the problem and its answer in whole numbers, and the way from the tables.

Minutes are counted at least volunteer, at least technician, at least conservator (a conservator can do a
technician's work), money in hundredths, benefit in millionths of a page-equivalent. Needs are rounded up,
what there is down.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace

import polars as pl

from pipeline import units
from pipeline.contracts.fields import SKILLS
from pipeline.frames import Frames
from pipeline.solve.choose.corrections import Tightening

Minutes = tuple[int, int, int]
"""Minutes that need at least a volunteer, at least a technician, at least a conservator."""
NO_MINUTES: Minutes = (0, 0, 0)
Key = tuple[str, int]


@dataclass(frozen=True, slots=True)
class Option:
    """One way to treat a volume. `shelf_uses`: (shelf, hundredths) of supplies that come off a shelf."""

    option_no: int
    sheets: int
    benefit_millionths: int
    minutes: Minutes = NO_MINUTES
    supplies_hundredths: int = 0
    staff_hundredths: int = 0
    shelf_uses: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Volume:
    """A volume that may get sheets, its options from least to greatest benefit.

    `is_asked`: a person asked for sheets in it, and every option but the first holds them.
    """

    volume_id: str
    options: tuple[Option, ...]
    is_asked: bool = False


@dataclass(frozen=True, slots=True)
class Limits:
    """What there is: minutes by least skill, money for supplies and for staff (None: no limit)."""

    minutes: Minutes
    supplies_hundredths: int | None = None
    staff_hundredths: int | None = None


@dataclass(frozen=True, slots=True)
class Shelf:
    """A supply that is bought in packs, in hundredths: worth of what stands in the lab, price of a pack.

    A pack brings supplies worth its price. `surcharge` is what buying any comes dearer (or cheaper) than whole
    packs of the one stock line the estimate knows.
    """

    worth: int
    pack: int = 1
    surcharge: int = 0

    def packs(self, use: int) -> int:
        """Whole packs to buy for a use of so much."""
        return max(0, -(-(use - self.worth) // self.pack))

    def cost(self, use: int) -> int:
        """What is to be paid for a use of so much."""
        packs = self.packs(use)
        return packs * self.pack + self.surcharge if packs else 0

    def left(self, use: int) -> int:
        """What is left of shelf and packs after a use of so much."""
        return self.worth + self.packs(use) * self.pack - use


@dataclass(frozen=True, slots=True)
class Problem:
    """One option per volume, greatest benefit within the limits, what the shelves lack bought in packs.

    The first option of every volume takes nothing.
    """

    volumes: tuple[Volume, ...]
    limits: Limits
    shelves: tuple[Shelf, ...] = ()


@dataclass(frozen=True, slots=True)
class Solution:
    """For each volume, in the problem's order, the place of the option taken among its options."""

    picks: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Rehousing:
    """A new enclosure of a volume that needs no sheets; `shelf` is where one may stand in the lab.

    Late: nothing ordered on the first day of the campaign would arrive by the last.
    """

    volume_id: str
    significance: int
    price_hundredths: int
    staff_hundredths: int
    shelf: int | None
    is_late: bool = False


@dataclass(frozen=True, slots=True)
class Case:
    """All there is to choose: sheets (the problem) and enclosures of volumes without sheets.

    `full_options` are each volume's options before earlier rounds or deliveries took any away, `late_options`
    those that need what would be delivered after the end, `all_ids` every volume that may be planned.
    """

    problem: Problem
    full_options: tuple[tuple[Option, ...], ...]
    late_options: frozenset[Key]
    rehousings: tuple[Rehousing, ...]
    all_ids: tuple[str, ...]


def read_case(frames: Frames, tightening: Tightening, available: Minutes) -> Case:
    """The choice as whole numbers, from work.options, option_hours, option_costs, option_supplies, clean.decisions,
    the campaign.

    Volumes on hold or to be treated first are no part of it. `tightening` is what earlier rounds found.
    """
    shelves = _shelf_numbers(frames)
    options = {
        volume_id: tuple(rows)
        for volume_id, rows in sorted(_options(frames, tightening, shelves).items())
        if any(option.sheets for option in rows)
    }
    late = _late_options(frames)
    asked = set(frames["clean.decisions"].filter(pl.col("decision") == "must")["volume_id"])
    volumes = tuple(
        Volume(
            volume_id,
            tuple(
                option
                for option in _allowed(rows, tightening.most_option.get(volume_id))
                if (volume_id, option.option_no) not in late
            ),
            volume_id in asked,
        )
        for volume_id, rows in options.items()
    )
    campaign = frames["clean.campaign"].row(0, named=True)
    limits = Limits(available, _money(campaign["supplies_budget"]), _money(campaign["staff_budget"]))
    states = frames["work.fit_states"].filter(~pl.col("state").is_in(["on_hold", "treat_first"]))
    return Case(
        Problem(volumes, limits, _shelves(frames, tightening, limits.supplies_hundredths)),
        tuple(options.values()),
        late,
        tuple(_rehousings(frames, tightening, shelves, set(options))),
        tuple(sorted(states["volume_id"])),
    )


def with_picks(problem: Problem, option_nos: dict[str, int]) -> Solution:
    """The answer that takes these option numbers. Raises KeyError when a volume has no such option."""
    picks = []
    for volume in problem.volumes:
        places = {option.option_no: place for place, option in enumerate(volume.options)}
        picks.append(places[option_nos[volume.volume_id]])
    return Solution(tuple(picks))


def less_reserved(problem: Problem, spent_hundredths: int, shelves: tuple[Shelf, ...]) -> Problem:
    """The problem once enclosures that come first have taken their money and their pieces on the shelves."""
    limits = problem.limits
    if limits.supplies_hundredths is not None:
        limits = replace(limits, supplies_hundredths=limits.supplies_hundredths - spent_hundredths)
    return replace(problem, limits=limits, shelves=shelves)


def _money(amount: float | None) -> int | None:
    return None if amount is None else units.hundredths_down(amount)


def _shelf_numbers(frames: Frames) -> dict[tuple[str, str], int]:
    rows = frames["work.supply_packs"].sort("supply", "supply_id").select("supply", "supply_id").iter_rows()
    return {(supply, supply_id): number for number, (supply, supply_id) in enumerate(rows)}


def _shelves(frames: Frames, tightening: Tightening, budget: int | None) -> tuple[Shelf, ...]:
    """Shelves in the order of their numbers, with what finished rounds found of papers.

    Where nothing can be delivered in time, buying is priced out of the budget.
    """
    shelves = []
    for row in frames["work.supply_packs"].sort("supply", "supply_id").iter_rows(named=True):
        is_paper = row["supply"] == "paper"
        worth = tightening.shelf_worth.get(row["supply_id"], row["cost"]) if is_paper else row["cost"]
        there = units.hundredths_down(worth)
        if row["pack_price"] is None:
            shelves.append(Shelf(there, surcharge=0 if budget is None else budget + 1))
            continue
        more = tightening.pack_surcharge.get(row["supply_id"], 0.0) if is_paper else 0.0
        pack = max(1, units.hundredths_up(row["pack_price"]))
        shelves.append(Shelf(there, pack, max(1 - pack, units.hundredths_up(more))))
    return tuple(shelves)


def _late_supplies(frames: Frames) -> pl.DataFrame:
    """Supplies of which none stands in the lab and none would arrive in time."""
    packs = frames["work.supply_packs"]
    return packs.filter(pl.col("pack_price").is_null() & (pl.col("cost") <= 0)).select("supply", "supply_id")


def _late_options(frames: Frames) -> frozenset[Key]:
    """Options that use such a supply."""
    late = frames["work.option_supplies"].join(_late_supplies(frames), on=["supply", "supply_id"])
    return frozenset(late.select("volume_id", "option_no").iter_rows())


def _options(
    frames: Frames, tightening: Tightening, shelves: dict[tuple[str, str], int]
) -> dict[str, list[Option]]:
    """Options of each volume, least benefit first (ties: option number)."""
    minutes = nested_minutes(frames["work.option_hours"], tightening.hours_factor)
    bought, uses = _supplies(frames["work.option_supplies"], tightening, shelves)
    labour = frames["work.option_costs"].select("volume_id", "option_no", "staff_cost").iter_rows()
    staff = {
        (volume_id, option_no): units.hundredths_up(cost * tightening.staff_factor)
        for volume_id, option_no, cost in labour
    }
    options: dict[str, list[Option]] = defaultdict(list)
    columns = ("volume_id", "option_no", "sheets", "benefit")
    for volume_id, option_no, sheets, benefit in frames["work.options"].select(columns).iter_rows():
        key = (volume_id, option_no)
        options[volume_id].append(
            Option(
                option_no,
                sheets,
                units.millionths(benefit),
                minutes.get(key, NO_MINUTES),
                bought.get(key, 0),
                staff[key],
                tuple(sorted(uses.get(key, ()))),
            )
        )
    for rows in options.values():
        rows.sort(key=lambda option: (option.benefit_millionths, option.option_no))
    return options


def nested_minutes(option_hours: pl.DataFrame, factor: float) -> dict[Key, Minutes]:
    """Minutes of each option that need at least each skill, times the factor, rounded up."""
    exact: dict[Key, list[float]] = defaultdict(lambda: [0.0, 0.0, 0.0])
    rows = option_hours.sort("volume_id", "option_no", "skill").iter_rows()
    for volume_id, option_no, skill, minutes in rows:
        for rank in range(SKILLS.index(skill) + 1):
            exact[volume_id, option_no][rank] += minutes * factor
    return {
        key: (units.minutes_up(any_one), units.minutes_up(technician), units.minutes_up(conservator))
        for key, (any_one, technician, conservator) in exact.items()
    }


def _supplies(
    option_supplies: pl.DataFrame, tightening: Tightening, shelves: dict[tuple[str, str], int]
) -> tuple[dict[Key, int], dict[Key, list[tuple[int, int]]]]:
    """What each option has to buy for itself alone (made to measure), and what it takes of each shelf."""
    bought: dict[Key, int] = defaultdict(int)
    uses: dict[Key, list[tuple[int, int]]] = defaultdict(list)
    columns = ("volume_id", "option_no", "supply", "supply_id", "cost")
    for volume_id, option_no, supply, supply_id, cost in option_supplies.select(columns).iter_rows():
        need = units.hundredths_up(cost * (tightening.of_paper(supply_id) if supply == "paper" else 1))
        shelf = shelves.get((supply, supply_id))
        if shelf is None:
            bought[volume_id, option_no] += need
        else:
            uses[volume_id, option_no].append((shelf, need))
    return bought, uses


def _allowed(options: tuple[Option, ...], most_option: int | None) -> tuple[Option, ...]:
    """Options up to the benefit of the most that earlier rounds left to the volume."""
    if most_option is None:
        return options
    numbers = [option.option_no for option in options]
    return options[: numbers.index(most_option) + 1]


def _rehousings(
    frames: Frames, tightening: Tightening, shelves: dict[tuple[str, str], int], planned: set[str]
) -> Iterable[Rehousing]:
    """Enclosures of volumes without sheets, the most significant volumes first, then the cheapest."""
    volumes = frames["clean.volumes"].select("volume_id", "significance")
    costs = frames["work.option_costs"].select("volume_id", "option_no", "staff_cost")
    rows = (
        frames["work.option_enclosures"]
        .filter((pl.col("option_no") == 0) & ~pl.col("volume_id").is_in(sorted(planned)))
        .join(volumes, on="volume_id")
        .join(costs, on=["volume_id", "option_no"])
        .sort(["significance", "price", "volume_id"], descending=[True, False, False])
    )
    late = _late_options(frames)
    for row in rows.iter_rows(named=True):
        yield Rehousing(
            row["volume_id"],
            row["significance"],
            units.hundredths_up(row["price"]),
            units.hundredths_up(row["staff_cost"] * tightening.staff_factor),
            shelves.get(("enclosure", row["enclosure_id"] or "")),
            (row["volume_id"], 0) in late,
        )
