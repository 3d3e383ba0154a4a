"""How Python stages take and give tables: eager frames by table name."""

import polars as pl

Frames = dict[str, pl.DataFrame]


def figures(frames: Frames) -> dict[str, float]:
    """Policy figures by key, from the frame of policy.figures."""
    frame = frames["policy.figures"]
    return dict(zip(frame["key"].to_list(), frame["value"].to_list(), strict=True))
