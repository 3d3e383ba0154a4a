"""A small made-up plan, published tables only: thirteen volumes of two collections, three papers, three patterns.

Its figures agree with each other (sheets, hours and costs add up), as those of a real plan do.
"""

from datetime import date, datetime, timedelta
from typing import Any

import polars as pl

from pipeline.contracts import TABLES
from pipeline.store import Store

Rows = list[dict[str, Any]]

AS_OF = date(2027, 3, 1)
FAIR, SEED = "Carnival committee", "Seed merchant"
# volume, collection, state, page width, page height, sheets by (paper, cut size)
VOLUMES = (
    ("CC-001", FAIR, "covered", 210, 297, {"B40": ("C1", 14)}),
    ("CC-002", FAIR, "covered", 210, 297, {"B40": ("C1", 22), "R50": ("C4", 3)}),
    ("CC-003", FAIR, "prioritised", 243, 313, {"B40": ("C2", 18)}),
    ("CC-004", FAIR, "on_hold", 300, 400, {}),
    ("CC-005", FAIR, "treat_first", 300, 400, {}),
    ("CC-006", FAIR, "no_headroom", 250, 330, {}),
    ("CC-007", FAIR, "covered", 203, 283, {"B40": ("C3", 9)}),
    ("SM/01", SEED, "covered", 293, 403, {"N60": ("C5", 30)}),
    ("SM/02", SEED, "prioritised", 293, 403, {"N60": ("C5", 41)}),
    ("SM/03", SEED, "nothing_needed", 220, 300, {}),
    ("SM/04", SEED, "no_paper", 220, 300, {}),
    ("SM/05", SEED, "deferred", 220, 300, {}),
    ("SM/06", SEED, "covered", 520, 610, {"N60": ("C6", 6)}),
)
REASONS = {
    "covered": "every opening that needs a sheet gets one",
    "prioritised": "headroom for part of the openings only; the greatest benefit first",
    "on_hold": "active mould: on hold until a person clears it",
    "treat_first": "split joint: no added bulk, treat first",
    "no_headroom": "the binding takes no more bulk by wedge angle",
    "nothing_needed": "no opening has a hazard",
    "no_paper": "no paper in the list has a release surface and passed the photographic activity test",
    "deferred": "left out: the campaign's hours do not reach",
}
SIZES = {
    "C1": ("B40", 207.0, 294.0),
    "C2": ("B40", 240.0, 310.0),
    "C3": ("B40", 200.0, 280.0),
    "C4": ("R50", 207.0, 294.0),
    "C5": ("N60", 290.0, 400.0),
    "C6": ("N60", 517.0, 607.0),
}
PATTERNS = {
    "P1": ("B40-S", 640.0, 900.0, 5, 1, [("C1", 207.0 * i, 294.0 * j, 207.0, 294.0) for j in range(3) for i in range(3)]),
    "P2": (
        "B40-L",
        700.0,
        1000.0,
        10,
        3,
        [
            piece
            for j in range(2)
            for piece in (
                ("C2", 0.0, 310.0 * j, 240.0, 310.0),
                ("C2", 240.0, 310.0 * j, 240.0, 310.0),
                ("C3", 480.0, 310.0 * j, 200.0, 280.0),
            )
        ],
    ),
    "P3": ("N60-R", 914.0, 830.0, 13, 1, [("C5", 290.0 * i, 400.0 * j, 290.0, 400.0) for j in range(2) for i in range(3)]),
    "P4": ("N60-R", 914.0, 620.0, 7, 1, [("C6", 0.0, 0.0, 517.0, 607.0)]),
    "P5": ("R50-S", 500.0, 700.0, 1, 1, [("C4", 207.0 * i, 294.0 * j, 207.0, 294.0) for j in range(2) for i in range(2)]),
}
OFFCUTS = (("P2", 0.0, 620.0, 694.0, 374.0), ("P4", 517.0, 0.0, 391.0, 607.0))
STAFF = (("t1", "technician", 30.0, 31.5), ("v1", "volunteer", 12.0, None), ("k1", "conservator", 10.0, 45.0))


def fake_store(changes: dict[str, pl.DataFrame] | None = None) -> Store:
    """A store in memory with every published table (some replaced by `changes`) and the unit factors."""
    store = Store(None)
    for name, frame in (fake_frames() | (changes or {})).items():
        store.write(name, frame)
    return store


def fake_frames() -> dict[str, pl.DataFrame]:
    """Every published table of the made-up plan."""
    from pipeline.policy.load import load_policy
    from pipeline.policy.tables import policy_tables

    policy = policy_tables(load_policy(None))
    rows = _all_rows()
    frames = {name: TABLES[name].frame(rows.get(name, [])) for name in TABLES if name.startswith("published.")}
    frames["published.policy"] = policy["policy.entries"]
    frames["policy.unit_factors"] = policy["policy.unit_factors"]
    return frames


def empty_frames() -> dict[str, pl.DataFrame]:
    """A plan of no volumes at all: run, campaign and policy only."""
    full = fake_frames()
    kept = ("published.run", "published.campaign", "published.policy", "policy.unit_factors")
    return {name: frame if name in kept else frame.clear() for name, frame in full.items()}


def _all_rows() -> dict[str, Rows]:
    tasks = _tasks()
    rows = {
        "published.run": _run(),
        "published.campaign": _campaign(),
        "published.volumes": [_volume(*volume) for volume in VOLUMES],
        "published.opening_groups": _groups(),
        "published.interleaves": _interleaves(),
        "published.papers": _papers(),
        "published.stock": _stock(),
        "published.staff": [
            {"staff_id": who, "skill": skill, "hours_per_week": hours, "days": "Mon,Tue,Wed,Thu,Fri", "hourly_rate": rate}
            for who, skill, hours, rate in STAFF
        ],
        "published.cut_sizes": _cut_sizes(),
        "published.cut_size_volumes": _served(),
        "published.cut_size_bounds": [
            {"paper_id": paper, "cut_sizes": count, "lower_bound": count}
            for paper, count in (("B40", 3), ("N60", 2), ("R50", 1))
        ],
        "published.patterns": _patterns(),
        "published.pattern_pieces": _pieces(),
        "published.offcuts": [
            {"pattern_id": p, "x_mm": x, "y_mm": y, "along_width_mm": w, "along_length_mm": h} for p, x, y, w, h in OFFCUTS
        ],
        "published.material_totals": _materials(),
        "published.paper_bounds": [
            {"paper_id": "B40", "cost_needed": 36.0, "cost_lower_bound": 33.5, "area_needed_m2": 5.2, "area_of_parents_m2": 9.88},
            {"paper_id": "N60", "cost_needed": 25.66, "cost_lower_bound": 24.0, "area_needed_m2": 11.1, "area_of_parents_m2": 13.8},
            {"paper_id": "R50", "cost_needed": 0.9, "cost_lower_bound": 0.9, "area_needed_m2": 0.24, "area_of_parents_m2": 0.35},
        ],
        "published.enclosures": _enclosures(),
        "published.enclosure_stock": [
            {"enclosure_id": "box_medium", "inner_width_mm": 290, "inner_height_mm": 370, "inner_depth_mm": 75, "price": 12.0,
             "on_hand": 1.0, "lead_days": 14, "max_slack_mm": 10.0, "max_depth_slack_mm": 25.0}
        ],
        "published.enclosure_totals": [
            {"enclosure_id": "box_medium", "needed": 3.0, "on_hand": 1.0, "to_buy": 2.0, "cost": 24.0, "order_by": date(2027, 3, 2)},
            {"enclosure_id": None, "needed": 1.0, "on_hand": 0.0, "to_buy": 1.0, "cost": 28.0, "order_by": date(2027, 3, 1)},
        ],
        "published.tasks": tasks,
        "published.staff_weeks": _staff_weeks(tasks),
        "published.closures": [{"day": date(2027, 3, 5), "reason": "stock-taking"}],
    }
    rows["published.campaign_totals"] = _totals(rows)
    return rows


def _run() -> Rows:
    return [
        {"revision": "r1", "as_of": AS_OF, "guardleaf_version": "0.1.0", "inventory_sha256": "a1" * 32,
         "policy_sha256": "b2" * 32, "planned_at": datetime(2027, 3, 1, 8, 30), "length_unit": "mm", "currency": "EUR",
         "start_date": date(2027, 3, 1), "end_date": date(2027, 5, 28)}
    ]  # fmt: skip


def _campaign() -> Rows:
    settings = {
        "name": "Two collections & a half",
        "page_size": "A4",
        "handling_note": "Clean dry hands; book cradles at every place.",
        "length_unit": "mm",
    }
    return [{"setting": setting, "value": value} for setting, value in settings.items()]


def _volume(volume_id: str, collection: str, state: str, width: float, height: float, papers: dict[str, tuple[str, int]]) -> dict[str, Any]:
    sheets = sum(count for _, count in papers.values())
    added_um = sheets * 70
    return {
        "volume_id": volume_id, "collection": collection, "state": state, "reason": REASONS[state],
        "hazard_openings": 0 if state == "nothing_needed" else max(sheets + (4 if state == "prioritised" else 0), 5),
        "no_paper_openings": 5 if state == "no_paper" else 0, "sheets": sheets,
        "benefit_possible": 0.02 * sheets + (0.06 if state in ("prioritised", "deferred") else 0.0), "benefit_planned": 0.02 * sheets,
        "headroom_um": added_um + 540 if sheets else 300, "added_um": added_um,
        "wedge_before_deg": 0.4, "wedge_after_deg": 0.4 + sheets * 0.02, "wedge_limit_deg": None if state == "treat_first" else 3.0,
        "fore_edge_before_mm": 32.0, "fore_edge_after_mm": 32.0 + added_um / 1000,
        "title": f"Album {volume_id}", "location": f"Store 2, bay {volume_id[-1]}", "page_width_mm": float(width), "page_height_mm": float(height),
        "leaves": 60, "binding": "sewn", "joints": "split" if state == "treat_first" else "sound",
        "leaf_condition": "brittle" if volume_id == "CC-007" else "sound", "spine_thickness_mm": 30.0, "fore_edge_thickness_mm": 32.0,
        "extension_mm": 0.0, "use": "occasional", "significance": 3, "odour": False, "hold": "mould" if state == "on_hold" else None,
        "contents": "print, specimen" if collection == SEED else "print, manuscript",
        "existing_leaves": 8 if volume_id == "CC-002" else 0, "existing_leaf_thickness_um": 60.0 if volume_id == "CC-002" else 0.0,
        "skill": "technician", "enclosure": "new",
    }  # fmt: skip


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
    for volume_id, _, state, _, _, papers in VOLUMES:
        if state == "nothing_needed":
            continue
        for number, (_, count) in enumerate(papers.values() or [("", 5)], start=1):
            rows.append(
                {"volume_id": volume_id, "group_no": number, "openings": _places(volume_id, number, count),
                 "count": count, "left_content": "print", "right_content": "specimen" if volume_id == "SM/01" else "manuscript",
                 "hazards": "acidic_insert, left:fastener" if number == 1 else "tacky_adhesive",
                 "severity": "2, 1" if number == 1 else "3", "loss_before": 0.3}
            )  # fmt: skip
    return rows


def _interleaves() -> Rows:
    return [
        {"volume_id": volume_id, "group_no": number, "paper_id": paper,
         "openings": _places(volume_id, number, count), "sheets": count, "benefit": 0.02 * count,
         "thickness_um": 70.0, "reason": "permitted, greatest benefit"}
        for volume_id, _, _, _, _, papers in VOLUMES
        for number, (paper, (_, count)) in enumerate(papers.items(), start=1)
    ]  # fmt: skip


def _papers() -> Rows:
    papers = (("B40", "buffered tissue, cream", "buffered", "plain"), ("N60", "unbuffered photo-safe sheet", "unbuffered", "smooth"),
              ("R50", "release-coated sheet", "unbuffered", "release"))  # fmt: skip
    return [
        {"paper_id": paper, "description": words, "buffer": buffer, "adsorbent": False, "pat": "pass", "sulphur_free": "yes",
         "lignin_free": True, "ph": 8.5 if buffer == "buffered" else 7.2, "surface": surface, "glassine": False, "grammage_gsm": 45.0,
         "thickness_um": 70.0, "grain_rule": "require", "effective_thickness_um": 70.0, "bending_length_mm": 62.0}
        for paper, words, buffer, surface in papers
    ]  # fmt: skip


def _stock() -> Rows:
    lines = (("B40-S", "B40", "sheet", 640, 900, 100, 18.0, 20.0), ("B40-L", "B40", "sheet", 700, 1000, 50, 15.0, 0.0),
             ("N60-R", "N60", "roll", 914, 45720, 1, 77.0, 0.0), ("R50-S", "R50", "sheet", 500, 700, 25, 22.5, 4.0))  # fmt: skip
    return [
        {"stock_id": stock, "paper_id": paper, "form": form, "width_mm": float(w), "length_mm": float(length), "grain": "long",
         "pack_quantity": pack, "pack_price": price, "lead_days": 10, "on_hand": on_hand, "trim_mm": 3.0}
        for stock, paper, form, w, length, pack, price, on_hand in lines
    ]  # fmt: skip


def _served() -> Rows:
    return [
        {"cut_size_id": size, "volume_id": volume_id, "sheets": count,
         "clearance_width_mm": width - SIZES[size][1], "clearance_height_mm": height - SIZES[size][2]}
        for volume_id, _, _, width, height, papers in VOLUMES
        for size, count in papers.values()
    ]  # fmt: skip


def _cut_sizes() -> Rows:
    served = _served()
    return [
        {"cut_size_id": size, "paper_id": paper, "width_mm": width, "height_mm": height,
         "sheets": sum(row["sheets"] for row in served if row["cut_size_id"] == size), "spares": 2}
        for size, (paper, width, height) in SIZES.items()
    ]  # fmt: skip


def _patterns() -> Rows:
    return [
        {"pattern_id": name, "stock_id": stock, "sheets": sheets, "sheet_width_mm": width, "sheet_length_mm": length,
         "first_cut": "across_width", "lifts": lifts,
         "used_pct": 100 * sum(w * h for _, _, _, w, h in pieces) / (width * length)}
        for name, (stock, width, length, sheets, lifts, pieces) in PATTERNS.items()
    ]  # fmt: skip


def _pieces() -> Rows:
    return [
        {"pattern_id": name, "piece_no": number, "cut_size_id": size, "x_mm": x, "y_mm": y, "along_width_mm": w, "along_length_mm": h}
        for name, (*_, pieces) in PATTERNS.items()
        for number, (size, x, y, w, h) in enumerate(pieces, start=1)
    ]  # fmt: skip


def _materials() -> Rows:
    roll = (13 * 830.0 + 7 * 620.0) / 45720.0
    lines = (("B40-S", "B40", "sheet", 5.0, 20.0, 0.0, 0, 0.0, None), ("B40-L", "B40", "sheet", 10.0, 0.0, 10.0, 1, 15.0, date(2027, 3, 1)),
             ("N60-R", "N60", "roll", roll, 0.0, roll, 1, 77.0, date(2027, 3, 3)), ("R50-S", "R50", "sheet", 1.0, 4.0, 0.0, 0, 0.0, None))  # fmt: skip
    names = ("stock_id", "paper_id", "unit", "needed", "on_hand", "to_buy", "packs", "cost", "order_by")
    return [dict(zip(names, line, strict=True)) for line in lines]


def _enclosures() -> Rows:
    chosen = (("CC-001", "box_medium", 12.0), ("CC-002", "box_medium", 12.0), ("CC-007", "box_medium", 12.0), ("SM/06", None, 28.0))
    return [
        {"volume_id": volume_id, "enclosure_id": name, "inner_width_mm": 290.0 if name else 527.0, "inner_height_mm": 370.0 if name else 619.0,
         "inner_depth_mm": 75.0 if name else 45.0, "price": price, "shelved": "upright" if name else "flat"}
        for volume_id, name, price in chosen
    ]  # fmt: skip


def _tasks() -> Rows:
    rows: Rows = []
    for number, (name, (_, _, _, _, lifts, _)) in enumerate(PATTERNS.items()):
        start = datetime(2027, 3, 1, 9) + timedelta(days=number % 3, hours=number // 3)
        rows.append(_task(f"T{number:03}", "cut", start, 0.2 + 0.1 * lifts, pattern_id=name, staff_id="t1", skill="technician"))
    day = datetime(2027, 3, 2, 9)
    boxed = {row["volume_id"] for row in _enclosures()}
    for volume_id, _, _, _, _, papers in VOLUMES:
        if not papers:
            continue
        sheets = sum(count for _, count in papers.values())
        kinds = ["fetch", *(["remove"] if volume_id == "CC-002" else []), "interleave", "check", *(["enclose"] if volume_id in boxed else []), "return"]
        start = day
        for kind in kinds:
            hours = {"interleave": 0.2 + sheets / 60}.get(kind, 0.1)
            who = "v1" if kind in ("fetch", "return", "enclose") else "k1" if kind == "remove" else "t1"
            skill = {"v1": "volunteer", "k1": "conservator", "t1": "technician"}[who]
            rows.append(_task(f"T{len(rows):03}", kind, start, hours, volume_id=volume_id, staff_id=who, skill=skill))
            start += timedelta(hours=1)
        day += timedelta(days=2 if day.weekday() < 3 else 5 - day.weekday() + 2)
    return rows


def _task(task_id: str, kind: str, start: datetime, hours: float, **rest: Any) -> dict[str, Any]:
    return {"task_id": task_id, "kind": kind, "hours": hours, "start_at": start, "finish_at": start + timedelta(hours=hours), **rest}


def _staff_weeks(tasks: Rows) -> Rows:
    weeks = sorted({task["start_at"].date() - timedelta(days=task["start_at"].weekday()) for task in tasks})
    return [
        {"staff_id": who, "week_start": week, "hours_available": hours,
         "hours_planned": sum(t["hours"] for t in tasks if t["staff_id"] == who and 0 <= (t["start_at"].date() - week).days < 7)}
        for week in weeks
        for who, _, hours, _ in STAFF
    ]  # fmt: skip


def _totals(rows: dict[str, Rows]) -> Rows:
    found: Rows = []
    for collection in (None, FAIR, SEED):
        volumes = [v for v in rows["published.volumes"] if collection in (None, v["collection"])]
        share = sum(v["sheets"] for v in volumes) / sum(v["sheets"] for v in rows["published.volumes"])
        boxes = [e for e in rows["published.enclosures"] if e["volume_id"] in {v["volume_id"] for v in volumes}]
        ids = {v["volume_id"] for v in volumes}
        own = sum(t["hours"] for t in rows["published.tasks"] if t.get("volume_id") in ids)
        cutting = sum(t["hours"] for t in rows["published.tasks"] if t["kind"] == "cut")
        values: dict[str, tuple[float, str]] = {
            "volumes": (len(volumes), "volumes"),
            **{f"volumes_{state}": (sum(v["state"] == state for v in volumes), "volumes") for state in REASONS},
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
            values |= {"spares": (12, "sheets"), "cut_sizes": (6, "sizes"), "patterns": (5, "patterns"), "parents": (36, "sheets")}
            finish = max(t["finish_at"] for t in rows["published.tasks"]).date().isoformat()
            found.append({"collection": None, "measure": "finish_date", "unit": "date", "text": finish, "basis": "planned"})
        found += [
            {"collection": collection, "measure": m, "unit": unit, "value": float(value), "basis": "planned"}
            for m, (value, unit) in values.items()
        ]
    return found
