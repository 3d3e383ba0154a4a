"""Small changes to a published plan, each of which breaks a rule; tests put them together into cases."""

from collections.abc import Callable
from typing import Any

from tests.sql.small_plan import Plan

Edit = Callable[[Plan], str]
Case = tuple[str, str, tuple[Edit, ...]]
"""Rule, words of its message (a regular expression), changes that break it."""


def change(table: str, where: dict[str, Any] | None = None, **values: Any) -> Edit:
    """Overwrite columns in the rows of a table that match; returns the table's name when run."""

    def edit(plan: Plan) -> str:
        rows = [
            row for row in plan[table] if all(row.get(key) == value for key, value in (where or {}).items())
        ]
        assert rows, (table, where)
        for row in rows:
            row.update(values)
        return table

    return edit


def drop(table: str, **where: Any) -> Edit:
    """Take the matching rows out of a table."""

    def edit(plan: Plan) -> str:
        kept = [row for row in plan[table] if not all(row.get(key) == value for key, value in where.items())]
        assert len(kept) < len(plan[table]), (table, where)
        plan[table] = kept
        return table

    return edit


def add(table: str, like: int = 0, **values: Any) -> Edit:
    """Add a row like the one at an index, with other values."""

    def edit(plan: Plan) -> str:
        plan[table].append(plan[table][like] | values)
        return table

    return edit


A, B, C = ({"volume_id": name} for name in "ABC")
GROUP_1, GROUP_2 = {"volume_id": "A", "group_no": 1}, {"volume_id": "A", "group_no": 2}
PAPER = {"paper_id": "P-1"}


def figure(key: str, value: float) -> Edit:
    return change("policy", {"key": key}, value=value)


def setting(name: str, value: str | None) -> Edit:
    return change("campaign", {"setting": name}, value=value)


def measure(name: str, collection: str | None, value: float) -> Edit:
    return change("campaign_totals", {"measure": name, "collection": collection}, value=value)


def more_or_less(*benefits: float, bound: float = 9.0, plans: int = 1) -> Edit:
    """Estimated points of the frontier with more and more hours, and points that say they are the plan."""

    def edit(plan: Plan) -> str:
        spent = {"hours": 1.0, "supplies_cost": 0.0, "staff_cost": 0.0, "cost": 0.0, "sheets": 5}
        same = spent | {
            "varied": "hours",
            "label": "share",
            "planned_volumes_count": 1,
            "bound_benefit": bound,
        }
        points = [(25.0 * place, benefit, True) for place, benefit in enumerate(benefits, start=1)]
        points += [(100.0, benefits[0], False)] * plans
        plan["frontier"] = [
            same | {"point_no": number, "grant_pct": pct, "benefit": benefit, "is_estimate": is_estimate}
            for number, (pct, benefit, is_estimate) in enumerate(points, start=1)
        ]
        return "frontier"

    return edit


def decide(**values: Any) -> Edit:
    """A person's word about volume A."""

    def edit(plan: Plan) -> str:
        plan["decisions"].append({"volume_id": "A", "reason": "loan", "outcome": "kept"} | values)
        return "decisions"

    return edit
