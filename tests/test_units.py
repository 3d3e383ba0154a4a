"""Factors and roundings, against the outside values each test names."""

import pytest

from pipeline import units


@pytest.mark.parametrize(
    ("pounds", "width", "height", "factor"),
    [
        (1, 17, 22, 3.75973),
        (1, 25, 38, 1.48015),
        (1, 20, 26, 2.70411),
        (1, 25.5, 30.5, 1.80796),
        (1, 22.5, 28.5, 2.19281),
        (1, 24, 36, 1.62748),
    ],
    ids=["bond", "text", "cover", "index", "bristol", "tag"],
)
def test_grammage_factors(pounds: float, width: float, height: float, factor: float) -> None:
    """Derived from 453.59237 g to the pound, 500 sheets, 25.4 mm to the inch."""
    assert units.grammage_gsm(pounds, width, height) == pytest.approx(factor, abs=1e-5)


@pytest.mark.parametrize(("pounds", "gsm"), [(50, 135), (65, 175), (80, 215)])
def test_cover_papers(pounds: float, gsm: float) -> None:
    """US Government Paper Specification Standards No. 11 (GPO, 1999), JCP L20."""
    assert units.grammage_gsm(pounds, 20, 26) == pytest.approx(gsm, rel=0.01)


@pytest.mark.parametrize(("pounds", "gsm"), [(110, 200), (140, 255)])
def test_index_papers(pounds: float, gsm: float) -> None:
    """US Government Paper Specification Standards No. 11 (GPO, 1999), JCP K10."""
    assert units.grammage_gsm(pounds, 25.5, 30.5) == pytest.approx(gsm, rel=0.015)


def test_text_and_cover_pounds_are_different_papers() -> None:
    """Common practice: 50 lb text is about 74 g/m2, 50 lb cover about 135 g/m2."""
    assert units.grammage_gsm(50, 25, 38) == pytest.approx(74, abs=0.5)


def test_floor_um_forgives_binary_fractions() -> None:
    assert units.floor_um(2.6999999999999997) == 2700
    assert units.floor_um(2.6999) == 2699


@pytest.mark.parametrize(("unit", "tick"), [("mm", 0.5), ("cm", 0.5), ("in", 25.4 / 32)])
def test_ticks_round_needs_up_and_supplies_down(unit: str, tick: float) -> None:
    length_mm = 100 * tick
    assert units.ticks_up(length_mm, unit) == units.ticks_down(length_mm, unit) == 100
    assert units.ticks_up(length_mm + tick / 3, unit) == 101
    assert units.ticks_down(length_mm + tick / 3, unit) == 100
    assert units.ticks_to_mm(100, unit) == pytest.approx(length_mm)


@pytest.mark.parametrize(
    ("length_mm", "unit", "text"),
    [
        (287.5, "mm", "287.5 mm"),
        (287.5, "cm", "28.75 cm"),
        (11.375 * 25.4, "in", "11 3/8 in"),
        (0.5 * 25.4, "in", "1/2 in"),
        (12 * 25.4, "in", "12 in"),
    ],
)
def test_lengths_as_the_lab_writes_them(length_mm: float, unit: str, text: str) -> None:
    assert units.length_text(length_mm, unit) == text


@pytest.mark.parametrize(
    ("name", "width", "height", "area"),
    [("A4", 210, 297, 1 / 16), ("A3", 297, 420, 1 / 8), ("SRA1", 640, 900, 0.576), ("RA2", 430, 610, 0.2623)],
)
def test_areas_of_iso_sizes(name: str, width: float, height: float, area: float) -> None:
    """ISO 216 and ISO 217 sizes; an A-size has the area of A0 (1 m2) halved, within the rounding to mm."""
    assert units.area_m2(width, height) == pytest.approx(area, rel=0.003)
