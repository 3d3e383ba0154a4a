"""A small made-up plan, published tables only: 13 volumes, 2 collections, 3 papers, 5 patterns.

Its figures agree with each other (sheets, hours and costs add up), as those of a real plan do.
"""

from datetime import date, datetime
from typing import Any

import polars as pl

from pipeline.contracts import TABLES
from pipeline.policy.load import load_policy
from pipeline.policy.tables import policy_tables
from pipeline.store import Store
from tests.outputs.fake_data import (
    AS_OF,
    OFFCUTS,
    PATTERNS,
    REASONS,
    SEED,
    SIZES,
    STAFF,
    VOLUMES,
    Rows,
    rows_of,
)
from tests.outputs.fake_work import chance_rows, staff_day_rows, staff_week_rows, task_rows, total_rows
from tests.sql.small_plan_more import cost_class_rows

ROLL_MM = 45_720.0


def fake_store(changes: dict[str, pl.DataFrame] | None = None) -> Store:
    """A store in memory with every published table (some replaced by `changes`) and the unit factors."""
    store = Store(None)
    for name, frame in (fake_frames() | (changes or {})).items():
        store.write(name, frame)
    return store


def fake_frames() -> dict[str, pl.DataFrame]:
    """Every published table of the made-up plan."""
    policy = policy_tables(load_policy(None))
    rows = _all_rows()
    frames = {
        name: TABLES[name].frame(rows.get(name, [])) for name in TABLES if name.startswith("published.")
    }
    frames["published.policy"] = policy["policy.entries"]
    frames["policy.unit_factors"] = policy["policy.unit_factors"]
    return frames


def empty_frames() -> dict[str, pl.DataFrame]:
    """A plan of no volumes at all: run, campaign and policy only."""
    kept = ("published.run", "published.campaign", "published.policy", "policy.unit_factors")
    return {name: frame if name in kept else frame.clear() for name, frame in fake_frames().items()}


def _all_rows() -> dict[str, Rows]:
    enclosures = _enclosures()
    tasks = task_rows({row["volume_id"] for row in enclosures})
    rows = {
        "published.run": _run(),
        "published.campaign": _campaign(),
        "published.volumes": [_volume(volume) for volume in VOLUMES],
        "published.opening_groups": _groups(),
        "published.interleaves": _interleaves(),
        "published.papers": _papers(),
        "published.stock": _stock(),
        "published.staff": _staff(),
        "published.cut_sizes": _cut_sizes(),
        "published.cut_size_volumes": _served(),
        "published.patterns": _patterns(),
        "published.pattern_pieces": _pieces(),
        "published.offcuts": rows_of("pattern_id x_mm y_mm along_width_mm along_length_mm", *OFFCUTS),
        "published.material_totals": _materials(),
        "published.enclosures": enclosures,
        "published.tasks": tasks,
        "published.staff_weeks": staff_week_rows(tasks),
        "published.staff_days": staff_day_rows(tasks),
        "published.finish_chances": chance_rows(),
        "published.cost_classes": cost_class_rows(1_234.5, 144.0, other=68.93, indirect=217.11),
        "published.closures": rows_of("day reason", (date(2027, 3, 5), "stock-taking")),
        **_bounds(),
        **_enclosure_stock(),
    }
    rows["published.campaign_totals"] = total_rows(rows)
    return rows


def _run() -> Rows:
    names = (
        "revision as_of guardleaf_version inventory_sha256 policy_sha256 planned_at length_unit currency "
        "start_date end_date"
    )
    at = datetime(2027, 3, 1, 8, 30)
    dates = date(2027, 3, 1), date(2027, 5, 28)
    return rows_of(names, ("r1", AS_OF, "0.1.0", "a1" * 32, "b2" * 32, at, "mm", "EUR", *dates))


def _campaign() -> Rows:
    return rows_of(
        "setting value",
        ("name", "Two collections & a half"),
        ("page_size", "A4"),
        ("handling_note", "Clean dry hands; book cradles at every place."),
        ("length_unit", "mm"),
        ("horizon_years", "50"),
    )


def _volume(volume: tuple[Any, ...]) -> dict[str, Any]:
    volume_id, collection, state, width, height, papers = volume
    sheets = sum(count for _, count in papers.values())
    added_um = sheets * 70
    is_short = state == "prioritised"
    has_old_leaves = volume_id == "CC-002"
    return {
        "volume_id": volume_id,
        "collection": collection,
        "state": state,
        "reason": REASONS[state],
        "hazard_openings": 0 if state == "nothing_needed" else max(sheets + 4 * is_short, 5),
        "no_paper_openings": 5 if state == "no_paper" else 0,
        "sheets": sheets,
        "benefit_possible": 0.02 * sheets + (0.06 if is_short or state == "deferred" else 0.0),
        "benefit_planned": 0.02 * sheets,
        "headroom_um": added_um + 540 if sheets else 300,
        "added_um": added_um,
        "wedge_before_deg": 0.4,
        "wedge_after_deg": 0.4 + sheets * 0.02,
        "wedge_limit_deg": None if state == "treat_first" else 3.0,
        "fore_edge_before_mm": 32.0,
        "fore_edge_after_mm": 32.0 + added_um / 1000,
        "title": f"Album {volume_id}",
        "location": f"Store 2, bay {volume_id[-1]}",
        "page_width_mm": float(width),
        "page_height_mm": float(height),
        "leaves": 60,
        "binding": "sewn",
        "joints": "split" if state == "treat_first" else "sound",
        "leaf_condition": "brittle" if volume_id == "CC-007" else "sound",
        "spine_thickness_mm": 30.0,
        "fore_edge_thickness_mm": 32.0,
        "extension_mm": 0.0,
        "use": "occasional",
        "significance": 3,
        "odour": False,
        "hold": "mould" if state == "on_hold" else None,
        "contents": "print, specimen" if collection == SEED else "print, manuscript",
        "existing_leaves": 8 if has_old_leaves else 0,
        "existing_leaf_thickness_um": 60.0 if has_old_leaves else 0.0,
        "skill": "technician",
        "enclosure": "new",
    }


def _openings(sheets: int) -> str:
    """Every second opening from 1 on, then the rest of the sheets as one run."""
    singles = [str(2 * number + 1) for number in range(min(3, sheets))]
    rest = sheets - len(singles)
    return ", ".join([*singles, f"10-{9 + rest}"] if rest > 1 else singles + (["10"] if rest else []))


def _places(volume_id: str, group_no: int, count: int) -> str | None:
    """Openings of a group; the second group's lie between those of the first; not noted for one volume."""
    if volume_id == "SM/02":
        return None
    return _openings(count) if group_no == 1 else ", ".join(str(2 * number + 2) for number in range(count))


def _groups() -> Rows:
    rows = []
    for volume_id, _, _, _, _, papers in VOLUMES:
        planned = papers.values() or [("", 5)]
        for number, (_, count) in enumerate(planned, start=1):
            rows.append(
                {
                    "volume_id": volume_id,
                    "group_no": number,
                    "openings": _places(volume_id, number, count),
                    "count": count,
                    "left_content": "print",
                    "right_content": "specimen" if volume_id == "SM/01" else "manuscript",
                    "hazards": "acidic_insert, left:fastener" if number == 1 else "tacky_adhesive",
                    "severity": "2, 1" if number == 1 else "3",
                    "loss_before": 0.3,
                }
            )
    return [row for row in rows if row["volume_id"] != "SM/03"]


def _interleaves() -> Rows:
    names = "volume_id group_no paper_id openings sheets benefit thickness_um reason"
    lines = [
        (volume_id, no, paper, _places(volume_id, no, count), count, 0.02 * count, 70.0, "greatest benefit")
        for volume_id, _, _, _, _, papers in VOLUMES
        for no, (paper, (_, count)) in enumerate(papers.items(), start=1)
    ]
    return rows_of(names, *lines)


def _papers() -> Rows:
    same = {
        "adsorbent": False,
        "pat": "pass",
        "sulphur_free": "yes",
        "lignin_free": True,
        "ph": 8.0,
        "glassine": False,
        "grammage_gsm": 45.0,
        "thickness_um": 70.0,
        "grain_rule": "require",
        "effective_thickness_um": 70.0,
        "bending_length_mm": 62.0,
    }
    papers = rows_of(
        "paper_id description buffer surface",
        ("B40", "buffered tissue, cream", "buffered", "plain"),
        ("N60", "unbuffered photo-safe sheet", "unbuffered", "smooth"),
        ("R50", "release-coated sheet", "unbuffered", "release"),
    )
    return [paper | same for paper in papers]


def _stock() -> Rows:
    stock = rows_of(
        "stock_id paper_id form width_mm length_mm pack_quantity pack_price on_hand",
        ("B40-S", "B40", "sheet", 640.0, 900.0, 100, 18.0, 20.0),
        ("B40-L", "B40", "sheet", 700.0, 1000.0, 50, 15.0, 0.0),
        ("N60-R", "N60", "roll", 914.0, ROLL_MM, 1, 77.0, 0.0),
        ("R50-S", "R50", "sheet", 500.0, 700.0, 25, 22.5, 4.0),
    )
    return [line | {"grain": "long", "lead_days": 10, "trim_mm": 3.0} for line in stock]


def _staff() -> Rows:
    names = "staff_id skill hours_per_week hourly_rate"
    return [person | {"days": "Mon,Tue,Wed,Thu,Fri"} for person in rows_of(names, *STAFF)]


def _served() -> Rows:
    names = "cut_size_id volume_id sheets clearance_width_mm clearance_height_mm"
    lines = [
        (size, volume_id, count, width - SIZES[size][1], height - SIZES[size][2])
        for volume_id, _, _, width, height, papers in VOLUMES
        for size, count in papers.values()
    ]
    return rows_of(names, *lines)


def _cut_sizes() -> Rows:
    served = _served()
    lines = [
        (size, *shape, sum(row["sheets"] for row in served if row["cut_size_id"] == size), 2)
        for size, shape in SIZES.items()
    ]
    return rows_of("cut_size_id paper_id width_mm height_mm sheets spares", *lines)


def _patterns() -> Rows:
    names = "pattern_id stock_id sheet_width_mm sheet_length_mm sheets lifts first_cut used_pct"
    lines = [
        (name, *facts, "across_width", 100 * sum(w * h for _, _, _, w, h in pieces) / (facts[1] * facts[2]))
        for name, (*facts, pieces) in PATTERNS.items()
    ]
    return rows_of(names, *lines)


def _pieces() -> Rows:
    names = "pattern_id piece_no cut_size_id x_mm y_mm along_width_mm along_length_mm"
    lines = [
        (name, number, *piece)
        for name, (*_, pieces) in PATTERNS.items()
        for number, piece in enumerate(pieces, start=1)
    ]
    return rows_of(names, *lines)


def _materials() -> Rows:
    roll = (13 * 830.0 + 7 * 620.0) / ROLL_MM
    return rows_of(
        "stock_id paper_id unit needed on_hand to_buy packs cost order_by",
        ("B40-S", "B40", "sheet", 5.0, 20.0, 0.0, 0, 0.0, None),
        ("B40-L", "B40", "sheet", 10.0, 0.0, 10.0, 1, 15.0, date(2027, 3, 1)),
        ("N60-R", "N60", "roll", roll, 0.0, roll, 1, 77.0, date(2027, 3, 3)),
        ("R50-S", "R50", "sheet", 1.0, 4.0, 0.0, 0, 0.0, None),
    )


def _bounds() -> dict[str, Rows]:
    return {
        "published.cut_size_bounds": rows_of(
            "paper_id cut_sizes lower_bound", ("B40", 3, 3), ("N60", 2, 2), ("R50", 1, 1)
        ),
        "published.clearance_choices": rows_of(
            "most_clearance_mm is_planned cut_sizes lower_bound parents_count patterns_count cost_needed "
            "cost_lower_bound reason",
            (4.0, False, 9, 9, None, None, None, None, "at this limit some leaf fits no stock of its paper"),
            (5.0, False, 8, 8, 30, 7, 66.0, 60.0, ""),
            (6.0, True, 6, 6, 28, 5, 63.0, 58.4, ""),
            (7.0, False, 5, 5, 27, 5, 62.0, 58.0, ""),
        ),
        "published.sizes_per_sheet_choices": rows_of(
            "choice_no max_sizes_per_sheet is_planned parents_count patterns_count cost_needed cost_lower_bound",
            (1, 1, False, 34, 8, 75.0, 71.0),
            (2, 2, False, 30, 6, 66.0, 61.0),
            (3, 3, True, 28, 5, 63.0, 58.4),
            (4, None, False, 28, 5, 62.9, 58.0),
        ),
        "published.cutting_ways": rows_of(
            "way paper_id cut_sizes parents_count patterns_count cost_needed cost_lower_bound",
            ("usual", "B40", 7, 30, 7, 60.0, None),
            ("usual", "N60", 4, 10, 4, 30.0, None),
            ("sizes_apart", "B40", 3, 20, 4, 38.0, 34.0),
            ("sizes_apart", "N60", 2, 8, 3, 26.0, 24.0),
            ("sizes_in_view", "B40", 3, 18, 3, 37.0, 33.5),
            ("sizes_in_view", "N60", 2, 8, 3, 26.0, 24.0),
            ("plan", "B40", 3, 17, 3, 36.0, 33.5),
            ("plan", "N60", 2, 8, 2, 25.66, 24.0),
        ),
        "published.paper_bounds": rows_of(
            "paper_id cost_needed cost_lower_bound area_needed_m2 area_of_parents_m2",
            ("B40", 36.0, 33.5, 5.2, 9.88),
            ("N60", 25.66, 24.0, 11.1, 13.8),
            ("R50", 0.9, 0.9, 0.24, 0.35),
        ),
    }


def _enclosures() -> Rows:
    stock = ("box_medium", 290.0, 370.0, 75.0, 12.0, "upright")
    return rows_of(
        "volume_id enclosure_id inner_width_mm inner_height_mm inner_depth_mm price shelved",
        ("CC-001", *stock),
        ("CC-002", *stock),
        ("CC-007", *stock),
        ("SM/06", None, 527.0, 619.0, 45.0, 28.0, "flat"),
    )


def _enclosure_stock() -> dict[str, Rows]:
    names = (
        "enclosure_id inner_width_mm inner_height_mm inner_depth_mm price on_hand lead_days max_slack_mm "
        "max_depth_slack_mm"
    )
    return {
        "published.enclosure_stock": rows_of(
            names, ("box_medium", 290.0, 370.0, 75.0, 12.0, 1.0, 14, 10.0, 25.0)
        ),
        "published.enclosure_totals": rows_of(
            "enclosure_id needed on_hand to_buy cost order_by",
            ("box_medium", 3.0, 1.0, 2.0, 24.0, date(2027, 3, 2)),
            (None, 1.0, 0.0, 1.0, 28.0, date(2027, 3, 1)),
        ),
    }
