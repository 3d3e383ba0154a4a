"""Stage 07 on frames: windows from pages, cut sizes from windows."""

from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import polars as pl
import pytest

from pipeline.contracts import TABLES
from pipeline.errors import InventoryRefusedError
from pipeline.frames import Frames
from pipeline.policy.load import load_policy
from pipeline.policy.tables import policy_tables
from pipeline.settings import Settings
from pipeline.stages.size import cover_sizes, find_windows
from tests.rows import row

SETTINGS = Settings(
    inventory=Path("inventory.xlsx"),
    out=Path("out"),
    as_of=date(2027, 1, 4),
    planned_at=datetime(2027, 1, 4, tzinfo=UTC),
)


def interleaf(volume_id: str, *, group_no: int = 1, paper_id: str = "BUF", sheets: int = 4) -> dict[str, Any]:
    return {
        "volume_id": volume_id,
        "group_no": group_no,
        "paper_id": paper_id,
        "sheets": sheets,
        "benefit": 1.0,
        "thickness_um": 100.0,
        "reason": "",
    }


def given(
    pages: dict[str, tuple[float, float]], interleaves: list[dict[str, Any]], *, length_unit: str = "mm"
) -> Frames:
    rows = {
        "clean.campaign": [row("clean.campaign", length_unit=length_unit)],
        "clean.volumes": [
            row("clean.volumes", volume_id=volume_id, page_width_mm=width, page_height_mm=height)
            for volume_id, (width, height) in pages.items()
        ],
        "clean.papers": [row("clean.papers"), row("clean.papers", paper_id="UNB")],
        "clean.stock": [row("clean.stock"), row("clean.stock", stock_id="S2", paper_id="UNB")],
        "work.interleaves": interleaves,
        "work.pinned_sizes": [],
    }
    frames = {name: TABLES[name].frame(table_rows) for name, table_rows in rows.items()}
    return frames | {"policy.figures": policy_tables(load_policy())["policy.figures"]}


def run(frames: Frames, settings: Settings = SETTINGS) -> Frames:
    """Both steps, every table checked against its contract."""
    windows = find_windows(frames, settings)
    tables = windows | cover_sizes(frames | windows, settings)
    return {name: TABLES[name].check(frame) for name, frame in tables.items()}


def with_figure(frames: Frames, key: str, value: float) -> Frames:
    figure = pl.when(pl.col("key") == key).then(pl.lit(value)).otherwise(pl.col("value"))
    return frames | {"policy.figures": frames["policy.figures"].with_columns(value=figure)}


def test_windows_in_half_millimetres() -> None:
    frames = given({"A": (200.0, 280.3)}, [interleaf("A", sheets=3), interleaf("A", group_no=2, sheets=2)])
    (window,) = find_windows(frames, SETTINGS)["work.size_windows"].to_dicts()
    assert window["sheets"] == 5
    assert (window["least_width_ticks"], window["most_width_ticks"]) == (388, 396)
    # 274.3 to 278.3 mm: 549 half millimetres up, 556 down
    assert (window["least_height_ticks"], window["most_height_ticks"]) == (549, 556)
    assert window["ideal_width_mm"] == 197.0


def test_windows_in_thirty_seconds_of_an_inch() -> None:
    frames = given({"A": (254.0, 254.0)}, [interleaf("A")], length_unit="in")
    (window,) = find_windows(frames, SETTINGS)["work.size_windows"].to_dicts()
    # 10 in less 6 mm is 312.4, less 2 mm 317.5 thirty-seconds
    assert (window["least_width_ticks"], window["most_width_ticks"]) == (313, 317)


def test_inch_sizes_come_out_in_whole_thirty_seconds() -> None:
    tables = run(given({"A": (254.0, 304.8)}, [interleaf("A")], length_unit="in"))
    (size,) = tables["work.cut_sizes"].to_dicts()
    # ideal 251 x 301.8 mm: 316 and 380 thirty-seconds are the nearest
    assert (size["width_mm"], size["height_mm"]) == (316 * 25.4 / 32, 380 * 25.4 / 32)


def test_no_sheets_no_rows() -> None:
    tables = run(given({"A": (200.0, 280.0)}, []))
    assert [tables[name].height for name in sorted(tables)] == [0, 0, 0, 0, 0, 0]


def test_one_volume() -> None:
    tables = run(given({"A": (200.0, 280.0)}, [interleaf("A")]))
    (size,) = tables["work.cut_sizes"].to_dicts()
    assert size["cut_size_id"] == "BUF-01"
    assert size["sheets"] == 4
    (served,) = tables["work.cut_size_volumes"].to_dicts()
    assert served["clearance_width_mm"] == 200.0 - size["width_mm"]
    (bound,) = tables["work.cut_size_bounds"].to_dicts()
    assert (bound["cut_sizes"], bound["lower_bound"]) == (1, 1)


def test_volumes_share_a_size_on_one_paper_and_not_across_papers() -> None:
    pages = {"A": (200.0, 280.0), "B": (201.0, 281.0), "C": (240.0, 330.0)}
    sheets = [interleaf("A"), interleaf("B", sheets=6), interleaf("C"), interleaf("A", paper_id="UNB")]
    tables = run(given(pages, sheets))
    sizes = {size["cut_size_id"]: size["sheets"] for size in tables["work.cut_sizes"].to_dicts()}
    assert sizes == {"BUF-01": 4, "BUF-02": 10, "UNB-01": 4}
    served = tables["work.cut_size_volumes"].sort("cut_size_id", "volume_id")
    assert served.select("cut_size_id", "volume_id").rows() == [
        ("BUF-01", "C"),
        ("BUF-02", "A"),
        ("BUF-02", "B"),
        ("UNB-01", "A"),
    ]


def test_row_order_and_ids_do_not_change_the_sizes() -> None:
    pages = {f"V{n:02d}": (200.0 + (n * 7) % 23, 280.0 + (n * 5) % 19) for n in range(30)}
    sheets = [interleaf(volume_id, sheets=1 + number) for number, volume_id in enumerate(pages)]
    frames = given(pages, sheets)
    first = run(frames)
    second = run({name: frame.reverse() for name, frame in frames.items()})
    for name in ("work.cut_sizes", "work.cut_size_volumes", "work.cut_size_bounds"):
        assert first[name].equals(second[name])


def test_a_page_nearly_as_large_as_the_sheet_gets_a_leaf_that_fits() -> None:
    # 604 mm inside the trim; the ideal would be 605
    tables = run(given({"A": (608.0, 900.0)}, [interleaf("A")]))
    (size,) = tables["work.cut_sizes"].to_dicts()
    assert size["width_mm"] == 604.0


def test_the_sheet_in_view_is_reported_beside_the_nearest() -> None:
    # 604 mm inside the trim: 201 mm goes three times into it, the ideal 203 mm twice
    tables = run(given({"A": (206.0, 300.0)}, [interleaf("A", sheets=10)]))
    (size,) = tables["work.cut_sizes"].to_dicts()
    assert size["width_mm"] == 201.0
    log = {(solve["part"], solve["method"]): solve for solve in tables["log.solve"].to_dicts()}
    nearest = log["BUF: paper, mm2", "nearest, one size a sheet"]["objective"]
    in_view = log["BUF: paper, mm2", "in view, one size a sheet"]["objective"]
    assert (nearest, in_view) == (10 * 92_924, 10 * 61_949)
    assert log["BUF: sizes", "clique cover"]["status"] == "optimal"


def test_a_quick_plan_seeks_no_sizes_nearest_the_ideal_and_logs_none() -> None:
    frames = given({"A": (206.0, 300.0), "B": (240.0, 330.0)}, [interleaf("A", sheets=10), interleaf("B")])
    usual, quick = run(frames), run(frames, replace(SETTINGS, effort="quick"))
    assert quick["work.cut_sizes"].equals(usual["work.cut_sizes"])
    assert quick["work.cut_sizes_apart"].equals(quick["work.cut_sizes"])
    assert not usual["work.cut_sizes_apart"].equals(usual["work.cut_sizes"])
    logged = quick["log.solve"]["method"].to_list()
    assert [method for method in logged if method.startswith("nearest")] == []
    assert "in view" in logged


def test_a_policy_that_prices_distance_high_keeps_to_the_ideal() -> None:
    frames = given({"A": (206.0, 300.0)}, [interleaf("A")])
    tables = run(with_figure(frames, "size.paper_saving_per_mm_off_ideal_pct", 40.0))
    assert tables["work.cut_sizes"]["width_mm"].to_list() == [203.0]


def test_clearances_without_a_whole_step_between_them_are_refused() -> None:
    frames = given({"A": (200.3, 280.3)}, [interleaf("A")])
    frames = with_figure(with_figure(frames, "size.least_clearance_mm", 2.9), "size.most_clearance_mm", 3.1)
    with pytest.raises(InventoryRefusedError) as refused:
        find_windows(frames, SETTINGS)
    assert [(f.code, f.volume_id) for f in refused.value.findings] == [("no_cut_size", "A")]


def test_ids_grow_a_digit_past_ninety_nine() -> None:
    pages = {f"V{n:03d}": (100.0 + 5 * (n % 10), 150.0 + 5 * (n // 10)) for n in range(100)}
    tables = run(given(pages, [interleaf(volume_id) for volume_id in pages]))
    ids = tables["work.cut_sizes"].sort("cut_size_id")["cut_size_id"].to_list()
    assert (ids[0], ids[-1], len(set(ids))) == ("BUF-001", "BUF-100", 100)
    heights = tables["work.cut_sizes"].sort("cut_size_id")["height_mm"].to_list()
    assert heights == sorted(heights, reverse=True)
