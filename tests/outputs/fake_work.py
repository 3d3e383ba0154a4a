"""Tasks, hours and totals of the made-up plan."""

from datetime import date, datetime, timedelta
from typing import Any

from tests.outputs.fake_data import FAIR, PATTERNS, REASONS, SEED, STAFF, VOLUMES, Rows
from tests.sql.small_plan_more import chance_row, staff_day_row


def task_rows(boxed: set[str]) -> Rows:
    """Tasks of the made-up plan: cuts first, then volume after volume; `boxed` volumes get an enclosure."""
    rows: Rows = []
    for number, (name, (_, _, _, _, lifts, _)) in enumerate(PATTERNS.items()):
        start = datetime(2027, 3, 1, 9) + timedelta(days=number % 3, hours=number // 3)
        rows.append(
            _task(
                f"T{number:03}",
                "cut",
                start,
                0.2 + 0.1 * lifts,
                pattern_id=name,
                staff_id="t1",
                skill="technician",
            )
        )
    day = datetime(2027, 3, 2, 9)
    for volume_id, _, _, _, _, papers in VOLUMES:
        if not papers:
            continue
        sheets = sum(count for _, count in papers.values())
        kinds = [
            "fetch",
            *(["remove"] if volume_id == "CC-002" else []),
            "interleave",
            "check",
            *(["enclose"] if volume_id in boxed else []),
            "return",
        ]
        start = day
        for kind in kinds:
            hours = {"interleave": 0.2 + sheets / 60}.get(kind, 0.1)
            who = "v1" if kind in ("fetch", "return", "enclose") else "k1" if kind == "remove" else "t1"
            skill = {"v1": "volunteer", "k1": "conservator", "t1": "technician"}[who]
            rows.append(
                _task(f"T{len(rows):03}", kind, start, hours, volume_id=volume_id, staff_id=who, skill=skill)
            )
            start += timedelta(hours=1)
        day += timedelta(days=2 if day.weekday() < 3 else 5 - day.weekday() + 2)
    return rows


def _task(task_id: str, kind: str, start: datetime, hours: float, **rest: Any) -> dict[str, Any]:
    return {
        "task_id": task_id,
        "kind": kind,
        "hours": hours,
        "start_at": start,
        "finish_at": start + timedelta(hours=hours),
        **rest,
    }


def staff_day_rows(tasks: Rows) -> Rows:
    """The days on which someone works, from nine to eight in the evening."""
    days = sorted({(task["staff_id"], task["start_at"].date()) for task in tasks})
    return [staff_day_row(who, day, 11.0) for who, day in days]


def chance_rows() -> Rows:
    """How sure the dates are: all work, two rates, two people."""
    day = date(2027, 3, 30)
    return [
        chance_row("campaign", None, "87 chances in 100 that all dated work is done by 2027-05-28.", day),
        chance_row("task", "interleave_sheet", "Interleaving, each sheet: 12 days apart.", day, decides_no=1),
        chance_row("task", "check", "Checking the fore edge: 2 days apart.", day, decides_no=2),
        chance_row("person", "t1", "t1: 9 days apart.", day, decides_no=1, last_pct=80.0),
        chance_row("person", "v1", "v1: 1 day apart.", day, decides_no=2, last_pct=20.0),
    ]


def staff_week_rows(tasks: Rows) -> Rows:
    """Hours of each person and week."""
    weeks = sorted({task["start_at"].date() - timedelta(days=task["start_at"].weekday()) for task in tasks})
    return [
        {
            "staff_id": who,
            "week_start": week,
            "hours_available": hours,
            "hours_planned": sum(
                t["hours"]
                for t in tasks
                if t["staff_id"] == who and 0 <= (t["start_at"].date() - week).days < 7
            ),
        }
        for week in weeks
        for who, _, hours, _ in STAFF
    ]


def total_rows(rows: dict[str, Rows]) -> Rows:
    """Campaign totals that add up to the rows."""
    found: Rows = []
    for collection in (None, FAIR, SEED):
        volumes = [v for v in rows["published.volumes"] if collection in (None, v["collection"])]
        share = sum(v["sheets"] for v in volumes) / sum(v["sheets"] for v in rows["published.volumes"])
        boxes = [
            e for e in rows["published.enclosures"] if e["volume_id"] in {v["volume_id"] for v in volumes}
        ]
        ids = {v["volume_id"] for v in volumes}
        own = sum(t["hours"] for t in rows["published.tasks"] if t.get("volume_id") in ids)
        cutting = sum(t["hours"] for t in rows["published.tasks"] if t["kind"] == "cut")
        values: dict[str, tuple[float, str]] = {
            "volumes": (len(volumes), "volumes"),
            **{
                f"volumes_{state}": (sum(v["state"] == state for v in volumes), "volumes")
                for state in REASONS
            },
            "openings_at_risk": (sum(v["hazard_openings"] for v in volumes), "openings"),
            "openings_protected": (sum(v["sheets"] for v in volumes), "openings"),
            "benefit_possible": (sum(v["benefit_possible"] for v in volumes), "page-equivalents"),
            "benefit_planned": (sum(v["benefit_planned"] for v in volumes), "page-equivalents"),
            "sheets": (sum(v["sheets"] for v in volumes), "sheets"),
            "paper_area_m2": (16.54 * share, "m2"),
            "paper_cost": (92.0 * share, "EUR"),
            "enclosures": (len(boxes), "enclosures"),
            "enclosure_cost": (sum(24.0 / 3 if e["enclosure_id"] else 28.0 for e in boxes), "EUR"),
            "labour_hours": (own + cutting * share, "hours"),
            "labour_cost": ((own + cutting * share) * 30, "EUR"),
            "shelf_mm_added": (40.0 * share, "mm"),
        }
        if collection is None:
            values |= {
                "spares": (12, "sheets"),
                "cut_sizes": (6, "sizes"),
                "patterns": (5, "patterns"),
                "parents": (36, "sheets"),
            }
            finish = max(t["finish_at"] for t in rows["published.tasks"]).date().isoformat()
            found.append(
                {
                    "collection": None,
                    "measure": "finish_date",
                    "unit": "date",
                    "text": finish,
                    "basis": "planned",
                }
            )
        found += [
            {"collection": collection, "measure": m, "unit": unit, "value": float(value), "basis": "planned"}
            for m, (value, unit) in values.items()
        ]
    return found
