"""What could be done to one volume so that more sheets fit: each tried on its own, exactly."""

from collections.abc import Iterator, Mapping
from dataclasses import replace

import numpy as np
import polars as pl

from pipeline.solve.fit.judgement import Bulk, Figures, headroom_um, read_bulk, read_figures
from pipeline.solve.fit.needs import Label, Trial
from pipeline.solve.fit.problem import Problem
from pipeline.solve.fit.reasons import plural
from pipeline.solve.fit.tables import FitTables

_GUARDED, _SOUND, _SPLIT = "guarded", "sound", "split"


def treatment_trials(
    frames: Mapping[str, pl.DataFrame], tables: FitTables, problem: Problem
) -> Iterator[Trial]:
    """Joints made sound, guards, more extension, one paper more: what would change the answer for one volume.

    `tables` and `problem` hold that volume alone.
    """
    figures = read_figures(frames)
    bulk = read_bulk(frames, tables.volumes, figures)
    volume = frames["clean.volumes"].row(0, named=True)
    binding, joints = volume["binding"], volume["joints"]
    if joints != _SOUND:
        room = _room(figures, bulk, binding, _SOUND)
        limit = figures.values[figures.place(f"binding.{binding}.{_SOUND}_wedge_limit_deg")]
        yield _with_room(problem, room, f"joints made sound (limit {limit:g}°, headroom {room} µm)")
    if binding != _GUARDED and joints != _SPLIT:
        room = _room(figures, bulk, _GUARDED, joints)
        yield _with_room(problem, room, f"guards at the spine (headroom {room} µm)")
    step_mm = float(figures.values[figures.place("needs.room_step_mm")])
    if joints != _SPLIT:
        roomier = replace(bulk, extension_mm=bulk.extension_mm + step_mm)
        room = int(headroom_um(roomier, figures.values[None])[0, 0])
        yield _with_room(problem, room, f"{step_mm:g} mm more extension (headroom {room} µm)")
        more = problem.max_papers + 1
        words = f"{plural(more, 'paper')} in this volume instead of {problem.max_papers}"
        yield Trial(replace(problem, max_papers=more), Label(words))


def _with_room(problem: Problem, room_um: int, words: str) -> Trial:
    return Trial(replace(problem, headroom_um=np.array([room_um], dtype=np.int64)), Label(words))


def _room(figures: Figures, bulk: Bulk, binding: str, joints: str) -> int:
    """Headroom of the volume, um, were it bound so and its joints like that."""
    changed = replace(
        bulk,
        wedge=np.array([figures.place(f"binding.{binding}.{joints}_wedge_limit_deg")], dtype=np.int64),
        growth=np.array([figures.place(f"binding.{binding}.growth_frac")], dtype=np.int64),
        is_planned=np.ones(1, dtype=np.bool_),
    )
    return int(headroom_um(changed, figures.values[None])[0, 0])
