"""A small campaign up to the options, for the SELECTs of stage 06: rows and the store they make."""

from typing import Any

from pipeline.contracts import TABLES
from pipeline.store import Store
from tests.builders import policy_frames
from tests.rows import row, run

Row = dict[str, Any]
BEFORE = (
    "06_choose/option_bulk",
    "06_choose/option_enclosures",
    "06_choose/option_supplies",
    "06_choose/supply_packs",
    "06_choose/volume_rates",
    "06_choose/option_hours",
    "06_choose/option_costs",
)
AFTER = ("06_choose/volume_plans", "06_choose/closed_volumes", "06_choose/enclosure_fits")
READ = (
    *(f"clean.{stem}" for stem in ("campaign", "volumes", "staff", "stock", "rates", "enclosure_stock")),
    *(f"work.{stem}" for stem in ("options", "option_sheets", "fit_states", "headroom", "paper_properties")),
    *(f"work.{stem}" for stem in ("opening_groups", "fit_groups", "choices", "learned_rates")),
)
RATES = {
    "fetch": (5.0, "volunteer"),
    "remove": (0.5, "technician"),
    "cut_setup": (12.0, "technician"),
    "cut_lift": (6.0, "technician"),
    "interleave_volume": (12.0, "volunteer"),
    "interleave_sheet": (1.0, "volunteer"),
    "check": (6.0, "technician"),
    "enclose": (6.0, "volunteer"),
    "enclose_made_to_measure": (20.0, "technician"),
    "return": (5.0, "volunteer"),
}
BUF: Row = {
    "paper_id": "BUF",
    "effective_thickness_um": 100.0,
    "bending_length_mm": 90.0,
    "price_per_m2": 2.0,
}
STATE: Row = {
    "state": "covered",
    "reason": "all served",
    "hazard_openings": 10,
    "no_paper_openings": 0,
    "wanted_openings": 10,
    "benefit_possible": 1.0,
}
BOX: Row = {
    "inner_width_mm": 260.0,
    "inner_height_mm": 315.0,
    "inner_depth_mm": 30.0,
    "price": 10.0,
    "on_hand": 0.0,
    "lead_days": 0,
    "max_slack_mm": 10.0,
    "max_depth_slack_mm": 25.0,
}


class Case:
    """Volumes with a fit state and options; the store they make."""

    def __init__(self) -> None:
        self.rows: dict[str, list[Row]] = {
            "clean.rates": [
                {
                    "task": task,
                    "minutes": minutes,
                    "minutes_low": minutes,
                    "minutes_high": minutes,
                    "skill": skill,
                }
                for task, (minutes, skill) in RATES.items()
            ],
            "clean.stock": [row("clean.stock")],
            "work.paper_properties": [BUF],
        }

    def add(self, table: str, **values: Any) -> "Case":
        """One row of a table."""
        self.rows.setdefault(table, []).append(values)
        return self

    def volume(
        self, volume_id: str = "A", *, sheets: tuple[int, ...] = (), state: str = "covered", **values: Any
    ) -> "Case":
        """A volume whose options take these sheets of 100 um, the last all of them; ten openings."""
        self.add("clean.volumes", **(row("clean.volumes", volume_id=volume_id) | values))
        self.add("work.fit_states", **(STATE | {"volume_id": volume_id, "state": state}))
        removed = values.get("existing_leaves", 0) * values.get("existing_leaf_thickness_um", 0)
        self.add("work.headroom", volume_id=volume_id, removed_um=int(removed), headroom_um=9999)
        self.add(
            "work.opening_groups",
            volume_id=volume_id,
            group_no=1,
            openings="1-10",
            first_opening_no=1,
            count=10,
            left_content="print",
            right_content="print",
            hazards="acidic_insert",
            severity="2",
            origin="listed",
            has_counts_overlaid=False,
        )
        bare = {"bare_openings": 0, "cause": "", "reason": ""}
        self.add("work.fit_groups", volume_id=volume_id, group_no=1, is_wanted=True, **bare)
        if state not in ("on_hold", "treat_first"):
            self._options(volume_id, sheets)
        return self

    def _options(self, volume_id: str, sheets: tuple[int, ...]) -> None:
        for number, count in enumerate((0, *sheets)):
            kind = "none" if number == 0 else "all" if number == len(sheets) else "part"
            ids = {"volume_id": volume_id, "option_no": number}
            totals = {"option_kind": kind, "sheets": count, "benefit": 0.1 * count, "added_um": 100 * count}
            self.add("work.options", **ids, **totals)
            if count:
                self.add(
                    "work.option_sheets",
                    **ids,
                    group_no=1,
                    paper_id="BUF",
                    sheets=count,
                    benefit=0.1 * count,
                    thickness_um=100.0,
                    reason="acidic_insert",
                )

    def choose(self, volume_id: str, option_no: int, reason: str = "", *, is_funded: bool = True) -> "Case":
        """The option a volume gets."""
        return self.add(
            "work.choices", volume_id=volume_id, option_no=option_no, is_funded=is_funded, reason=reason
        )

    def store(self, *steps: str) -> Store:
        """A store with the rows, and what these SELECTs make of them."""
        store = Store(None)
        for name in ("policy.figures", "policy.unit_factors"):
            store.write(name, policy_frames()[name])
        given = {"clean.campaign": [row("clean.campaign")]} | self.rows
        for name in READ:
            store.write(name, TABLES[name].frame(given.get(name, [])))
        run(store, *steps)
        return store
