"""What would help most, by hand; and the arrays of the figures against the SELECTs that say the same in rows."""

from functools import cache
from itertools import product
from typing import Any

import numpy as np
import polars as pl
import pytest

from pipeline.contracts import TABLES
from pipeline.contracts.fields import BINDINGS, HAZARDS, JOINTS
from pipeline.frames import Frames, figures
from pipeline.solve.fit.judgement import (
    headroom_um,
    may_lie,
    read_asked,
    read_bulk,
    read_figures,
    read_papers,
    read_risk,
    sheet_benefits,
)
from pipeline.solve.fit.needs import candidates
from pipeline.solve.fit.tables import FitTables, fit_problem, fit_tables
from pipeline.stages.fit import NEEDS_READS, QUICK_NEED_VOLUMES, find_needs
from pipeline.store import Store
from tests.builders import settings
from tests.rows import filled_store, merged, opening_row, row, run

SELECTS = (
    *(f"03_risk/{stem}" for stem in ("listed_openings", "opening_groups", "hazard_rates", "losses")),
    *(
        f"04_paper/{stem}"
        for stem in (
            "paper_properties",
            "group_needs",
            "stock_parents",
            "stock_reach",
            "permitted",
            "benefits",
        )
    ),
    "05_fit/headroom",
)
Tables = dict[str, list[dict[str, Any]]]


def fit_frames(*parts: Tables) -> Frames:
    """The stage's tables, made by the SELECTs from clean rows."""
    store = filled_store(merged(*parts))
    run(store, *SELECTS)
    return _read(store)


def _read(store: Store) -> Frames:
    return {name: store.read(name) for name in NEEDS_READS}


def volumes(*ids: str, **values: Any) -> Tables:
    return {"clean.volumes": [row("clean.volumes", volume_id=name, **values) for name in ids]}


def papers(*rows: dict[str, Any]) -> Tables:
    stock = [row("clean.stock", stock_id=f"S-{one['paper_id']}", paper_id=one["paper_id"]) for one in rows]
    return {"clean.papers": list(rows), "clean.stock": stock}


BUF = row("clean.papers")


def needs(frames: Frames, effort: str = "usual") -> pl.DataFrame:
    found = find_needs(frames, settings(effort=effort))["work.paper_needs"]
    return TABLES["work.paper_needs"].check(found)


def test_the_paper_that_is_missing_comes_first() -> None:
    # a cyanotype beside newsprint asks for unbuffered paper that passed PAT; the list has a buffered one only
    frames = fit_frames(
        volumes("A"), papers(BUF), opening_row(2, openings=((1, 2),), left="cyanotype", right="cyanotype")
    )
    first = needs(frames).row(0, named=True)
    assert first["description"].startswith("unbuffered paper of 90 µm, passed PAT")
    # 0.60 a century x cyanotype 1.0, half a century; an unbuffered sheet takes 0.60 of the rate away
    assert first["added_benefit"] == pytest.approx(2 * (np.exp(-0.3 * 0.4) - np.exp(-0.3)), abs=1e-9)
    assert (first["need_kind"], first["helped_volumes_count"], first["added_sheets_count"]) == ("paper", 1, 2)
    assert first["thickness_um"] == 90.0


def test_a_limit_that_holds_sheets_back_comes_first() -> None:
    # twenty sheets of 120 um are wanted and 2000 um of growth (0.10 x 20 mm) allow sixteen
    frames = fit_frames(volumes("A", binding="spiral"), papers(BUF), opening_row(2, openings=((1, 20),)))
    found = needs(frames).filter(need_kind="limit")
    benefit = np.exp(-0.18 * 0.2) - np.exp(-0.18)
    by_words = {words: added for words, added in found.select("description", "added_benefit").iter_rows()}
    assert by_words["0.05 of the spine more growth for every binding"] == pytest.approx(4 * benefit, abs=1e-9)
    assert "0.5° more wedge angle for every binding" not in by_words
    assert "3 papers a volume instead of 2" not in by_words


def test_where_nothing_is_short_nothing_is_needed() -> None:
    adsorbent = BUF | {"paper_id": "R", "surface": "release"}
    frames = fit_frames(volumes("A"), papers(BUF, adsorbent), opening_row(2, openings=((1, 1),)))
    assert needs(frames).is_empty()


def test_a_quick_plan_tries_fewer_volumes_and_says_so() -> None:
    # every volume lacks an unbuffered paper for two openings with a cyanotype
    ids = [f"V{number:03d}" for number in range(QUICK_NEED_VOLUMES + 5)]
    rows = [
        opening_row(number, volume_id=name, openings=((1, 2),), left="cyanotype", right="cyanotype")
        for number, name in enumerate(ids, start=2)
    ]
    frames = fit_frames(volumes(*ids), papers(BUF), *rows)
    usual = needs(frames).row(0, named=True)
    quick = needs(frames, effort="quick").row(0, named=True)
    assert usual["helped_volumes_count"] == len(ids)
    assert quick["helped_volumes_count"] == QUICK_NEED_VOLUMES
    assert quick["description"] == usual["description"]
    tried = f"tried on {QUICK_NEED_VOLUMES} volumes with most to gain, 5 more could gain"
    assert quick["basis"].startswith(f"at least this: {tried}")


def test_no_volumes_need_nothing() -> None:
    assert needs(fit_frames(papers(BUF))).is_empty()


def test_a_volume_on_hold_is_helped_by_nothing() -> None:
    assert needs(fit_frames(volumes("A", hold="mould"), papers(BUF), opening_row(2, count=300))).is_empty()


def test_stiffness_of_made_up_papers_follows_from_their_thickness() -> None:
    # Peirce with E 2.5 GPa at 0.75 g/cm3: (2.5e9 x (60e-6)^3 / 12 / (9.80665 x 0.045))^(1/3) = 46.72 mm
    made = {one.thickness_um: one.bending_length_mm for one in candidates(read_figures(mixed()))}
    assert made[60.0] == pytest.approx(46.72, abs=0.01)


@cache
def mixed() -> Frames:
    """Volumes of every kind, content and hazard, with papers of every kind."""
    parts: list[Tables] = []
    kinds = list(product(BINDINGS, JOINTS))
    contents = (
        "print",
        "unknown",
        "silver_print",
        "cyanotype",
        "silk, print",
        "blank",
        "photograph",
        "artwork",
    )
    for number, (binding, joints) in enumerate(kinds):
        name = f"V{number:02}"
        parts.append(
            volumes(
                name,
                binding=binding,
                joints=joints,
                use=("rare", "occasional", "frequent")[number % 3],
                significance=number % 5 + 1,
                odour=number % 4 == 0,
                buffer_rule=(None, None, "buffered_only", "unbuffered_only")[number % 4],
                leaf_condition=("sound", "brittle")[number % 2],
                page_width_mm=180.0 + 23 * number,
                fore_edge_thickness_mm=18.0 + number % 8 * 2.3,
                hold="mould" if number == 8 else None,
                extension_mm=0.1 * number,
                existing_leaves=number % 3,
                existing_leaf_thickness_um=70.5,
            )
        )
        for at in range(3):
            hazards = (
                (HAZARDS[(number + at) % 8], ("left", "right", "")[(number + at) % 3], at + 1),
                (HAZARDS[(number + 3 * at + 1) % 8], "", 3 - at),
            )
            left, right = contents[(number + at) % 8], contents[(2 * number + at) % 8]
            found = opening_row(
                10 * number + at + 2,
                openings=((at, at + at),),
                left=left,
                right=right,
                hazards=hazards if hazards[0][0] != hazards[1][0] else hazards[:1],
                volume_id=name,
            )
            parts.append(found)
    limp = {"bending_stiffness_mnm": None, "thickness_um": 60.0, "grammage_gsm": 40.0}
    kinds_of_paper: tuple[dict[str, Any], ...] = (
        {},
        {"buffer": "unbuffered", "ph": 7.0},
        {"adsorbent": True, "surface": "smooth"},
        {"surface": "release", "pat": "unknown"},
        {"sulphur_free": "unknown"} | limp,
        {"glassine": True},
        {"ph": 6.9},
        {"buffer": "unbuffered", "surface": "release"} | limp,
    )
    rows = [BUF | {"paper_id": f"P{number}"} | more for number, more in enumerate(kinds_of_paper)]
    return fit_frames(*parts, papers(*rows))


def mixed_tables() -> tuple[Frames, FitTables]:
    frames = mixed()
    return frames, fit_tables(frames, figures(frames))


def test_arrays_and_selects_agree_on_benefit_and_permission() -> None:
    frames, tables = mixed_tables()
    problem = fit_problem(tables)
    given = read_figures(frames)
    facts = tables.papers.select("paper_id", "bending_length_mm").join(frames["clean.papers"], on="paper_id")
    papers_now = read_papers(facts.sort("paper_id"), given)
    asked = read_asked(frames, tables.groups, tables.papers["paper_id"].to_list())
    values = given.values[None]
    permitted = may_lie(asked, papers_now, given, values)[0]
    assert permitted.tolist() == (problem.benefit_ticks >= 0).tolist()
    assert 0 < permitted.sum() < permitted.size
    benefit = sheet_benefits(read_risk(frames, tables.groups, given), papers_now, values)[0]
    assert np.abs(benefit * 1e12 - problem.benefit_ticks)[permitted].max() <= 2


def test_arrays_and_selects_agree_on_headroom() -> None:
    frames, tables = mixed_tables()
    given = read_figures(frames)
    room = headroom_um(read_bulk(frames, tables.volumes, given), given.values[None])[0]
    assert room.tolist() == tables.volumes["headroom_um"].to_list()
    assert len(set(room.tolist())) > 10


def test_a_large_campaign_is_told_from_the_volumes_with_most_to_gain() -> None:
    frames = fit_frames(
        volumes("A", "B", binding="spiral"),
        papers(BUF),
        opening_row(2, openings=((1, 20),)),
        opening_row(3, openings=((1, 17),), volume_id="B"),
    )
    key = pl.col("key") == "needs.most_volumes_count"
    value = pl.when(key).then(pl.lit(1.0)).otherwise(pl.col("value"))
    bounded = frames | {"policy.figures": frames["policy.figures"].with_columns(value=value)}
    words = pl.col("description") == "0.05 of the spine more growth for every binding"
    first, whole = (needs(given).filter(words).row(0, named=True) for given in (bounded, frames))
    assert first["basis"].startswith("at least this: tried on 1 volume with most to gain, 1 more could gain")
    assert (first["helped_volumes_count"], whole["helped_volumes_count"]) == (1, 2)
    assert (first["added_sheets_count"], whole["added_sheets_count"]) == (4, 5)
