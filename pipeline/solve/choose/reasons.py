"""Why a volume does not get more, and what would bring it in, in words for its row of the plan."""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from pipeline import units
from pipeline.solve.choose.baseline import Room, all_supplies
from pipeline.solve.choose.check import LIMITS, Needs, needs, picked
from pipeline.solve.choose.problem import Case, Option, Problem, Rehousing, Solution

PEOPLE = ("the staff", "technicians and conservators", "conservators")
OF_WHOM = ("", " of a technician or conservator", " of a conservator")


DELIVERY = (
    "paper or enclosure would be delivered after the end of the campaign on {day}; "
    "a supply with less lead time or a later end date would bring it in"
)


@dataclass(frozen=True, kw_only=True)
class Words:
    """What the sentences need to know of the campaign."""

    currency: str
    start_date: date
    end_date: date
    supplies_budget: float | None
    staff_budget: float | None
    enclosures_first_hundredths: int


@dataclass(frozen=True, slots=True)
class Held:
    """A volume that gets less than it could: where it stands, its next step, the limits that step breaks."""

    volume_id: str
    now: Option
    next: Option
    full: Option
    short: tuple[str, ...]
    rank: int
    """Rank of the scarcest skill where the hours are short."""
    supplies_hundredths: int
    """What the next step adds to the supplies to be paid as things stand, packs included."""

    def alone(self, limit: str) -> int:
        """What the next step alone takes more of a limit as things stand."""
        return self.supplies_hundredths if limit == "supplies" else self.need(limit)

    @property
    def gain(self) -> int:
        """Benefit of the next step, millionths."""
        return self.next.benefit_millionths - self.now.benefit_millionths

    def need(self, limit: str) -> int:
        """What the next step takes more of a limit, packs parted."""
        if limit == "supplies":
            return all_supplies(self.next) - all_supplies(self.now)
        if limit == "staff":
            return self.next.staff_hundredths - self.now.staff_hundredths
        return self.next.minutes[self.rank] - self.now.minutes[self.rank]


def held_volumes(case: Case, problem: Problem, solution: Solution) -> list[Held]:
    """Volumes that do not get their best option, with the limits that stand against the next one."""
    room = Room(problem, solution)
    used = needs(problem, picked(problem, solution))
    held = []
    for volume, now, options in zip(
        problem.volumes, picked(problem, solution), case.full_options, strict=True
    ):
        more = [option for option in options if option.benefit_millionths > now.benefit_millionths]
        if more:
            short, rank = _short(problem, room, used, now, more[0])
            cost = room.more_bought(now, more[0])
            held.append(Held(volume.volume_id, now, more[0], options[-1], short, rank, cost))
    return held


def _short(
    problem: Problem, room: Room, used: Needs, now: Option, step: Option
) -> tuple[tuple[str, ...], int]:
    """Limits that a step breaks, and the rank of the skill whose hours it lacks most."""
    over = room.lacking(now, step)
    lacking = [
        step.minutes[rank] - now.minutes[rank] + used.minutes[rank] - problem.limits.minutes[rank]
        for rank in range(3)
    ]
    grows = [step.minutes[rank] > now.minutes[rank] for rank in range(3)]
    rank = max(range(3), key=lambda place: (grows[place], lacking[place], place))
    return tuple(limit for limit in LIMITS if limit in over), rank


class Queues:
    """For each limit, the steps that wait for it in the order of benefit for what they take."""

    def __init__(self, held: list[Held]) -> None:
        self._slopes: dict[tuple[str, int], list[float]] = {}
        self._sums: dict[tuple[str, int], list[int]] = {}
        waiting: dict[tuple[str, int], list[tuple[float, str, int]]] = defaultdict(list)
        for one in held:
            for limit in one.short:
                need = max(one.need(limit), 1)
                waiting[limit, _queue_rank(one, limit)].append((-one.gain / need, one.volume_id, need))
        for key, rows in waiting.items():
            rows.sort()
            self._slopes[key] = [slope for slope, _, _ in rows]
            sums, total = [0], 0
            for _, _, need in rows:
                total += need
                sums.append(total)
            self._sums[key] = sums

    def before(self, one: Held, limit: str) -> tuple[int, int]:
        """How many steps rank before this one at a limit, and what they take together."""
        key = (limit, _queue_rank(one, limit))
        place = bisect_left(self._slopes[key], -one.gain / max(one.need(limit), 1))
        return place, self._sums[key][place]


def _queue_rank(one: Held, limit: str) -> int:
    return one.rank if limit == "hours" else 0


def reasons(
    case: Case, problem: Problem, solution: Solution, *, undated: set[str], words: Words
) -> Iterator[tuple[str, str]]:
    """Volume and sentence for each volume that gets less than it could."""
    held = held_volumes(case, problem, solution)
    queues = Queues(held)
    used = needs(problem, picked(problem, solution))
    for one in held:
        if one.volume_id in undated and not one.now.sheets:
            cause = (
                f"no place for its work before the end of the campaign on {words.end_date}: its paper, the "
                "people or the guillotine come too late; a later end date or more hours would bring it in"
            )
        elif (one.volume_id, one.next.option_no) in case.late_options:
            cause = f"its {DELIVERY.format(day=words.end_date)}"
        elif one.short:
            cause = _cause(problem, used, queues, one, words)
        else:
            cause = (
                "more did not fit once the paper was cut to whole sheets and packs and the work was dated; "
                "a little more money or time would bring it in"
            )
        yield one.volume_id, f"{_what(one)}: {cause}"


def _what(one: Held) -> str:
    if not one.now.sheets:
        return f"left out whole (0 of {_sheets(one.full.sheets)})"
    if one.now.sheets >= one.full.sheets:
        return "a cheaper paper is planned"
    return f"{one.now.sheets} of {_sheets(one.full.sheets)} planned"


def _sheets(count: int) -> str:
    return f"{count} sheet" if count == 1 else f"{count} sheets"


def _cause(problem: Problem, used: Needs, queues: Queues, one: Held, words: Words) -> str:
    limit = one.short[0]
    if limit == "hours" and not problem.limits.minutes[one.rank]:
        return (
            f"no working hours{OF_WHOM[one.rank]} fall between {words.start_date} and {words.end_date}; "
            "such hours would bring it in"
        )
    count, waiting = queues.before(one, limit)
    left = _left(problem, used, one, limit)
    need = _amount(one, limit, one.alone(limit), words) + _new_packs(one, limit)
    more = _amount(one, limit, max(waiting + one.alone(limit) - left, 1), words, more=True)
    parts = [
        _used_up(problem, used, one, words),
        f"{_next_sheets(one)} would {'take' if limit == 'hours' else 'cost'} about {need} and avoid "
        f"{one.gain / units.BENEFIT_PARTS:.2g} page losses",
    ]
    if count:
        parts.append(f"{count} {'volume ranks' if count == 1 else 'volumes rank'} before it")
    also = " and the ".join(_NAMES[name] for name in one.short[1:])
    parts.append(f"about {more} would bring it in" + (f" if the {also} reached too" if also else ""))
    return "; ".join(parts)


_NAMES = {"supplies": "supplies budget", "staff": "staff budget", "hours": "hours"}


def _new_packs(one: Held, limit: str) -> str:
    """Says so where most of the money goes into packs the step itself would not use up."""
    return " (a new pack)" if limit == "supplies" and one.alone(limit) > 2 * one.need(limit) else ""


def _next_sheets(one: Held) -> str:
    more = one.next.sheets - one.now.sheets
    if not one.now.sheets:
        return f"its first {_sheets(more)} and what goes with them"
    return f"its next {_sheets(more)}" if more > 0 else "its better paper"


def _used_up(problem: Problem, used: Needs, one: Held, words: Words) -> str:
    limit = one.short[0]
    if limit == "hours":
        there = f"{units.hours(problem.limits.minutes[one.rank]):.1f}".removesuffix(".0")
        return f"the hours of {PEOPLE[one.rank]} up to {words.end_date} ({there}) are used up"
    budget = words.supplies_budget if limit == "supplies" else words.staff_budget
    text = f"the {_NAMES[limit]} of {_money(budget or 0, words)} is used up"
    if limit == "supplies" and words.enclosures_first_hundredths:
        spent = words.enclosures_first_hundredths / units.MONEY_PARTS
        text += f" ({_money(spent, words)} of it by enclosures that come first)"
    return text


def _left(problem: Problem, used: Needs, one: Held, limit: str) -> int:
    limits = problem.limits
    if limit == "supplies":
        return (limits.supplies_hundredths or 0) - used.supplies_hundredths
    if limit == "staff":
        return (limits.staff_hundredths or 0) - used.staff_hundredths
    return limits.minutes[one.rank] - used.minutes[one.rank]


def _amount(one: Held, limit: str, amount: int, words: Words, *, more: bool = False) -> str:
    """An amount of a limit in words: `3.2 hours of anyone`, `31 EUR`, with `more` where it belongs."""
    if limit == "hours":
        hours = max(units.hours(amount), 0.1)
        return f"{hours:.1f} {'more ' if more else ''}hours{OF_WHOM[one.rank]}"
    return _money(amount / units.MONEY_PARTS, words) + (" more" if more else "")


def _money(amount: float, words: Words) -> str:
    digits = 0 if amount >= 100 or amount == int(amount) else 2
    return f"{amount:,.{digits}f} {words.currency}"


def rehousing_reason(rehousing: Rehousing, limit: str, words: Words) -> str:
    """Why the enclosure of a volume without sheets is not paid."""
    price = _money(rehousing.price_hundredths / units.MONEY_PARTS, words)
    if limit == "delivery":
        return (
            f"its new enclosure waits without a date: it would be delivered after the end of the campaign on "
            f"{words.end_date}; a later end date would bring it in"
        )
    budget = words.supplies_budget if limit == "supplies" else words.staff_budget
    return (
        f"its new enclosure ({price}) waits without a date: the {_NAMES[limit]} of "
        f"{_money(budget or 0, words)} does not reach for it; more of that budget would bring it in"
    )
