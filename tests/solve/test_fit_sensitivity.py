"""How sure states and ranking are: against fit itself, by hand, and the same for the same seed."""

from dataclasses import replace
from typing import Any

import numpy as np
import polars as pl
import pytest

from pipeline.contracts import TABLES
from pipeline.frames import Frames
from pipeline.solve.fit.judgement import read_figures
from pipeline.solve.fit.sensitivity import JUDGEMENTS, drawn, spread_fracs
from pipeline.stages.fit import fit_volumes, try_judgements
from tests.builders import settings
from tests.rows import opening_row, row
from tests.solve.test_fit_needs import BUF, fit_frames, mixed, papers, volumes

ASKED = replace(settings(), sensitivity=True)


def with_figures(frames: Frames, **figures: float) -> Frames:
    """The tables with other figures of the policy; `floor_spread_frac` stands for sensitivity.floor_spread_frac."""
    value = pl.col("value")
    for name, figure in figures.items():
        value = pl.when(pl.col("key") == f"sensitivity.{name}").then(pl.lit(float(figure))).otherwise(value)
    return frames | {"policy.figures": frames["policy.figures"].with_columns(value.alias("value"))}


def rows(frames: Frames, **where: Any) -> pl.DataFrame:
    found = TABLES["work.sensitivity"].check(try_judgements(frames, ASKED)["work.sensitivity"])
    return found.filter(**where)


def test_nothing_is_computed_unless_asked_for() -> None:
    assert try_judgements({}, settings())["work.sensitivity"].is_empty()


def test_figures_that_are_sure_change_nothing() -> None:
    sure = {f"{name}_spread_frac": 0.0 for name in JUDGEMENTS}
    frames = with_figures(mixed(), draws_count=3, **sure)
    found = rows(frames)
    assert found["kept_pct"].unique().to_list() == [100.0]
    assert found["moved_ranks_count"].unique().to_list() == [0.0]
    states = fit_volumes(frames, settings())["work.fit_states"]
    told = found.filter(pl.col("volume_id").is_not_null()).sort("volume_id")
    assert told["state"].to_list() == states.sort("volume_id")["state"].to_list()
    assert len(set(told["state"])) > 3
    options = fit_volumes(frames, settings())["work.options"].filter(option_kind="all")
    benefit = dict(options.select("volume_id", "benefit").iter_rows())
    assert told["benefit"].to_list() == pytest.approx([benefit.get(name, 0.0) for name in told["volume_id"]])


def test_a_volume_near_the_floor_is_unsure() -> None:
    # a sheet brings 0.0062: above the floor of 0.005, below the floor's high of 0.0065
    # 0.60 a century x severity 0.4 x blank 0.15 = 0.036, half a century 0.018; buffered takes 0.8 of it away
    benefit = np.exp(-0.018 * 0.2) - np.exp(-0.018)
    assert benefit * 0.5 == pytest.approx(0.00712, abs=1e-5)
    frames = fit_frames(
        volumes("A", significance=1),
        papers(BUF),
        opening_row(2, openings=((1, 1),), left="blank", right="blank", hazards=(("acidic_insert", "", 1),)),
    )
    frames = with_figures(frames, draws_count=40, floor_spread_frac=0.5)
    assert rows(frames, judgement="floor", direction="low")["kept_pct"].to_list() == [100.0]
    assert rows(frames, judgement="floor", direction="high")["kept_pct"].to_list() == [0.0]
    drawn_rows = rows(frames, judgement="all", volume_id="A")
    assert drawn_rows["state"].to_list() == ["covered"]
    assert 0 < drawn_rows["kept_pct"].item() < 100


def test_ranks_move_when_handling_matters_to_one_volume_only() -> None:
    # A: fasteners handled often, 0.30 x 2 x 0.6; B: newsprint 0.60 x 0.6, of which a sheet takes away less
    frames = fit_frames(
        volumes("A", use="frequent"),
        {"clean.volumes": [row("clean.volumes", volume_id="B")]},
        papers(BUF),
        opening_row(2, openings=((1, 1),), hazards=(("fastener", "", 2),)),
        opening_row(3, openings=((1, 1),), volume_id="B"),
    )
    frames = with_figures(frames, draws_count=2)
    low = rows(frames, judgement="handling", direction="low")
    assert (low["kept_pct"].item(), low["moved_ranks_count"].item()) == (100.0, 1.0)
    assert rows(frames, judgement="handling", direction="high")["moved_ranks_count"].item() == 0.0


def test_the_same_seed_gives_the_same_draws_and_only_judgement_is_drawn() -> None:
    frames = mixed()
    figures = read_figures(frames)
    spreads = spread_fracs(frames, figures)
    one, again = (drawn(figures, spreads, draws=5, seed=7) for _ in range(2))
    assert (one == again).all()
    assert not (one == drawn(figures, spreads, draws=5, seed=8)).all()
    fixed = [place for key, place in figures.places.items() if key in ("paper.least_ph", "cut.trim_mm")]
    assert (one[:, fixed] == figures.values[fixed]).all()
    shares = [place for key, place in figures.places.items() if key.endswith("_frac")]
    assert one[:, shares].max() <= 1.0
    assert all(spread.any() for spread in spreads.values())


def test_no_volumes_give_campaign_rows_only() -> None:
    found = rows(with_figures(fit_frames(papers(BUF)), draws_count=2))
    assert found["volume_id"].null_count() == found.height == 2 * len(JUDGEMENTS) + 1
