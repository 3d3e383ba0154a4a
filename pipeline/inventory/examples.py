"""Example rows of the blank inventory: invented, marked as examples, and good enough to pass the check."""

from collections.abc import Mapping
from datetime import date

from pipeline.contracts.input_sheet import InputValue

EXAMPLE_MARK = "EXAMPLE"
"""Every example's identifier (and the campaign's name) begins with this word."""

ExampleValue = InputValue | date
ExampleRow = Mapping[str, ExampleValue]

CAMPAIGN: ExampleRow = {
    "name": f"{EXAMPLE_MARK} campaign, type your own",
    "start_date": date(2027, 1, 4),
    "end_date": date(2027, 12, 17),
    "length_unit": "mm",
    "currency": "EUR",
    "supplies_budget": 4000,
    "staff_budget": 20000,
    "working_days": "Mon-Fri",
    "page_size": "A4",
}
ROWS: Mapping[str, tuple[ExampleRow, ...]] = {
    "Volumes": (
        {
            "volume_id": f"{EXAMPLE_MARK}-1",
            "collection": f"{EXAMPLE_MARK} collection",
            "title": "Album of cuttings and cards, places noted",
            "page_width": 240,
            "page_height": "11 3/8 in",
            "leaves": 40,
            "binding": "sewn",
            "joints": "sound",
            "spine_thickness": 22,
            "fore_edge_thickness": "2.4 cm",
            "contents": "print, manuscript",
        },
        {
            "volume_id": f"{EXAMPLE_MARK}-2",
            "collection": f"{EXAMPLE_MARK} collection",
            "title": "Album of prints, counted in a quick survey",
            "page_width": 260,
            "page_height": 310,
            "leaves": 30,
            "binding": "post",
            "joints": "weak",
            "spine_thickness": 18,
            "fore_edge_thickness": 20,
            "use": "rare",
            "contents": "silver_print",
            "openings_facing_photographs": 12,
            "openings_fastener": 3,
        },
    ),
    "Openings": (
        {
            "volume_id": f"{EXAMPLE_MARK}-1",
            "openings": "3, 7-12",
            "left": "print",
            "right": "manuscript",
            "hazards": "acidic_insert, left:fastener",
            "severity": 2,
        },
        {"volume_id": f"{EXAMPLE_MARK}-1", "count": 4, "hazards": "staining_adhesive", "severity": 1},
    ),
    "Papers": (
        {
            "paper_id": f"{EXAMPLE_MARK}-P1",
            "description": "buffered interleaving paper",
            "buffer": "buffered",
            "pat": "pass",
            "sulphur_free": "yes",
            "lignin_free": "yes",
            "ph": 8.5,
            "grammage_gsm": 60,
            "thickness_um": 80,
            "grain_rule": "prefer",
        },
    ),
    "Stock": (
        {
            "stock_id": f"{EXAMPLE_MARK}-S1",
            "paper_id": f"{EXAMPLE_MARK}-P1",
            "form": "sheet",
            "width": 700,
            "length": 1000,
            "grain": "long",
            "pack_quantity": 100,
            "pack_price": 45,
            "lead_days": 10,
        },
    ),
    "Staff": (
        {
            "staff_id": f"{EXAMPLE_MARK}-T1",
            "skill": "technician",
            "hours_per_week": 16,
            "days": "Mon-Thu",
            "hourly_rate": 24,
        },
    ),
    "Absences": (
        {
            "staff_id": f"{EXAMPLE_MARK}-T1",
            "from": date(2027, 7, 5),
            "until": date(2027, 7, 16),
            "reason": "leave",
        },
    ),
    "Enclosures": (
        {
            "enclosure_id": f"{EXAMPLE_MARK}-E1",
            "inner_width": 260,
            "inner_height": 320,
            "inner_depth": 50,
            "price": 11,
        },
    ),
    "Decisions": (
        {
            "volume_id": f"{EXAMPLE_MARK}-1",
            "openings": "3",
            "decision": "must",
            "by": f"{EXAMPLE_MARK}-T1",
            "reason": "asked for by the reading room",
        },
    ),
}
