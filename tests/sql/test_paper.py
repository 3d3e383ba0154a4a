"""Which paper may lie where, its bending length and its benefit, worked by hand."""

import math
from typing import Any

import pytest

from pipeline.store import Store
from tests.rows import filled_store, merged, opening_row, row, run
from tests.sql.test_risk import RISK

PAPER = (
    "04_paper/paper_properties",
    "04_paper/group_needs",
    "04_paper/stock_parents",
    "04_paper/stock_reach",
    "04_paper/permitted",
    "04_paper/impossible_leaves",
    "04_paper/benefits",
)


def judged(
    paper: dict[str, Any] | None = None,
    *openings: dict[str, list[dict[str, Any]]],
    stock: dict[str, Any] | None = None,
    contents: tuple[str, ...] = (),
    **volume: Any,
) -> Store:
    tables = merged(
        {
            "clean.volumes": [row("clean.volumes", **volume)],
            "clean.papers": [row("clean.papers", **(paper or {}))],
            "clean.stock": [row("clean.stock", **(stock or {}))],
            "clean.volume_contents": [row("clean.volume_contents", content_word=word) for word in contents],
        },
        *(openings or (opening_row(2, openings=((1, 1),)),)),
    )
    store = filled_store(tables)
    run(store, *RISK, *PAPER)
    return store


def missing(store: Store) -> str:
    frame = store.read("work.permitted")
    found = frame["missing"].item()
    assert frame["is_permitted"].item() == (found == "")
    assert store.read("work.benefits").height == (1 if found == "" else 0)
    return str(found)


def opening(left: str = "print", right: str = "print", **more: Any) -> dict[str, list[dict[str, Any]]]:
    return opening_row(2, openings=((1, 1),), left=left, right=right, **more)


def test_a_plain_buffered_paper_suits_print() -> None:
    assert missing(judged()) == ""


@pytest.mark.parametrize(
    ("paper", "words"),
    [
        ({"lignin_free": False}, "not lignin-free"),
        ({"ph": 6.5}, "pH 6.5 is below 7"),
        ({"glassine": True}, "glassine"),
        ({"adsorbent": True}, "adsorbent paper is kept for odour and severe staining"),
    ],
)
def test_what_no_opening_takes(paper: dict[str, Any], words: str) -> None:
    assert words in missing(judged(paper))


@pytest.mark.parametrize(("volume", "hazards"), [({"odour": True}, None), ({}, (("acidic_insert", "", 3),))])
def test_adsorbent_where_it_smells_or_stains_badly(
    volume: dict[str, Any], hazards: tuple[tuple[str, str, int], ...] | None
) -> None:
    given = opening(hazards=hazards) if hazards else opening()
    assert missing(judged({"adsorbent": True}, given, **volume)) == ""


@pytest.mark.parametrize(
    "word",
    ["silver_print", "colour_print", "dye_print", "albumen_print", "photograph", "cyanotype", "diazotype"],
)
def test_photographs_ask_for_a_passed_test(word: str) -> None:
    assert "photographic activity test (unknown)" in missing(judged({"pat": "unknown"}, opening(right=word)))


def test_facing_photographs_ask_for_a_passed_test_by_themselves() -> None:
    given = opening(hazards=(("facing_photographs", "", 2),))
    assert "photographic activity test (fail)" in missing(judged({"pat": "fail"}, given))


def test_silver_prints_ask_for_no_sulphur_and_other_photographs_do_not() -> None:
    assert "sulphur" in missing(judged({"sulphur_free": "unknown"}, opening(left="silver_print")))
    assert missing(judged({"sulphur_free": "unknown"}, opening(left="photograph"))) == ""


@pytest.mark.parametrize(
    "word", ["colour_print", "dye_print", "cyanotype", "diazotype", "silk", "wool", "leather"]
)
def test_ph_sensitive_content_asks_for_unbuffered(word: str) -> None:
    assert "buffered, beside pH-sensitive content" in missing(judged({}, opening(left=word)))
    assert missing(judged({"buffer": "unbuffered", "ph": 7.0}, opening(left=word))) == ""


def test_tacky_adhesive_asks_for_release() -> None:
    given = opening(hazards=(("tacky_adhesive", "", 2),))
    assert "no release surface" in missing(judged({}, given))
    assert missing(judged({"surface": "release"}, given)) == ""


def test_the_surveyor_binds() -> None:
    assert "unbuffered paper only" in missing(judged({}, buffer_rule="unbuffered_only"))
    assert "buffered paper only" in missing(judged({"buffer": "unbuffered"}, buffer_rule="buffered_only"))


def test_an_unknown_page_takes_the_volumes_content() -> None:
    unknown = opening(left="unknown")
    assert "pH-sensitive" in missing(judged({}, unknown, contents=("silk",)))
    assert missing(judged({}, opening(), contents=("silk",))) == ""


def test_an_unknown_page_in_an_unknown_volume_may_hold_photographs() -> None:
    nothing_known = opening(left="unknown", right="blank")
    assert "photographic activity test" in missing(judged({"pat": "unknown"}, nothing_known))
    assert missing(judged({"pat": "unknown"}, nothing_known, contents=("manuscript",))) == ""


def test_bending_length_of_copier_paper() -> None:
    """GPO Standards No. 11, JCP O-60: 75 g/m2 copier, 1.9 and 0.9 stiffness units of 0.1639 mN m (TAPPI T 489):
    bending lengths 75.1 and 58.5 mm (derived)."""
    for units_found, length_mm in ((1.9, 75.1), (0.9, 58.5)):
        store = judged({"grammage_gsm": 75.0, "bending_stiffness_mnm": units_found * 0.1639})
        assert store.read("work.paper_properties")["bending_length_mm"].item() == pytest.approx(
            length_mm, abs=1
        )


def test_bending_length_from_thickness() -> None:
    # 90 g/m2, 120 um: density 0.75 g/cm3, E = 2.5 GPa; B = 2.5e9 x (120e-6)^3 / 12 = 0.36 mN m;
    # c = (0.36e-3 / (9.80665 x 0.090))^(1/3) = 74.16 mm
    store = judged({"bending_stiffness_mnm": None})
    expected = (0.36e-3 / (9.80665 * 0.090)) ** (1 / 3) * 1000
    assert store.read("work.paper_properties")["bending_length_mm"].item() == pytest.approx(
        expected, rel=1e-9
    )
    assert expected == pytest.approx(74.16, abs=0.01)


def test_rigidity_goes_with_the_cube_of_bending_length() -> None:
    """Peirce 1930; ASTM D1388: eight times the rigidity at the same mass doubles the bending length."""
    lengths = [
        judged({"bending_stiffness_mnm": stiffness}).read("work.paper_properties")["bending_length_mm"].item()
        for stiffness in (0.1, 0.8)
    ]
    assert lengths[1] == pytest.approx(2 * lengths[0], rel=1e-12)


def test_a_limp_paper_is_barred_from_a_wide_page_and_sooner_where_care_is_asked() -> None:
    # bending length 74.16 mm: 0.20 x 360 = 72 passes; with a fastener 0.24 x 360 = 86.4 does not
    limp = {"bending_stiffness_mnm": None}
    fastener = opening(hazards=(("fastener", "", 2),))
    assert missing(judged(limp, page_width_mm=360.0)) == ""
    assert "too limp: bending length 74.2 mm, the page asks for 86.4 mm" in missing(
        judged(limp, fastener, page_width_mm=360.0)
    )
    assert "too limp" in missing(judged(limp, page_width_mm=360.0, leaf_condition="brittle"))


def test_a_paper_whose_stock_is_too_small_is_barred() -> None:
    # least leaf of a 700 x 500 page is 694 x 494; the usable sheet is 604 x 908 with the grain along 908
    stiff = {"bending_stiffness_mnm": 50.0}
    assert "no stock of it" in missing(judged(stiff, page_width_mm=700.0, page_height_mm=500.0))
    assert missing(judged(stiff | {"grain_rule": "ignore"}, page_width_mm=700.0, page_height_mm=500.0)) == ""
    assert missing(judged(stiff, stock={"grain": "short"}, page_width_mm=700.0, page_height_mm=500.0)) == ""


def test_benefit_of_a_sheet() -> None:
    # 0.36 a century before, buffered takes 0.80 of staining: 0.072; significance 4 counts 1.5
    store = judged(significance=4)
    expected = 1.5 * (math.exp(-0.036) - math.exp(-0.18))
    assert store.read("work.benefits")["benefit_per_sheet"].item() == pytest.approx(expected, abs=1e-12)


def test_adsorbent_takes_odour_too() -> None:
    store = judged({"adsorbent": True}, odour=True)
    expected = math.exp(-(0.36 * 0.05 + 0.05 * 0.20) * 0.5) - math.exp(-(0.36 + 0.05) * 0.5)
    assert store.read("work.benefits")["benefit_per_sheet"].item() == pytest.approx(expected, abs=1e-12)


LARGE_PAGE: dict[str, Any] = {"page_width_mm": 500.0, "page_height_mm": 900.0}
"""Least leaf 494 x 894 mm; with trims a sheet of 500 x 900 mm."""


def impossible(
    *,
    stock: dict[str, Any],
    campaign: dict[str, Any] | None = None,
    **volume: Any,
) -> list[dict[str, Any]]:
    """Findings about one volume, one paper and its stock, beside a stock of a glassine that is large enough."""
    tables = merged(
        {
            "clean.campaign": [row("clean.campaign", **(campaign or {}))],
            "clean.volumes": [row("clean.volumes", **(LARGE_PAGE | volume))],
            "clean.papers": [
                row("clean.papers", bending_stiffness_mnm=20.0),
                row("clean.papers", paper_id="GL", glassine=True),
            ],
            "clean.stock": [
                row("clean.stock", **stock),
                row("clean.stock", stock_id="GL-S", paper_id="GL", width_mm=700.0, length_mm=1000.0),
            ],
        },
        opening_row(2, openings=((1, 1),)),
    )
    tables["clean.campaign"] = tables["clean.campaign"][-1:]
    store = filled_store(tables)
    run(store, *RISK, *PAPER)
    return store.read("work.impossible_leaves").to_dicts()


@pytest.mark.parametrize(
    ("case", "cause", "help_words"),
    [
        (
            {"stock": {"width_mm": 450.0, "length_mm": 640.0}},
            "larger than the usable parent",
            "GL-S, 700 x 1000 mm",
        ),
        (
            {"stock": {"width_mm": 700.0, "length_mm": 1000.0, "grain": "short"}},
            "only with the grain across the spine",
            "relax the paper's grain rule",
        ),
        (
            {
                "stock": {"width_mm": 1300.0, "length_mm": 1400.0},
                "campaign": {"guillotine_max_cut_mm": 1150.0},
            },
            "longer than the guillotine's 1150 mm",
            "no wider than the longest cut",
        ),
        (
            {
                "stock": {"width_mm": 450.0, "length_mm": 640.0},
                "page_width_mm": 900.0,
                "page_height_mm": 1300.0,
            },
            "larger than the usable parent",
            "none listed of any paper is large enough",
        ),
    ],
    ids=["size", "grain", "longest cut", "no stock at all"],
)
def test_a_leaf_no_stock_gives_is_a_finding_with_the_nearest_that_would_do(
    case: dict[str, Any], cause: str, help_words: str
) -> None:
    found = impossible(**case)
    assert [(one["code"], one["level"], one["volume_id"]) for one in found] == [
        ("leaf_fits_no_stock", "warning", "A")
    ]
    assert cause in found[0]["message"]
    assert " A:" in found[0]["message"]
    assert help_words in found[0]["action"]
    if "page_width_mm" not in case:
        assert "at least 500.0 x 900.0 mm, grain long" in found[0]["action"]


def test_no_finding_where_a_stock_gives_the_leaf_or_the_volume_is_on_hold() -> None:
    assert impossible(stock={"width_mm": 700.0, "length_mm": 1000.0}) == []
    assert impossible(stock={"width_mm": 450.0, "length_mm": 640.0}, hold="mould") == []
