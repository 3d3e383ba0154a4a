"""A tiny published plan worked by hand, in which every hard rule holds: three volumes, one paper, a pattern.

Volume A (Fair): three listed openings with bad newsprint, two counted ones with pins; five sheets, four old
leaves out. Volume B (Fair): on hold. Volume C (Seed): no hazard, a new enclosure. One conservator does all
on Monday 4 January 2027 from nine; a volunteer stands by.
"""

import math
from datetime import date, datetime, timedelta
from typing import Any

from pipeline.contracts import TABLES
from pipeline.contracts.published import TABLES as PUBLISHED_TABLES
from pipeline.store import Store
from tests import builders
from tests.sql.small_plan_more import cost_class_rows, staff_day_row

Row = dict[str, Any]
Plan = dict[str, list[Row]]

START, END = date(2027, 1, 4), date(2027, 1, 15)
# rates x T / 100, T = 50: newsprint 0.60 x 2.5 x 0.6 (print), pins 0.30 x 1 x 0.7 (unknown), use occasional
NEWSPRINT, PINS = 0.45, 0.105
BENEFIT_1 = math.exp(-NEWSPRINT * 0.2) - math.exp(-NEWSPRINT)  # buffered paper: 0.80 of staining
BENEFIT_2 = math.exp(-PINS * 0.1) - math.exp(-PINS)  # any sheet: 0.90 of abrasion
BENEFIT = 3 * BENEFIT_1 + 2 * BENEFIT_2
# F 21 mm - 4 old leaves of 50 um + 5 sheets of 80 um
FORE_EDGE_AFTER_MM = 21.2
AREA_M2 = 6 * 0.237 * 0.297
TASKS = (
    ("cut-1", "cut", None, 18, "technician"),
    ("fetch-1", "fetch", "A", 5, "volunteer"),
    ("remove-1", "remove", "A", 2, "technician"),
    ("interleave-1", "interleave", "A", 17, "technician"),
    ("check-1", "check", "A", 6, "technician"),
    ("enclose-1", "enclose", "A", 6, "volunteer"),
    ("return-1", "return", "A", 5, "volunteer"),
    ("fetch-2", "fetch", "C", 5, "volunteer"),
    ("enclose-2", "enclose", "C", 6, "volunteer"),
    ("return-2", "return", "C", 5, "volunteer"),
)
RATES = {
    "remove": (0.5, "technician"), "cut_setup": (12.0, "technician"), "cut_lift": (6.0, "technician"),
    "interleave_volume": (12.0, "volunteer"), "interleave_sheet": (1.0, "volunteer"),
    "check": (6.0, "technician"), "enclose": (6.0, "volunteer"),
    "enclose_made_to_measure": (20.0, "technician"),
    "fetch": (5.0, "volunteer"), "return": (5.0, "volunteer"),
}  # fmt: skip
# measure: (Fair, Seed)
TOTALS = {
    "volumes": (2, 1), "volumes_covered": (1, 0), "volumes_on_hold": (1, 0), "volumes_nothing_needed": (0, 1),
    "volumes_prioritised": (0, 0), "volumes_no_headroom": (0, 0), "volumes_treat_first": (0, 0),
    "volumes_no_paper": (0, 0), "volumes_deferred": (0, 0), "openings_at_risk": (7, 0),
    "openings_protected": (5, 0), "sheets": (5, 0), "benefit_possible": (BENEFIT + 2 * BENEFIT_2, 0),
    "benefit_planned": (BENEFIT, 0), "spares": (1, 0), "cut_sizes": (1, 0), "patterns": (1, 0),
    "parents": (1, 0), "paper_area_m2": (AREA_M2, 0), "paper_cost": (45, 0), "enclosures": (1, 1),
    "enclosure_cost": (10, 10), "labour_hours": (59 / 60, 16 / 60), "labour_cost": (59 / 2, 16 / 2),
}  # fmt: skip


def plan() -> Plan:
    """Every published table of the plan, as rows; tables without rows are left out."""
    return {
        "run": [_run()],
        "volumes": _volumes(),
        "opening_groups": _groups(),
        "interleaves": _interleaves(),
        "papers": [_paper()],
        "stock": [builders.stock()],
        "staff": [
            builders.person(),
            builders.person("V-1", skill="volunteer", hours_per_week=2.5, days="Mon-Tue"),
        ],
        "absences": [builders.absence() | {"from": date(2027, 1, 13), "until": date(2027, 1, 13)}],
        "closures": [{"day": END, "reason": "fair day"}],
        "rates": [_rate(task, *figures) for task, figures in RATES.items()],
        "enclosure_stock": [
            builders.enclosure(),
            builders.enclosure("E-2", inner_width_mm=300.0),
        ],
        "campaign": _campaign(),
        "policy": builders.policy_frames()["policy.entries"].to_dicts(),
        **_cutting(),
        "enclosures": [_enclosure("A"), _enclosure("C")],
        "enclosure_totals": [
            {
                "enclosure_id": "E-1",
                "needed": 2.0,
                "on_hand": 0.0,
                "to_buy": 2.0,
                "cost": 20.0,
                "order_by": START,
            }
        ],
        "tasks": _tasks(),
        "task_order": [{"before_task_id": "fetch-1", "after_task_id": "remove-1"}],
        "staff_days": [
            *(staff_day_row("T-1", date(2027, 1, day), 6.0) for day in (4, 5, 6, 7, 8, 11, 12, 14)),
            *(
                staff_day_row("V-1", date(2027, 1, day), hours)
                for day, hours in ((4, 1.5), (5, 1), (11, 1.5), (12, 1))
            ),
        ],
        "cost_classes": cost_class_rows(37.5, 65.0),
        "staff_weeks": [
            _week("T-1", START, 30.0, 75 / 60),
            _week("T-1", START + timedelta(days=7), 18.0, 0.0),
            _week("V-1", START, 2.5, 0.0),
            _week("V-1", START + timedelta(days=7), 2.5, 0.0),
        ],
        "options": [_option(0, 0, 0.0, is_chosen=False), _option(1, 5, BENEFIT, is_chosen=True)],
        "decisions": [],
        "campaign_totals": _totals(),
    }


def write_plan(store: Store, tables: Plan) -> None:
    """Write every published table through its contract."""
    for table in PUBLISHED_TABLES:
        write_table(store, table.stem, tables.get(table.stem, []))


def write_table(store: Store, stem: str, rows: list[Row]) -> None:
    """Write one published table through its contract."""
    table = TABLES[f"published.{stem}"]
    store.write(table.name, table.frame(rows))


def _run() -> Row:
    return {
        "revision": "r1",
        "as_of": START,
        "guardleaf_version": "0",
        "inventory_sha256": "0",
        "policy_sha256": "0",
        "planned_at": datetime(2027, 1, 4, 8),
        "length_unit": "mm",
        "currency": "EUR",
        "start_date": START,
        "end_date": END,
    }


def _campaign() -> list[Row]:
    settings = builders.campaign(supplies_budget=100.0, staff_budget=100.0) | {
        "start_date": START,
        "end_date": END,
    }
    return [
        {"setting": name, "value": None if value is None else str(value)} for name, value in settings.items()
    ]


def _volumes() -> list[Row]:
    wedge_deg = math.degrees(2 * math.atan(1 / 480))
    base: Row = {
        "hazard_openings": 0,
        "no_paper_openings": 0,
        "sheets": 0,
        "benefit_possible": 0.0,
        "benefit_planned": 0.0,
        "headroom_um": 3000,
        "added_um": 0,
        "wedge_before_deg": wedge_deg,
        "wedge_after_deg": wedge_deg,
        "wedge_limit_deg": 3.0,
        "fore_edge_before_mm": 21.0,
        "fore_edge_after_mm": 21.0,
    }
    worked = {
        "state": "covered",
        "reason": "every opening gets its sheet",
        "hazard_openings": 5,
        "sheets": 5,
        "benefit_possible": BENEFIT,
        "benefit_planned": BENEFIT,
        "added_um": 400,
        "fore_edge_after_mm": FORE_EDGE_AFTER_MM,
        "wedge_after_deg": math.degrees(2 * math.atan(1.2 / 480)),
    }
    held = {"state": "on_hold", "reason": "mould", "hazard_openings": 2, "benefit_possible": 2 * BENEFIT_2}
    idle = {"state": "nothing_needed", "reason": "no opening has a hazard"}
    old_leaves: Row = {"existing_leaves": 4, "existing_leaf_thickness_um": 50.0}
    return [
        builders.volume("A", collection="Fair", contents="print", **old_leaves) | base | worked,
        builders.volume("B", collection="Fair", hold="mould") | base | held,
        builders.volume("C", collection="Seed") | base | idle,
    ]


def _groups() -> list[Row]:
    newsprint: Row = {"hazards": "acidic_insert", "left_content": "print", "right_content": "print"}
    pins: Row = {"hazards": "fastener", "left_content": "unknown", "right_content": "unknown"}
    loss_1, loss_2 = 1 - math.exp(-NEWSPRINT), 1 - math.exp(-PINS)
    return [
        newsprint
        | {
            "volume_id": "A",
            "group_no": 1,
            "openings": "1-3",
            "count": 3,
            "severity": "3",
            "loss_before": loss_1,
        },
        pins | {"volume_id": "A", "group_no": 2, "count": 2, "severity": "2", "loss_before": loss_2},
        pins | {"volume_id": "B", "group_no": 1, "count": 2, "severity": "2", "loss_before": loss_2},
    ]


def _interleaves() -> list[Row]:
    shared: Row = {"volume_id": "A", "paper_id": "P-1", "thickness_um": 80.0, "reason": "greatest benefit"}
    return [
        shared | {"group_no": 1, "openings": "1-3", "sheets": 3, "benefit": 3 * BENEFIT_1},
        shared | {"group_no": 2, "openings": None, "sheets": 2, "benefit": 2 * BENEFIT_2},
    ]


def _paper() -> Row:
    """The builders' paper, stiffness measured: c = (0.0002 N m / (9.80665 x 0.06 kg/m2))^(1/3)."""
    length_mm = (0.0002 / (9.80665 * 0.06)) ** (1 / 3) * 1000
    return builders.paper(bending_stiffness_mnm=0.2, grain_rule="require") | {
        "effective_thickness_um": 80.0,
        "bending_length_mm": length_mm,
    }


def _cutting() -> Plan:
    """One size of 237 x 297 mm, six of it from one sheet of 700 x 1000 mm in three strips of two."""
    places = [(237.0 * column, 297.0 * line) for line in range(3) for column in range(2)]
    return {
        "cut_sizes": [
            {
                "cut_size_id": "Z1",
                "paper_id": "P-1",
                "width_mm": 237.0,
                "height_mm": 297.0,
                "sheets": 5,
                "spares": 1,
            }
        ],
        "cut_size_volumes": [
            {
                "cut_size_id": "Z1",
                "volume_id": "A",
                "sheets": 5,
                "clearance_width_mm": 3.0,
                "clearance_height_mm": 3.0,
            }
        ],
        "cut_size_bounds": [{"paper_id": "P-1", "cut_sizes": 1, "lower_bound": 1}],
        "patterns": [
            {
                "pattern_id": "R1",
                "stock_id": "S-1",
                "sheets": 1,
                "sheet_width_mm": 700.0,
                "sheet_length_mm": 1000.0,
                "first_cut": "across_width",
                "lifts": 1,
                "used_pct": 100 * AREA_M2 / 0.7,
                "from_offcut_of": None,
            }
        ],
        "pattern_pieces": [piece(number, *place) for number, place in enumerate(places, start=1)],
        "offcuts": [
            {
                "pattern_id": "R1",
                "x_mm": 474.0,
                "y_mm": 0.0,
                "along_width_mm": 220.0,
                "along_length_mm": 994.0,
            }
        ],
        "material_totals": [
            {
                "stock_id": "S-1",
                "paper_id": "P-1",
                "unit": "sheet",
                "needed": 1.0,
                "on_hand": 0.0,
                "to_buy": 1.0,
                "packs": 1,
                "cost": 45.0,
                "order_by": START,
            }
        ],
        "clearance_choices": [
            {
                "most_clearance_mm": limit,
                "is_planned": limit == 6.0,
                "cut_sizes": 1,
                "lower_bound": 1,
                "parents_count": 1,
                "patterns_count": 1,
                "cost_needed": 0.45,
                "cost_lower_bound": 0.45,
                "reason": "",
            }
            for limit in (4.0, 6.0)
        ],
        "sizes_per_sheet_choices": [
            {
                "choice_no": number,
                "max_sizes_per_sheet": most,
                "is_planned": most == 3,
                "parents_count": 1,
                "patterns_count": 1,
                "cost_needed": 0.45,
                "cost_lower_bound": 0.45,
            }
            for number, most in enumerate((1, 3, None), start=1)
        ],
        "cutting_ways": [
            {
                "way": way,
                "paper_id": "P-1",
                "cut_sizes": 1,
                "parents_count": 1,
                "patterns_count": 1,
                "cost_needed": 0.45,
                "cost_lower_bound": 0.4,
            }
            for way in ("usual", "plan")
        ],
        "paper_bounds": [
            {
                "paper_id": "P-1",
                "cost_needed": 0.45,
                "cost_lower_bound": 0.4,
                "area_needed_m2": AREA_M2,
                "area_of_parents_m2": 0.7,
            }
        ],
    }


def piece(number: int, x_mm: float, y_mm: float, **overrides: Any) -> Row:
    """One piece of pattern R1."""
    row: Row = {
        "pattern_id": "R1",
        "piece_no": number,
        "cut_size_id": "Z1",
        "x_mm": x_mm,
        "y_mm": y_mm,
        "along_width_mm": 237.0,
        "along_length_mm": 297.0,
    }
    return row | overrides


def _rate(task: str, minutes: float, skill: str) -> Row:
    return {"task": task, "minutes": minutes, "minutes_low": minutes, "minutes_high": minutes, "skill": skill}


def _enclosure(volume_id: str) -> Row:
    return {
        "volume_id": volume_id,
        "enclosure_id": "E-1",
        "inner_width_mm": 250.0,
        "inner_height_mm": 315.0,
        "inner_depth_mm": 40.0,
        "price": 10.0,
        "shelved": "upright",
    }


def _tasks() -> list[Row]:
    rows: list[Row] = []
    clock = datetime(2027, 1, 4, 9)
    for task_id, kind, volume_id, minutes, skill in TASKS:
        finish = clock + timedelta(minutes=minutes)
        rows.append(
            {
                "task_id": task_id,
                "kind": kind,
                "volume_id": volume_id,
                "pattern_id": "R1" if kind == "cut" else None,
                "hours": minutes / 60,
                "skill": skill,
                "staff_id": "T-1",
                "start_at": clock,
                "finish_at": finish,
            }
        )
        clock = finish
    return rows


def _week(staff_id: str, week_start: date, available: float, planned: float) -> Row:
    return {
        "staff_id": staff_id,
        "week_start": week_start,
        "hours_available": available,
        "hours_planned": planned,
    }


def _option(number: int, sheets: int, benefit: float, *, is_chosen: bool) -> Row:
    return {
        "volume_id": "A",
        "option_no": number,
        "sheets": sheets,
        "benefit": benefit,
        "hours": 0.0,
        "cost": 0.0,
        "chosen": is_chosen,
    }


def _totals() -> list[Row]:
    rows: list[Row] = []
    for measure, parts in TOTALS.items():
        for collection, value in zip(("Fair", "Seed", None), (*parts, sum(parts)), strict=True):
            rows.append(
                {
                    "collection": collection,
                    "measure": measure,
                    "unit": "",
                    "value": float(value),
                    "basis": "planned",
                }
            )
    finish: Row = {"measure": "finish_date", "unit": "date", "text": "2027-01-04", "basis": "planned"}
    return [*rows, finish]
