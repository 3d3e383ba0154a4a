"""Stage 08: patterns, pieces, off-cuts and bounds from frames; an independent guillotine plays every pattern back."""

from collections import Counter
from typing import Any

import polars as pl
import pytest

from pipeline.errors import InventoryRefusedError
from pipeline.frames import Frames
from pipeline.solve.cut.tables import lifts
from pipeline.stages.cut import cut_sheets
from tests import builders
from tests.solve.independent_cutter import Box, CutError, play_back

Leaf = tuple[float, float, int]
"""Width, height in mm, sheets with spares."""


def frames(
    leaves: list[Leaf], *, papers: list[Any] | None = None, stock: list[Any] | None = None, **campaign: Any
) -> Frames:
    """Leaves of paper P-1 (or, in turn, of all papers) to cut."""
    papers = papers or [builders.paper(grain_rule="require")]
    demands = [
        {
            "cut_size_id": f"C{i:02d}",
            "paper_id": papers[i % len(papers)]["paper_id"],
            "width_mm": width,
            "height_mm": height,
            "sheets": wanted - 1,
            "spares": 1,
        }
        for i, (width, height, wanted) in enumerate(leaves)
    ]
    properties = [
        {"paper_id": p["paper_id"], "effective_thickness_um": p["thickness_um"], "bending_length_mm": 60.0}
        for p in papers
    ]
    return {
        "work.demands": builders.frame("work.demands", demands),
        "work.cut_size_volumes": builders.frame(
            "work.cut_size_volumes",
            [
                {
                    "cut_size_id": row["cut_size_id"],
                    "volume_id": f"V{i}",
                    "sheets": row["sheets"],
                    "clearance_width_mm": 3.0,
                    "clearance_height_mm": 3.0,
                }
                for i, row in enumerate(demands)
            ],
        ),
        "clean.papers": builders.frame("clean.papers", papers),
        "clean.stock": builders.frame("clean.stock", stock or [builders.stock()]),
        "clean.campaign": builders.frame("clean.campaign", [builders.campaign(**campaign)]),
        "work.paper_properties": builders.frame("work.paper_properties", properties),
        "policy.figures": builders.policy_frames()["policy.figures"],
    }


def cut(given: Frames) -> Frames:
    """The stage's answer, kept to its contracts."""
    answer = cut_sheets(given, builders.settings())
    return {name: builders.frame(name, frame.to_dicts()) for name, frame in answer.items()}


def played_back(given: Frames, answer: Frames) -> Counter[str]:
    """Pieces of each cut size that come out when every pattern is cut. Raises CutError."""
    trims = dict(given["clean.stock"].select("stock_id", "trim_mm").iter_rows())
    made: Counter[str] = Counter()
    for pattern in answer["work.patterns"].iter_rows(named=True):
        rows = answer["work.pattern_pieces"].filter(pattern_id=pattern["pattern_id"]).iter_rows(named=True)
        boxes = [
            Box(r["x_mm"], r["y_mm"], r["along_width_mm"], r["along_length_mm"], r["cut_size_id"])
            for r in rows
        ]
        trim = 2 * trims[pattern["stock_id"]]
        out = play_back(
            pattern["sheet_width_mm"] - trim,
            pattern["sheet_length_mm"] - trim,
            first_cut=pattern["first_cut"],
            boxes=boxes,
        )
        for label, pieces in out.items():
            made[label] += pieces * pattern["sheets"]
    return made


MIXED: list[Leaf] = [
    (201.0, 279.5, 15),
    (221.0, 282.0, 8),
    (255.0, 324.0, 21),
    (282.0, 359.0, 12),
    (313.5, 403.0, 7),
]
STOCK = [
    builders.stock("S-1", width_mm=610.0, length_mm=914.0, pack_price=60.0),
    builders.stock("S-2", width_mm=813.0, length_mm=1016.0, grain="short", pack_price=91.0),
    builders.stock("S-3", form="roll", width_mm=1000.0, length_mm=50_000.0, pack_quantity=1, pack_price=60.0),
]


@pytest.mark.parametrize("stock", [STOCK[:1], STOCK[:2], STOCK[2:], STOCK], ids=["one", "two", "roll", "all"])
def test_every_pattern_can_be_cut_and_the_demand_is_met(stock: list[Any]) -> None:
    given = frames(MIXED, stock=stock)
    answer = cut(given)
    made = played_back(given, answer)
    wanted = {row["cut_size_id"]: row["sheets"] + row["spares"] for row in given["work.demands"].to_dicts()}
    assert all(made[size] >= count for size, count in wanted.items())


@pytest.mark.parametrize("stock", [STOCK[:2], STOCK[2:]], ids=["sheets", "roll"])
def test_grain_runs_head_to_tail_where_the_paper_asks_for_it(stock: list[Any]) -> None:
    """Page height along the length of a long-grain stock, along the width of a short-grain one."""
    given = frames(MIXED, stock=stock)
    answer = cut(given)
    pieces = answer["work.pattern_pieces"].join(answer["work.patterns"], on="pattern_id")
    sides = given["work.demands"].select("cut_size_id", "width_mm", "height_mm")
    grains = given["clean.stock"].select("stock_id", "grain")
    for row in pieces.join(sides, on="cut_size_id").join(grains, on="stock_id").iter_rows(named=True):
        along = (row["along_width_mm"], row["along_length_mm"])
        assert (along if row["grain"] == "long" else along[::-1]) == (row["width_mm"], row["height_mm"])


@pytest.mark.parametrize("most", [1, 2, 3])
def test_no_more_sizes_on_a_parent_than_the_campaign_allows(most: int) -> None:
    pieces = cut(frames(MIXED, stock=STOCK[:2], max_sizes_per_sheet=most))["work.pattern_pieces"]
    assert pieces.group_by("pattern_id").agg(pl.col("cut_size_id").n_unique())["cut_size_id"].max() <= most


def test_offcuts_lie_on_the_parent_beside_pieces_and_each_other() -> None:
    given = frames([(282.0, 359.0, 9), (173.0, 301.0, 7)], stock=STOCK)
    answer = cut(given)
    policy = dict(zip(*given["policy.figures"].select("key", "value"), strict=True))
    least = sorted([policy["cut.least_useful_offcut_width_mm"], policy["cut.least_useful_offcut_length_mm"]])
    assert answer["work.offcuts"].height > 0
    sides = ("x_mm", "y_mm", "along_width_mm", "along_length_mm")
    for pattern_id in answer["work.patterns"]["pattern_id"]:
        parts = [
            tuple(row[side] for side in sides)
            for table in ("work.pattern_pieces", "work.offcuts")
            for row in answer[table].filter(pattern_id=pattern_id).iter_rows(named=True)
        ]
        for index, (x, y, width, length) in enumerate(parts):
            for x2, y2, width2, length2 in parts[:index]:
                apart = x >= x2 + width2 or x2 >= x + width or y >= y2 + length2 or y2 >= y + length
                assert apart, pattern_id
    for row in answer["work.offcuts"].iter_rows(named=True):
        shorter, longer = sorted((row["along_width_mm"], row["along_length_mm"]))
        assert shorter >= least[0]
        assert longer >= least[1]


def test_one_leaf_by_hand() -> None:
    """One leaf and its spare, 200 x 300, on 700 x 1000 mm at 0.45: one sheet, one lift, 2 x 0.06 of 0.7 m2."""
    answer = cut(frames([(200.0, 300.0, 2)]))
    pattern = answer["work.patterns"].to_dicts()
    assert len(pattern) == 1
    assert pattern[0] == {
        "pattern_id": "P01",
        "stock_id": "S-1",
        "sheets": 1,
        "sheet_width_mm": 700.0,
        "sheet_length_mm": 1000.0,
        "first_cut": pattern[0]["first_cut"],
        "lifts": 1,
        "used_pct": pytest.approx(100 * 0.12 / 0.7),
        "from_offcut_of": None,
    }
    assert answer["work.pattern_pieces"].height == 2
    assert answer["work.cut_bounds"].to_dicts() == [{"paper_id": "P-1", "cost_lower_bound": 0.45}]
    solve = answer["log.solve"].to_dicts()[0]
    assert (solve["stage"], solve["part"], solve["status"], solve["objective"]) == (
        "cut",
        "P-1",
        "optimal",
        0.45,
    )


def test_a_longer_search_costs_no_more() -> None:
    given = frames(MIXED[:4], stock=STOCK[:1])
    entries = given["policy.figures"]
    longer = pl.when(pl.col("key") == "cut.is_searched_longer").then(1.0).otherwise(pl.col("value"))
    changed = given | {"policy.figures": entries.with_columns(value=longer)}
    usual, long = (cut(frames_)["log.solve"].to_dicts()[0] for frames_ in (given, changed))
    assert long["objective"] <= usual["objective"]
    assert long["objective"] >= usual["bound"] - 1e-9


def test_nothing_to_cut_gives_empty_tables() -> None:
    assert all(frame.is_empty() for frame in cut(frames([])).values())


@pytest.mark.parametrize(
    ("sheets", "thickness_um", "expected"),
    [(500, 120.0, 1), (501, 120.0, 2), (1, 120.0, 1), (3, 70_000.0, 3)],
)
def test_lifts_of_sixty_millimetres(sheets: int, thickness_um: float, expected: int) -> None:
    """60 mm of 120 um are 500 sheets; a board thicker than the clamp is still cut one by one."""
    assert lifts(sheets, thickness_um=thickness_um, max_lift_mm=60.0) == expected


def test_a_length_off_a_roll_is_what_the_pattern_needs() -> None:
    """Four leaves of 240 x 300 across 994 mm: 300 mm and both trims, 306 mm."""
    answer = cut(frames([(240.0, 300.0, 4)], stock=STOCK[2:]))
    pattern = answer["work.patterns"].to_dicts()[0]
    assert (pattern["sheets"], pattern["sheet_width_mm"], pattern["sheet_length_mm"]) == (1, 1000.0, 306.0)
    assert answer["log.solve"]["objective"][0] == pytest.approx(60.0 * 306 / 50_000)


def test_patterns_are_numbered_over_papers_stocks_and_sizes() -> None:
    papers = [builders.paper(paper_id, grain_rule="require") for paper_id in ("P-2", "P-1")]
    stock = [builders.stock("S-9", paper_id="P-1"), builders.stock("S-1", paper_id="P-2")]
    patterns = cut(frames(MIXED, papers=papers, stock=stock))["work.patterns"]
    assert patterns["pattern_id"].to_list() == [f"P{n:02d}" for n in range(1, patterns.height + 1)]
    assert patterns["stock_id"].to_list() == sorted(patterns["stock_id"].to_list(), reverse=True)


def test_the_order_of_the_rows_does_not_matter() -> None:
    given = frames(MIXED, stock=STOCK[:2])
    turned_round = {name: frame.reverse() for name, frame in given.items()}
    first, second = cut(given), cut(turned_round)
    for name in ("work.patterns", "work.pattern_pieces", "work.offcuts", "work.cut_bounds"):
        assert first[name].equals(second[name]), name


def test_inch_stock_and_inch_pages_meet_in_ticks() -> None:
    """11 3/8 x 17 1/2 in leaves: two across and two down a 24 x 36 in sheet."""
    leaf = (11.375 * 25.4, 17.5 * 25.4, 4)
    stock = [builders.stock(width_mm=24 * 25.4, length_mm=36 * 25.4)]
    given = frames([leaf], stock=stock, length_unit="in")
    answer = cut(given)
    assert answer["work.patterns"]["sheets"].to_list() == [1]
    assert played_back(given, answer) == {"C00": 4}


def test_a_size_no_stock_can_give_is_refused_before_solving() -> None:
    with pytest.raises(InventoryRefusedError) as refused:
        cut_sheets(frames([(700.0, 300.0, 2), (800.0, 1200.0, 2)]), builders.settings())
    findings = refused.value.findings
    assert [finding.code for finding in findings] == ["size_uncuttable", "size_uncuttable"]
    assert "S-1: it fits only with the grain across the spine" in findings[0].message
    assert "S-1: it is larger than the usable parent" in findings[1].message
    assert "C00 for V0 " in findings[0].message
    assert "none listed" in findings[1].action


def test_an_uncuttable_size_names_the_nearest_stock_of_another_paper() -> None:
    papers = [builders.paper(name, grain_rule="require") for name in ("P-1", "P-2")]
    stock = [
        builders.stock("S-1", paper_id="P-1", width_mm=450.0, length_mm=640.0),
        builders.stock("S-2", paper_id="P-2", width_mm=813.0, length_mm=1016.0),
        builders.stock("S-3", paper_id="P-2", width_mm=610.0, length_mm=914.0),
    ]
    with pytest.raises(InventoryRefusedError) as refused:
        cut_sheets(frames([(500.0, 700.0, 2)], papers=papers, stock=stock), builders.settings())
    assert "the nearest listed is S-3" in refused.value.findings[0].action


WIDE: list[Leaf] = [(450.0, 330.0, 40)]
"""On 700 x 1000: held, one across and three down = 3; turned, two across and two down = 4."""


def parents(grain_rule: str, leaves: list[Leaf], **overrides: Any) -> int:
    given = frames(leaves, papers=[builders.paper(grain_rule=grain_rule)], **overrides)
    played_back(given, cut(given))
    return int(cut(given)["work.patterns"]["sheets"].sum())


def test_pieces_are_turned_by_the_grain_rule() -> None:
    assert parents("require", WIDE) == 14
    assert parents("prefer", WIDE) == 10
    assert parents("ignore", WIDE) == 10


def test_a_small_saving_does_not_turn_leaves_where_grain_is_preferred() -> None:
    """200 x 300 mm: held 3 x 3 on 694 x 994; turned 2 x 4 is worse, mixed may save a little, but not 5 %."""
    leaves: list[Leaf] = [(200.0, 300.0, 90)]
    given = frames(leaves, papers=[builders.paper(grain_rule="prefer")])
    pieces = cut(given)["work.pattern_pieces"]
    assert pieces["along_width_mm"].unique().to_list() == [200.0]


def test_a_size_that_fits_only_turned_is_turned_where_grain_is_preferred() -> None:
    given = frames([(700.0, 300.0, 2), (200.0, 300.0, 9)], papers=[builders.paper(grain_rule="prefer")])
    pieces = cut(given)["work.pattern_pieces"]
    sides = dict(pieces.group_by("cut_size_id").agg(pl.col("along_width_mm").first()).iter_rows())
    assert sides == {"C00": 300.0, "C01": 200.0}


def test_the_independent_guillotine_refuses_what_cannot_be_cut() -> None:
    pinwheel = [
        Box(0, 0, 60, 40, "A"),
        Box(60, 0, 40, 60, "B"),
        Box(40, 60, 60, 40, "C"),
        Box(0, 40, 40, 60, "D"),
    ]
    with pytest.raises(CutError):
        play_back(100, 100, first_cut="across_width", boxes=pinwheel)
    with pytest.raises(CutError):
        play_back(50, 50, first_cut="across_width", boxes=[Box(0, 0, 60, 40, "A")])
    two = [Box(0, 0, 60, 40, "A"), Box(0, 40, 60, 60, "B"), Box(60, 0, 40, 100, "C")]
    assert play_back(100, 100, first_cut="across_length", boxes=two)["C"] == 1
    with pytest.raises(CutError):
        play_back(100, 100, first_cut="across_width", boxes=two)
