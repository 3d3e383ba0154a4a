"""Leaves from off-cuts: a parent spared by hand, work dearer than what it saves, and the rules kept whatever comes."""

from collections import Counter
from typing import Any

import polars as pl
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from pipeline.frames import Frames
from pipeline.outputs.cut_diagrams import make_drawing
from pipeline.outputs.cut_sequence import KEPT, sheet_box
from tests import builders
from tests.outputs.ticket_reader import assert_reproduced
from tests.solve.independent_cutter import Box, play_back
from tests.stages.test_cut import Leaf, cut, frames

BIG, SMALL = (500.0, 480.0), (180.0, 300.0)
DEAR = [builders.stock(pack_price=150.0)]
"""700 x 1000 mm at 1.50 a sheet, 3 mm of trim: 694 x 994 mm to use."""
SIDES = ("x_mm", "y_mm", "along_width_mm", "along_length_mm")


def one_size_a_sheet(leaves: list[Leaf], stock: list[Any] | None = None, **overrides: Any) -> Frames:
    return frames(leaves, stock=stock or DEAR, max_sizes_per_sheet=1, **overrides)


def with_figure(given_frames: Frames, key: str, value: float) -> Frames:
    entries = given_frames["policy.figures"]
    changed = pl.when(pl.col("key") == key).then(value).otherwise(pl.col("value"))
    return given_frames | {"policy.figures": entries.with_columns(value=changed)}


def test_a_parent_is_spared_by_hand() -> None:
    """One size a sheet. Two big leaves, one below the other, leave 194 x 480 mm each: a small one fits on either.

    So their own parent, at 1.50, is not needed. Its set-up and lift go, those of the off-cut come, and 2 minutes
    of keeping at 30 an hour: 1.50 - 1.00 = 0.50 is saved. The proven least stays that of fresh parents: 3.00.
    """
    given_frames = one_size_a_sheet([(*BIG, 2), (*SMALL, 2)])
    answer = cut(given_frames)
    big, small = answer["work.patterns"].to_dicts()
    assert (big["sheets"], big["from_offcut_of"], big["sheet_width_mm"]) == (1, None, 700.0)
    assert (small["sheets"], small["from_offcut_of"], small["stock_id"]) == (2, big["pattern_id"], "S-1")
    assert (small["sheet_width_mm"], small["sheet_length_mm"]) == (194.0, 480.0)
    left = answer["work.offcuts"].filter(pattern_id=big["pattern_id"]).to_dicts()
    assert [(o["along_width_mm"], o["along_length_mm"]) for o in left] == [(194.0, 480.0)] * 2
    assert answer["work.offcut_savings"].to_dicts() == [{"stock_id": "S-1", "spared_quantity": 1.0}]
    assert answer["work.cut_bounds"]["cost_lower_bound"].to_list() == [3.0]
    fresh, reuse = answer["log.solve"].to_dicts()
    assert (fresh["objective"], fresh["bound"]) == (3.0, 3.0)
    assert reuse["part"] == "P-1, off-cuts"
    assert (reuse["objective"], reuse["bound"]) == (pytest.approx(2.5), pytest.approx(2.5))


@pytest.mark.parametrize(
    "changed",
    [
        pytest.param({"stock": [builders.stock(pack_price=90.0)]}, id="0.90 saved, 1.00 of work"),
        pytest.param({"leaves": [(*BIG, 2), (200.0, 300.0, 2)]}, id="6 mm too wide for the off-cut"),
        pytest.param({"leaves": [(*BIG, 2), (300.0, 180.0, 2)]}, id="fits only across the grain"),
        pytest.param({"leaves": [(*BIG, 2), (*SMALL, 4)]}, id="the off-cuts hold two"),
        pytest.param({"leaves": [(*BIG, 2)]}, id="nothing else wanted"),
    ],
)
def test_nothing_is_spared_where_it_does_not_pay_or_fit(changed: dict[str, Any]) -> None:
    given_frames = one_size_a_sheet(**({"leaves": [(*BIG, 2), (*SMALL, 2)]} | changed))
    answer = cut(given_frames)
    assert answer["work.patterns"]["from_offcut_of"].null_count() == answer["work.patterns"].height
    assert answer["work.offcut_savings"].is_empty()


def test_a_lab_may_use_no_offcuts() -> None:
    given_frames = one_size_a_sheet([(*BIG, 2), (*SMALL, 2)])
    answer = cut(with_figure(given_frames, "cut.is_offcut_used", 0.0))
    assert answer["work.patterns"].height == 2
    assert answer["work.offcut_savings"].is_empty()


def test_an_offcut_too_long_to_square_is_not_used() -> None:
    """A guillotine of 450 mm cuts a parent of 440 x 1000 across; what is left beside the leaves is 994 or 480 long."""
    stock = [builders.stock(width_mm=440.0, pack_price=150.0)]
    leaves: list[Leaf] = [(220.0, 480.0, 2), (180.0, 300.0, 2)]
    wide = cut(one_size_a_sheet(leaves, stock, guillotine_max_cut_mm=1150.0))
    narrow = cut(one_size_a_sheet(leaves, stock, guillotine_max_cut_mm=450.0))
    assert wide["work.offcut_savings"]["spared_quantity"].to_list() == [1.0]
    assert narrow["work.offcut_savings"].is_empty()


def test_a_length_off_a_roll_is_spared() -> None:
    """Two big leaves side by side, 480 mm and both trims off a roll of 1200 mm; the small ones need no 306 mm more."""
    roll = builders.stock(
        "R-1", form="roll", width_mm=1250.0, length_mm=50_000.0, pack_quantity=1, pack_price=600.0
    )
    given_frames = one_size_a_sheet([(*BIG, 2), (*SMALL, 1)], [roll], guillotine_max_cut_mm=1300.0)
    answer = cut(given_frames)
    assert answer["work.offcut_savings"].to_dicts() == [
        {"stock_id": "R-1", "spared_quantity": pytest.approx(306.0 / 50_000)}
    ]


HALF_MM = st.integers(300, 900).map(lambda half_mm: half_mm / 2)
LEAVES = st.lists(
    st.tuples(HALF_MM, HALF_MM, st.integers(2, 5)), min_size=2, max_size=4, unique_by=lambda leaf: leaf[:2]
)


@given(
    leaves=LEAVES,
    rule=st.sampled_from(["require", "prefer", "ignore"]),
    grain=st.sampled_from(["long", "short"]),
    most=st.integers(1, 2),
)
@settings(max_examples=12, deadline=None, derandomize=True, phases=(Phase.explicit, Phase.generate))
@pytest.mark.slow
def test_plans_with_offcuts_keep_every_rule(leaves: list[Leaf], rule: str, grain: str, most: int) -> None:
    stock = [builders.stock(width_mm=640.0, length_mm=900.0, grain=grain, pack_price=900.0)]
    papers = [builders.paper(grain_rule=rule)]
    given_frames = frames(leaves, papers=papers, stock=stock, max_sizes_per_sheet=most)
    answer, without = cut(given_frames), cut(with_figure(given_frames, "cut.is_offcut_used", 0.0))
    check_plan(given_frames, answer, turns=rule != "require", most=most)
    spared = answer["work.offcut_savings"]["spared_quantity"].sum()
    assert fresh_parents(answer) + spared == fresh_parents(without)


def test_some_of_those_plans_use_offcuts() -> None:
    """The rules above are tried on plans that do use them: seven leaf sizes, one size a sheet."""
    leaves: list[Leaf] = [(*BIG, 3), (*SMALL, 2), (430.0, 300.0, 4), (160.0, 210.0, 7), (190.0, 250.0, 3)]
    given_frames = one_size_a_sheet(leaves, papers=[builders.paper(grain_rule="ignore")])
    answer = cut(given_frames)
    assert answer["work.patterns"]["from_offcut_of"].drop_nulls().len() > 0
    check_plan(given_frames, answer, turns=True, most=1)


def test_the_order_of_the_rows_does_not_matter_to_offcuts() -> None:
    given_frames = one_size_a_sheet([(*BIG, 2), (*SMALL, 2), (160.0, 210.0, 2)])
    turned_round = {name: frame.reverse() for name, frame in given_frames.items()}
    first, second = cut(given_frames), cut(turned_round)
    for name in ("work.patterns", "work.pattern_pieces", "work.offcuts", "work.offcut_savings"):
        assert first[name].equals(second[name]), name


def fresh_parents(answer: Frames) -> int:
    return int(answer["work.patterns"].filter(pl.col("from_offcut_of").is_null())["sheets"].sum())


def check_plan(given_frames: Frames, answer: Frames, *, turns: bool, most: int) -> None:
    """Every pattern cut by the guillotine of the tests: demand, grain, sizes on a parent, off-cuts there and once."""
    trim_mm = {row["stock_id"]: row["trim_mm"] for row in given_frames["clean.stock"].to_dicts()}
    grain = {row["stock_id"]: row["grain"] for row in given_frames["clean.stock"].to_dicts()}
    wanted = {row["cut_size_id"]: row for row in given_frames["work.demands"].to_dicts()}
    patterns = {row["pattern_id"]: row for row in answer["work.patterns"].to_dicts()}
    made: Counter[str] = Counter()
    taken: Counter[tuple[str, float, float]] = Counter()
    for name, pattern in patterns.items():
        pieces, offcuts = (
            answer[table].filter(pattern_id=name).to_dicts()
            for table in ("work.pattern_pieces", "work.offcuts")
        )
        source = pattern["from_offcut_of"]
        width, length = pattern["sheet_width_mm"], pattern["sheet_length_mm"]
        trim = 0.0 if source else 2 * trim_mm[pattern["stock_id"]]
        boxes = [Box(*(piece[side] for side in SIDES), piece["cut_size_id"]) for piece in pieces]
        out = play_back(width - trim, length - trim, first_cut=pattern["first_cut"], boxes=boxes)
        made.update({label: count * pattern["sheets"] for label, count in out.items()})
        assert len(out) <= most
        for piece in pieces:
            leaf = wanted[piece["cut_size_id"]]
            along = piece["along_width_mm"], piece["along_length_mm"]
            held = along if grain[pattern["stock_id"]] == "long" else along[::-1]
            sides = leaf["width_mm"], leaf["height_mm"]
            assert held == sides or (turns and held == sides[::-1])
        _lie_apart([*pieces, *offcuts])
        _ticket_gives(
            pattern | {"trim_mm": trim / 2, "grain": grain[pattern["stock_id"]]}, pieces, offcuts, answer
        )
        if source:
            assert patterns[source]["from_offcut_of"] is None
            assert patterns[source]["stock_id"] == pattern["stock_id"]
            taken[source, width, length] += pattern["sheets"]
    for (source, width, length), count in taken.items():
        left = answer["work.offcuts"].filter(pattern_id=source, along_width_mm=width, along_length_mm=length)
        assert count <= left.height * patterns[source]["sheets"]
    assert all(made[size] >= row["sheets"] + row["spares"] for size, row in wanted.items())


def _ticket_gives(
    pattern: dict[str, Any], pieces: list[dict[str, Any]], offcuts: list[dict[str, Any]], answer: Frames
) -> None:
    """The ticket's cuts, followed by a reader of tickets, give the pieces and the off-cuts that are kept, square."""
    used = answer["work.patterns"].filter(from_offcut_of=pattern["pattern_id"])
    sides = set(used.select("sheet_width_mm", "sheet_length_mm").iter_rows())
    rows = [
        row | {"kept_count": int((row["along_width_mm"], row["along_length_mm"]) in sides)} for row in offcuts
    ]
    drawing = make_drawing(pattern, pieces, rows)
    kept = [box for box in drawing.offcuts if box.label == KEPT]
    assert len(kept) == sum(row["kept_count"] for row in rows)
    assert_reproduced(sheet_box(drawing.pattern), [*drawing.pieces, *kept], drawing.plan.cuts)


def _lie_apart(parts: list[dict[str, Any]]) -> None:
    for index, one in enumerate(parts):
        for other in parts[:index]:
            assert (
                one["x_mm"] >= other["x_mm"] + other["along_width_mm"]
                or other["x_mm"] >= one["x_mm"] + one["along_width_mm"]
                or one["y_mm"] >= other["y_mm"] + other["along_length_mm"]
                or other["y_mm"] >= one["y_mm"] + one["along_length_mm"]
            )


def test_a_remnant_listed_in_stock_is_used_first() -> None:
    """An off-cut of an earlier job, 350 x 450 mm and paid for, gives the two leaves: no new sheet is touched."""
    remnant = builders.stock(
        "R-1", width_mm=350.0, length_mm=450.0, pack_quantity=1, pack_price=0.0, on_hand=1.0
    )
    answer = cut(frames([(160.0, 210.0, 2)], stock=[*DEAR, remnant]))
    assert answer["work.patterns"].select("stock_id", "sheets").rows() == [("R-1", 1)]
    assert answer["work.cut_bounds"]["cost_lower_bound"].to_list() == [0.0]
