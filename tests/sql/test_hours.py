"""Tasks, their minutes, order and releases against figures worked by hand."""

from datetime import date
from typing import Any

import pytest

from pipeline.contracts import TABLES
from pipeline.store import Store
from tests.rows import filled_store, row, run

HOURS = (
    "06_choose/volume_rates",
    "09_hours/cut_runs",
    "09_hours/tasks",
    "09_hours/task_order",
    "09_hours/task_releases",
)
PLAN: dict[str, Any] = {
    "state": "covered",
    "reason": "",
    "benefit_planned": 1.0,
    "added_um": 0,
    "wedge_before_deg": 0.0,
    "wedge_after_deg": 0.0,
    "fore_edge_before_mm": 20.0,
    "fore_edge_after_mm": 20.0,
    "spine_after_mm": 20.0,
}
INNER = {
    "inner_width_mm": 1.0,
    "inner_height_mm": 1.0,
    "inner_depth_mm": 1.0,
    "price": 1.0,
    "shelved": "upright",
}
PATTERN: dict[str, Any] = {
    "pattern_id": "P1",
    "stock_id": "S1",
    "sheets": 10,
    "sheet_width_mm": 610.0,
    "sheet_length_mm": 914.0,
    "first_cut": "across_width",
    "lifts": 2,
    "used_pct": 80.0,
}
PIECE = {"x_mm": 0.0, "y_mm": 0.0, "along_width_mm": 1.0, "along_length_mm": 1.0}
NEED: dict[str, Any] = {
    "paper_id": "BUF",
    "unit": "sheet",
    "needed": 10.0,
    "on_hand": 0.0,
    "packs": 1,
    "cost": 60.0,
}
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


class Case:
    """Rows a test gives; the store they make."""

    def __init__(self) -> None:
        self.rows: dict[str, list[dict[str, Any]]] = {}
        self.rates = dict(RATES)

    def add(self, table: str, **values: Any) -> "Case":
        self.rows.setdefault(table, []).append(values)
        return self

    def volume(self, volume_id: str, *, sheets: int = 0, box: str | None = "none", **more: Any) -> "Case":
        """One volume with planned sheets and an enclosure (`box` an id, None made to measure, "none" none)."""
        state = more.pop("state", "covered" if sheets else "nothing_needed")
        is_funded = more.pop("is_funded", True)
        self.add("clean.volumes", **row("clean.volumes", volume_id=volume_id, **more))
        self.add("work.volume_plans", **(PLAN | {"volume_id": volume_id, "sheets": sheets, "state": state}))
        for group_no, part in enumerate((sheets - sheets // 2, sheets // 2) if sheets else (), start=1):
            if part:
                self.add(
                    "work.interleaves",
                    volume_id=volume_id,
                    group_no=group_no,
                    paper_id="BUF",
                    sheets=part,
                    benefit=1.0,
                    thickness_um=100,
                    reason="",
                )
        if box != "none":
            self.add(
                "work.enclosure_fits", volume_id=volume_id, enclosure_id=box, is_funded=is_funded, **INNER
            )
        return self

    def pattern(self, pattern_id: str, *sizes: str, **more: Any) -> "Case":
        """One pattern with one piece of each size."""
        self.add("work.patterns", **(PATTERN | {"pattern_id": pattern_id} | more))
        for number, size in enumerate(sizes, start=1):
            self.add("work.pattern_pieces", pattern_id=pattern_id, piece_no=number, cut_size_id=size, **PIECE)
        return self

    def size(self, cut_size_id: str, *volume_ids: str) -> "Case":
        for volume_id in volume_ids:
            self.add(
                "work.cut_size_volumes",
                cut_size_id=cut_size_id,
                volume_id=volume_id,
                sheets=1,
                clearance_width_mm=3.0,
                clearance_height_mm=3.0,
            )
        return self

    def store(self) -> Store:
        clean = {name: rows for name, rows in self.rows.items() if name.startswith("clean.")}
        clean["clean.rates"] = [
            {"task": task, "minutes": m, "minutes_low": m, "minutes_high": m, "skill": skill}
            for task, (m, skill) in self.rates.items()
        ]
        learned = {"work.learned_rates": self.rows.get("work.learned_rates", [])}
        store = filled_store(clean | learned)
        for name in (
            "work.volume_plans",
            "work.interleaves",
            "work.enclosure_fits",
            "work.patterns",
            "work.pattern_pieces",
            "work.cut_size_volumes",
            "work.material_needs",
        ):
            store.write(name, TABLES[name].frame(self.rows.get(name, [])))
        run(store, *HOURS)
        return store


def tasks(store: Store) -> dict[str, tuple[int, str]]:
    frame = store.read("work.tasks")
    return {row["task_id"]: (row["task_minutes"], row["skill"]) for row in frame.iter_rows(named=True)}


def order(store: Store) -> list[tuple[str, str]]:
    return store.read("work.task_order").rows()


def test_every_task_of_a_volume_in_its_order() -> None:
    # remove 7 x 0.5 = 3.5 -> 4; interleave 12 + 30 x 1 = 42; the volume's technician counts for remove to check
    store = Case().volume("A", sheets=30, box="E1", existing_leaves=7).store()
    assert tasks(store) == {
        "fetch-0001": (5, "volunteer"),
        "remove-0001": (4, "technician"),
        "interleave-0001": (42, "technician"),
        "check-0001": (6, "technician"),
        "enclose-0001": (6, "volunteer"),
        "return-0001": (5, "volunteer"),
    }
    assert order(store) == [
        ("check-0001", "enclose-0001"),
        ("enclose-0001", "return-0001"),
        ("fetch-0001", "remove-0001"),
        ("interleave-0001", "check-0001"),
        ("remove-0001", "interleave-0001"),
    ]


def learned(task: str, minutes: float, **more: Any) -> dict[str, Any]:
    """A row of work.learned_rates: minutes of technicians' volumes with large pages."""
    return {
        "subject": "rate", "subject_id": task, "skill": "technician", "volume_class": "large pages",
        "unit": "minutes", "tasks_count": 4, "starting_value": 1.0, "learned_value": minutes,
        "low_value": minutes, "high_value": minutes, "is_used": True, "method": "normal-gamma",
    } | more  # fmt: skip


def test_a_volume_takes_the_minutes_learned_of_its_skill_and_class() -> None:
    # LARGE, taller than 400 mm: 12 + 10 x 2.5 = 37; the same pages left to a conservator, and pages of just 400 mm,
    # have no returns: 12 + 10 x 1 = 22. A rate of all that was learned is in clean.rates already: not taken here.
    case = Case().volume("LARGE", sheets=10, page_height_mm=400.5)
    case.volume("SAME", sheets=10, page_height_mm=400.5, skill="conservator")
    case.volume("SMALL", sheets=10, page_height_mm=400.0)
    case.add("work.learned_rates", **learned("interleave_sheet", 2.5))
    case.add("work.learned_rates", **learned("check", 9.0, is_used=False))
    case.add("work.learned_rates", **learned("return", 9.0, skill=None, volume_class=""))
    frame = case.store().read("work.tasks")
    found = {(row["volume_id"], row["kind"]): row["task_minutes"] for row in frame.iter_rows(named=True)}
    assert [found[name, "interleave"] for name in ("LARGE", "SAME", "SMALL")] == [37, 22, 22]
    assert {minutes for (_, kind), minutes in found.items() if kind == "check"} == {6}
    assert {minutes for (_, kind), minutes in found.items() if kind == "return"} == {5}


def test_steps_left_out_close_the_chain() -> None:
    store = Case().volume("A", sheets=3).store()
    assert order(store) == [
        ("check-0001", "return-0001"),
        ("fetch-0001", "interleave-0001"),
        ("interleave-0001", "check-0001"),
    ]


def test_a_volume_without_sheets_is_only_boxed() -> None:
    # old leaves stay where no sheets are planned; made to measure has a rate of its own
    store = Case().volume("A", box=None, existing_leaves=9).store()
    assert tasks(store) == {
        "fetch-0001": (5, "volunteer"),
        "enclose-0001": (20, "technician"),
        "return-0001": (5, "volunteer"),
    }
    assert order(store) == [("enclose-0001", "return-0001"), ("fetch-0001", "enclose-0001")]


@pytest.mark.parametrize("state", ["on_hold", "treat_first", "deferred"])
def test_volumes_that_are_not_worked_on_have_no_tasks(state: str) -> None:
    store = Case().volume("A", box="E1", state=state).volume("B").volume("C", sheets=2).store()
    assert set(tasks(store)) == {"fetch-0001", "interleave-0001", "check-0001", "return-0001"}


def test_the_higher_skill_of_rate_and_volume_counts() -> None:
    case = (
        Case().volume("A", sheets=1, skill="volunteer").volume("B", sheets=1, skill="conservator", box="E1")
    )
    found = tasks(case.store())
    assert {
        task: skill for task, (_, skill) in found.items() if task.startswith(("interleave", "check"))
    } == {
        "interleave-0001": "volunteer",
        "check-0001": "technician",
        "interleave-0002": "conservator",
        "check-0002": "conservator",
    }
    assert found["fetch-0002"][1] == found["enclose-0002"][1] == "volunteer"


def test_a_binary_fraction_costs_no_minute() -> None:
    # 12 + 30 x 0.1 is 15.000000000000002 in binary; 15 minutes are meant
    case = Case().volume("A", sheets=30)
    case.rates["interleave_sheet"] = (0.1, "volunteer")
    assert tasks(case.store())["interleave-0001"][0] == 15


def test_a_pattern_is_one_run_while_it_fits_a_day() -> None:
    # 12 + 68 x 6 = 420 minutes are just seven hours
    store = Case().pattern("P1", "C1", lifts=68).store()
    assert tasks(store) == {"cut-0001": (420, "technician")}


def test_a_longer_pattern_is_split_evenly_into_runs() -> None:
    # at most 68 lifts a run: 69 lifts are two runs, of 35 and 34
    store = Case().pattern("P1", "C1", lifts=69).store()
    assert store.read("work.cut_runs").rows() == [("P1", 1, 35, 222), ("P1", 2, 34, 216)]


def test_a_lift_longer_than_a_day_is_a_run_of_its_own() -> None:
    case = Case().pattern("P1", "C1", lifts=2)
    case.rates["cut_lift"] = (500.0, "technician")
    assert [minutes for minutes, _ in tasks(case.store()).values()] == [512, 512]


def test_lifts_that_take_no_time_are_one_run() -> None:
    case = Case().pattern("P1", "C1", lifts=900)
    case.rates["cut_lift"] = (0.0, "technician")
    assert tasks(case.store()) == {"cut-0001": (12, "technician")}


def test_interleave_waits_for_every_pattern_of_its_sizes_and_no_other() -> None:
    case = Case().volume("A", sheets=2).volume("B", sheets=2)
    case.size("C1", "A").size("C2", "A", "B").pattern("P1", "C1", "C1").pattern("P2", "C1", "C2").pattern(
        "P3", "C3"
    )
    waits = [pair for pair in order(case.store()) if pair[0].startswith("cut")]
    assert waits == [
        ("cut-0001", "interleave-0001"),
        ("cut-0002", "interleave-0001"),
        ("cut-0002", "interleave-0002"),
    ]


def test_a_pattern_on_an_offcut_waits_for_the_pattern_that_leaves_it() -> None:
    case = Case().pattern("P1", "C1", from_offcut_of="P2").pattern("P2", "C2")
    assert order(case.store()) == [("cut-0002", "cut-0001")]


def test_cutting_waits_for_paper_that_must_be_bought() -> None:
    case = Case().pattern("P1", "C1").pattern("P2", "C1", stock_id="S2")
    for stock_id, to_buy in (("S1", 4.0), ("S2", 0.0)):
        case.add("clean.stock", **row("clean.stock", stock_id=stock_id, lead_days=10))
        case.add("work.material_needs", **NEED, stock_id=stock_id, to_buy=to_buy)
    # the campaign starts on 4 January 2027
    assert case.store().read("work.task_releases").rows() == [("cut-0001", date(2027, 1, 14))]


def test_boxing_waits_for_enclosures_that_must_be_bought() -> None:
    case = Case().volume("A", box="E1").volume("B", box="E1").volume("C", box="E2").volume("D", box=None)
    for enclosure_id in ("E1", "E2"):
        case.add(
            "clean.enclosure_stock",
            **{name: value for name, value in INNER.items() if name != "shelved"},
            enclosure_id=enclosure_id,
            on_hand=1.0,
            lead_days=14,
            max_slack_mm=10.0,
            max_depth_slack_mm=25.0,
        )
    # two E1 are needed and one is there: both wait; the one E2 is there; made to measure takes 21 days (policy)
    assert case.store().read("work.task_releases").rows() == [
        ("enclose-0001", date(2027, 1, 18)),
        ("enclose-0002", date(2027, 1, 18)),
        ("enclose-0004", date(2027, 1, 25)),
    ]


def test_an_enclosure_nobody_pays_arrives_after_the_campaign() -> None:
    # the trial ends on 30 June 2027; the unpaid box does not count against the one on hand
    case = (
        Case()
        .volume("A", box="E1")
        .volume("B", box="E1", is_funded=False)
        .volume("C", box=None, is_funded=False)
    )
    case.add(
        "clean.enclosure_stock",
        **{name: value for name, value in INNER.items() if name != "shelved"},
        enclosure_id="E1",
        on_hand=1.0,
        lead_days=14,
        max_slack_mm=10.0,
        max_depth_slack_mm=25.0,
    )
    assert case.store().read("work.task_releases").rows() == [
        ("enclose-0002", date(2027, 7, 1)),
        ("enclose-0003", date(2027, 7, 1)),
    ]


def test_nothing_to_do_gives_empty_tables() -> None:
    store = Case().store()
    assert [
        store.read(f"work.{name}").height for name in ("cut_runs", "tasks", "task_order", "task_releases")
    ] == [0] * 4
