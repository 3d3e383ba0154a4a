"""Stock lines become panels in whole ticks: trim, rounding, grain, longest cut, rolls; and why a size fits nowhere."""

from dataclasses import replace
from fractions import Fraction

import pytest

from pipeline.solve.cut.problem import Size
from pipeline.solve.cut.supplies import Bench, StockLine, panels_of, reasons_uncuttable

BENCH = Bench(max_cut_mm=1150.0, roll_parent_max_length_mm=1200.0, length_unit="mm")
INCHES = replace(BENCH, length_unit="in")
SHEET = StockLine(
    stock_id="S",
    is_roll=False,
    width_mm=610.0,
    length_mm=914.0,
    is_grain_long=True,
    trim_mm=3.0,
    price=Fraction(3, 5),
)
ROLL = replace(SHEET, stock_id="R", is_roll=True, width_mm=1000.0, length_mm=50_000.0, price=Fraction(52))


def size(width_mm: float, height_mm: float) -> Size:
    return Size(cut_size_id="C", width_ticks=int(width_mm * 2), height_ticks=int(height_mm * 2), demand=1)


def test_a_sheet_gives_two_panels_without_its_trim() -> None:
    """610 x 914 less 3 mm a side: 604 x 908 mm = 1208 x 1816 ticks of 0.5 mm; grain along the length."""
    panels, unit = panels_of([SHEET], BENCH)
    assert unit == Fraction(1, 5)
    assert [(p.first_cut, p.strip_ticks, p.stack_ticks, p.is_grain_along_strip, p.cost) for p in panels] == [
        ("across_width", 1208, 1816, False, 3),
        ("across_length", 1816, 1208, True, 3),
    ]


def test_supplies_in_inches_are_rounded_down() -> None:
    """24 x 36 in less 3 mm a side is 603.6 x 908.4 mm = 760.4 x 1144.4 ticks of 1/32 in."""
    panels, _ = panels_of([replace(SHEET, width_mm=609.6, length_mm=914.4)], INCHES)
    assert (panels[0].strip_ticks, panels[0].stack_ticks) == (760, 1144)


def test_a_direction_beyond_the_longest_cut_gives_no_panel() -> None:
    """The limit holds for the untrimmed side along which the first cuts run."""
    panels, _ = panels_of([SHEET], replace(BENCH, max_cut_mm=913.9))
    assert [panel.first_cut for panel in panels] == ["across_width"]
    exactly, _ = panels_of([SHEET], replace(BENCH, max_cut_mm=914.0))
    assert len(exactly) == 2


def test_a_roll_has_one_free_side_and_a_price_per_tick() -> None:
    """1000 mm wide: 994 mm usable. Lengths to 1200 mm (across) or the longest cut, 1150 mm (along), 6 mm trimmed.

    52 a roll of 50 m = 100,000 ticks: 0.00052 a tick.
    """
    panels, unit = panels_of([ROLL], BENCH)
    across, along = panels
    assert (across.free, across.strip_ticks, across.stack_ticks, across.trims_ticks) == (
        "stack",
        1988,
        2388,
        12,
    )
    assert (along.free, along.strip_ticks, along.stack_ticks) == ("strip", 2288, 1988)
    assert across.cost * unit == Fraction(52, 100_000)


def test_costs_of_several_lines_stay_exact() -> None:
    lines = [SHEET, replace(SHEET, stock_id="T", price=Fraction("0.1234")), ROLL]
    panels, unit = panels_of(lines, BENCH)
    costs = {panel.stock_id: panel.cost * unit for panel in panels}
    assert costs == {"S": Fraction(3, 5), "T": Fraction("0.1234"), "R": Fraction(52, 100_000)}


@pytest.mark.parametrize(
    ("width_mm", "height_mm", "rule", "expected"),
    [
        (604, 908, "require", ()),
        (604.5, 908, "require", ("S: it is larger than the usable parent",)),
        (700, 300, "require", ("S: it fits only with the grain across the spine",)),
        (700, 300, "prefer", ()),
        (700, 300, "ignore", ()),
    ],
)
def test_reasons_why_a_size_cannot_be_cut(
    width_mm: float, height_mm: float, rule: str, expected: tuple[str, ...]
) -> None:
    assert reasons_uncuttable(size(width_mm, height_mm), [SHEET], bench=BENCH, rule=rule) == expected  # type: ignore[arg-type]


def test_the_longest_cut_is_named_when_it_is_the_reason() -> None:
    short = replace(BENCH, max_cut_mm=600.0)
    assert reasons_uncuttable(size(200, 300), [SHEET], bench=short, rule="require") == (
        "S: the cut is longer than the guillotine's 600 mm",
    )


def test_one_stock_that_will_do_is_enough_and_no_stock_is_a_reason() -> None:
    larger = replace(SHEET, stock_id="T", width_mm=813.0, length_mm=1016.0)
    assert reasons_uncuttable(size(700, 900), [SHEET, larger], bench=BENCH, rule="require") == ()
    assert reasons_uncuttable(size(700, 900), [], bench=BENCH, rule="require") == ("the paper has no stock",)
