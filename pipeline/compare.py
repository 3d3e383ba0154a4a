"""Plans side by side: figures, states, what changed volume by volume. Reads published tables only.

The first plan is the one the others are held against. Plans may be of different inventories (volumes are matched by
their identifier), units (tables are in mm) and currencies (amounts of two currencies are never subtracted).
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from string import ascii_uppercase

from pipeline.errors import FileProblemError
from pipeline.folder import store_path
from pipeline.outputs.plan import Plan, PlanFacts, Row
from pipeline.store import Store

MEASURES = {
    "volumes": "volumes",
    "openings_at_risk": "openings at risk",
    "openings_protected": "openings protected",
    "sheets": "sheets",
    "benefit_possible": "page losses that could be avoided",
    "benefit_planned": "page losses avoided",
    "cut_sizes": "cut sizes",
    "parents": "parent sheets",
    "paper_area_m2": "paper area",
    "paper_cost": "paper",
    "enclosures": "enclosures",
    "enclosure_cost": "enclosures, cost",
    "labour_hours": "hours of work",
    "labour_cost": "labour",
    "shelf_mm_added": "shelf length added",
}
"""Measures in the order in which they are shown; states follow, then whatever else a plan holds."""
COSTS = ("paper_cost", "enclosure_cost", "labour_cost")
LEFT_OUT = ("paper_cost_needed",)
NEEDED = (
    "run",
    "volumes",
    "interleaves",
    "tasks",
    "campaign_totals",
    "campaign",
    "policy",
    "staff",
    "findings",
)
WHAT_IF = "what_if"
LEAST_DIFFERENCE = 1e-6
Value = float | str | date | None


@dataclass(frozen=True)
class ComparedPlan:
    """One plan: its letter, where it lies, what it says."""

    letter: str
    folder: Path
    facts: PlanFacts
    totals: dict[str, Row]
    volumes: dict[str, Row]
    conditions: dict[str, Value]
    what_ifs: tuple[str, ...]


@dataclass(frozen=True)
class Line:
    """One figure of every plan, and what each later plan has more than the first (None: cannot be said)."""

    label: str
    unit: str
    values: tuple[Value, ...]
    differences: tuple[float | None, ...] = ()


@dataclass(frozen=True)
class Change:
    """One volume that is not the same in every plan: its row in each (None: not there), what changed, in words."""

    volume_id: str
    collection: str
    rows: tuple[Row | None, ...]
    words: str
    is_date_only: bool

    @property
    def gain(self) -> float:
        """Greatest change of benefit against the first plan, up or down."""
        benefits = [float(row["benefit_planned"]) if row else 0.0 for row in self.rows]
        return max(abs(benefit - benefits[0]) for benefit in benefits)


@dataclass(frozen=True)
class Comparison:
    """Plans side by side."""

    plans: tuple[ComparedPlan, ...]
    conditions: tuple[Line, ...]
    figures: tuple[Line, ...]
    changes: tuple[Change, ...]
    moves: tuple[tuple[str, str, str, int], ...]
    """Letter of a later plan, state in the first plan, state there (blank: not in the plan), volumes."""
    remarks: tuple[str, ...]


def compare_plans(folders: Sequence[Path]) -> Comparison:
    """The plans in these folders side by side. Raises FileProblemError when one holds no readable plan."""
    plans = tuple(_read(letter, folder) for letter, folder in zip(_letters(), folders, strict=False))
    return Comparison(
        plans=plans,
        conditions=tuple(_conditions(plans)),
        figures=tuple(_figures(plans)),
        changes=tuple(_changes(plans)),
        moves=tuple(_moves(plans)),
        remarks=tuple(_remarks(plans)),
    )


def _letters() -> Iterator[str]:
    """A, B, ... Z, AA, AB, ..."""
    yield from ascii_uppercase
    for first in _letters():
        yield from (first + letter for letter in ascii_uppercase)


def _read(letter: str, folder: Path) -> ComparedPlan:
    with Store(store_path(folder), read_only=True) as store:
        missing = [table for table in NEEDED if not store.has(f"published.{table}")]
        if missing:
            raise FileProblemError(f"{folder}: the plan has no table {missing[0]}; make it again")
        plan = Plan(store)
        return ComparedPlan(
            letter=letter,
            folder=folder,
            facts=plan.facts,
            totals=plan.totals(),
            volumes={row["volume_id"]: row for row in plan.query("volume_outcomes")},
            conditions=_conditions_of(plan),
            what_ifs=tuple(row["message"] for row in plan.table("findings") if row["code"] == WHAT_IF),
        )


def _conditions_of(plan: Plan) -> dict[str, Value]:
    """What the plan was made with."""
    settings = {row["setting"]: row["value"] for row in plan.table("campaign")}
    policy = {row["key"]: row["value"] for row in plan.table("policy")}
    staff = plan.table("staff")
    return {
        "campaign": plan.facts.campaign_name,
        "made for the day": plan.facts.as_of,
        "starts": plan.facts.start_date,
        "ends": plan.facts.end_date,
        "supplies budget": _amount(settings.get("supplies_budget")),
        "staff budget": _amount(settings.get("staff_budget")),
        "people": float(len(staff)),
        "their hours a week": float(sum(row["hours_per_week"] for row in staff)),
        "greatest clearance, mm": policy.get("size.most_clearance_mm"),
        "currency": plan.facts.currency,
        "length unit": plan.facts.length_unit,
        "inventory": plan.facts.inventory_sha256[:12],
        "policy": plan.facts.policy_sha256[:12],
    }


def _amount(text: str | None) -> Value:
    return "no limit" if text in (None, "") else float(str(text))


def _conditions(plans: Sequence[ComparedPlan]) -> Iterator[Line]:
    for label in plans[0].conditions:
        yield Line(label, "", tuple(plan.conditions[label] for plan in plans))


def _figures(plans: Sequence[ComparedPlan]) -> Iterator[Line]:
    found = {measure for plan in plans for measure in plan.totals} - set(LEFT_OUT) - {"finish_date"}
    states = sorted(measure for measure in found if measure.startswith("volumes_"))
    others = sorted(found - set(MEASURES) - set(states))
    for measure, label in MEASURES.items():
        if measure in found:
            yield _figure(plans, measure, label)
        if measure == "volumes":
            for state in states:
                yield _figure(plans, state, "  " + state.removeprefix("volumes_").replace("_", " "))
    yield _total_cost(plans)
    for measure in others:
        yield _figure(plans, measure, measure.replace("_", " "))
    finishes = tuple(plan.totals.get("finish_date", {}).get("text") or "not dated" for plan in plans)
    yield Line("finished", "", finishes, tuple(_days(finishes[0], text) for text in finishes[1:]))


def _days(first: str, other: str) -> float | None:
    """Days from one finish to another."""
    try:
        return float((date.fromisoformat(other) - date.fromisoformat(first)).days)
    except ValueError:
        return None


def _figure(plans: Sequence[ComparedPlan], measure: str, label: str) -> Line:
    rows = [plan.totals.get(measure) for plan in plans]
    values = tuple(row["value"] if row else None for row in rows)
    units = {row["unit"] or "" for row in rows if row}
    is_one = len(units) == 1
    unit = units.pop() if is_one else ""
    return Line(
        label, unit, values, tuple(_more(values[0], value) if is_one else None for value in values[1:])
    )


def _total_cost(plans: Sequence[ComparedPlan]) -> Line:
    sums: list[float] = []
    for plan in plans:
        sums.append(sum(plan.totals[cost]["value"] or 0.0 for cost in COSTS if cost in plan.totals))
    currencies = {plan.facts.currency for plan in plans}
    is_one = len(currencies) == 1
    unit = currencies.pop() if is_one else ""
    differences = tuple(value - sums[0] if is_one else None for value in sums[1:])
    return Line("paper, enclosures and labour", unit, tuple(sums), differences)


def _more(first: float | None, other: float | None) -> float | None:
    return None if first is None or other is None else other - first


def _changes(plans: Sequence[ComparedPlan]) -> Iterator[Change]:
    for volume_id in sorted({volume_id for plan in plans for volume_id in plan.volumes}):
        rows = tuple(plan.volumes.get(volume_id) for plan in plans)
        parts = [_difference(rows[0], row) for row in rows[1:]]
        if not any(words for words, _ in parts):
            continue
        words = "; ".join(
            f"{plan.letter}: {words}" if len(plans) > 2 else words  # two plans need no letter
            for plan, (words, _) in zip(plans[1:], parts, strict=True)
            if words
        )
        there = next(row for row in rows if row)
        yield Change(
            volume_id, there["collection"], rows, words, all(is_date for part, is_date in parts if part)
        )


def _difference(first: Row | None, other: Row | None) -> tuple[str, bool]:
    """What changed from the first plan to another, in words, and whether that is the date alone."""
    if first is None or other is None:
        if first is other:
            return "", False
        return ("not in the first plan" if first is None else "not in this plan"), False
    parts = []
    if first["state"] != other["state"]:
        parts.append(f"{_name(first['state'])} -> {_name(other['state'])}")
    if first["sheets"] != other["sheets"]:
        parts.append(f"{first['sheets']} -> {other['sheets']} sheets")
    if abs(other["benefit_planned"] - first["benefit_planned"]) > LEAST_DIFFERENCE:
        parts.append(f"{other['benefit_planned'] - first['benefit_planned']:+.2f} page losses avoided")
    if first["papers"] != other["papers"] and first["sheets"] and other["sheets"]:
        parts.append(f"paper {first['papers']} -> {other['papers']}")
    is_date_only = not parts
    if first["finish_day"] != other["finish_day"]:
        parts.append(f"done {_day(first['finish_day'])} -> {_day(other['finish_day'])}")
    return ", ".join(parts), is_date_only and bool(parts)


def _name(state: str) -> str:
    return state.replace("_", " ")


def _day(day: date | None) -> str:
    return day.isoformat() if day else "not dated"


def _moves(plans: Sequence[ComparedPlan]) -> Iterator[tuple[str, str, str, int]]:
    for plan in plans[1:]:
        ids = {*plans[0].volumes, *plan.volumes}
        states = Counter((_state(plans[0], volume_id), _state(plan, volume_id)) for volume_id in ids)
        for (first, other), count in sorted(states.items(), key=lambda item: (-item[1], item[0])):
            if first != other:
                yield plan.letter, first, other, count


def _state(plan: ComparedPlan, volume_id: str) -> str:
    row = plan.volumes.get(volume_id)
    return _name(row["state"]) if row else ""


def _remarks(plans: Sequence[ComparedPlan]) -> Iterator[str]:
    """What makes the plans less alike than they look."""
    first = plans[0]
    for plan in plans[1:]:
        if plan.facts.inventory_sha256 != first.facts.inventory_sha256:
            shared = len(first.volumes.keys() & plan.volumes.keys())
            yield (
                f"{first.letter} and {plan.letter} were planned from different inventories; {shared} volumes have "
                f"the same identifier, {len(first.volumes) - shared} are in {first.letter} alone and "
                f"{len(plan.volumes) - shared} in {plan.letter} alone"
            )
        if plan.facts.currency != first.facts.currency:
            yield (
                f"{first.letter} counts in {first.facts.currency or 'no named currency'}, {plan.letter} in "
                f"{plan.facts.currency or 'no named currency'}: their amounts are not subtracted"
            )
        if plan.facts.policy_sha256 != first.facts.policy_sha256:
            yield f"{first.letter} and {plan.letter} were made with different policy figures"
