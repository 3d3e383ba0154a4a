"""The volume seen from its head, closed: wedge before and after, with the limit, one scale for both.

A safe wedge is a few degrees and would hardly show, so what the fore edge has beyond the spine is drawn
larger.
"""

import math

from pipeline.outputs.pictures import FONT_POINTS, blank_figure, plain_axes, png_bytes
from pipeline.outputs.plan import Row

WIDTH_INCHES = 3.3
HEIGHT_INCHES = 1.3
ENLARGED = 6
GAP_SHARE = 0.22
LABEL_SHARE = 0.16
CAPTION = f"Seen from the head, spine at the left; opening drawn {ENLARGED} times as wide; dashes: the limit."

Outline = list[tuple[float, float]]


class WedgePainter:
    """Draws one volume after another on the same figure: hundreds of pictures in little time."""

    def __init__(self) -> None:
        from matplotlib.patches import Polygon

        self._figure = blank_figure(WIDTH_INCHES, HEIGHT_INCHES)
        self._axes = plain_axes(self._figure, (0, LABEL_SHARE, 1, 1 - LABEL_SHARE))
        self._axes.set_aspect("auto")
        looks = ("white", "-"), ("0.85", "-"), ("none", "--")
        self._patches = [
            Polygon(
                [(0, 0), (1, 0), (1, 1)], facecolor=fill, edgecolor="black", linestyle=line, linewidth=1.1
            )
            for fill, line in looks
        ]
        for patch in self._patches:
            self._axes.add_patch(patch)
        for share, word in ((0.24, "before"), (0.76, "after")):
            self._figure.text(share, 0.02, word, fontsize=FONT_POINTS, ha="center", va="bottom")

    def picture(self, volume: Row) -> bytes:
        """PNG of the wedge before and after, limit dashed. `volume`: a row of bench_volumes.sql."""
        width = volume["page_width_mm"]
        step = width * (1 + GAP_SHARE)
        before, after = (_opening(width, volume[f"wedge_{word}_deg"]) for word in ("before", "after"))
        spine_before = volume["fore_edge_before_mm"] - before
        spine_after = volume["fore_edge_after_mm"] - after
        limit = volume["fore_edge_limit_mm"] - spine_after
        outlines = (
            _outline(0.0, width, spine_before, before),
            _outline(step, width, spine_after, after),
            _outline(step, width, spine_after, limit),
        )
        for patch, outline in zip(self._patches, outlines, strict=True):
            patch.set_xy(outline)
        self._show(step + width, max(y for outline in outlines for _, y in outline))
        return png_bytes(self._figure)

    def _show(self, across: float, half: float) -> None:
        """Fit the view to the outlines, with one scale for both directions."""
        shape = HEIGHT_INCHES * (1 - LABEL_SHARE) / WIDTH_INCHES
        view = max(1.04 * across, 2.1 * half / shape)
        middle = across / 2
        self._axes.set_xlim(middle - view / 2, middle + view / 2)
        self._axes.set_ylim(-view * shape / 2, view * shape / 2)


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
