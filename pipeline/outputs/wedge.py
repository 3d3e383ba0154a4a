"""The volume seen from its head, closed: wedge before and after, with the limit, one scale for both.

A safe wedge is a few degrees and would hardly show, so what the fore edge has beyond the spine is drawn
larger.
"""

import math

from pipeline.outputs.plan import Row
from pipeline.outputs.sketch import WHITE, Sketch

WIDTH_INCHES = 3.3
HEIGHT_INCHES = 1.3
ENLARGED = 6
GAP_SHARE = 0.22
FOOT_INCHES = 0.2
GREY = 217
CAPTION = f"Seen from the head, spine at the left; opening drawn {ENLARGED} times as wide; dashes: the limit."

Outline = list[tuple[float, float]]


def wedge_picture(volume: Row) -> bytes:
    """PNG of a volume's wedge before and after the sheets, limit dashed. `volume`: a row of bench_volumes.sql."""
    width = volume["page_width_mm"]
    step = width * (1 + GAP_SHARE)
    before, after = (_opening(width, volume[f"wedge_{word}_deg"]) for word in ("before", "after"))
    spine_before = volume["fore_edge_before_mm"] - before
    spine_after = volume["fore_edge_after_mm"] - after
    limit = volume["fore_edge_limit_mm"] - spine_after
    outlines = (
        (_outline(0.0, width, spine_before, before), WHITE, False),
        (_outline(step, width, spine_after, after), GREY, False),
        (_outline(step, width, spine_after, limit), None, True),
    )
    half = 1.05 * max(y for outline, _, _ in outlines for _, y in outline)
    low, high = (-0.02 * step, -half), (1.02 * (step + width), half)
    sketch = Sketch((WIDTH_INCHES, HEIGHT_INCHES), low, high, foot_inches=FOOT_INCHES)
    for outline, fill, is_dashed in outlines:
        sketch.outline(outline, fill=fill, dashed=is_dashed, width=1.1)
    sketch.caption(0.24, "before")
    sketch.caption(0.76, "after")
    return sketch.png()


def wedge_text(volume: Row) -> str:
    """The picture in words."""
    return (
        f"Volume {volume['volume_id']} seen from its head: wedge {volume['wedge_before_deg']:.1f} degrees "
        "before, "
        f"{volume['wedge_after_deg']:.1f} degrees after."
    )


def _opening(width: float, wedge_deg: float) -> float:
    """Fore edge less spine at a wedge angle (trade model, section 2)."""
    return 2 * width * math.tan(math.radians(wedge_deg) / 2)


def _outline(left: float, width: float, spine: float, opening: float) -> Outline:
    right, fore_edge = left + width, max(spine + ENLARGED * opening, 0.0)
    return [(left, -spine / 2), (right, -fore_edge / 2), (right, fore_edge / 2), (left, spine / 2)]
