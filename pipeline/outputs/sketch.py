"""A drawing to scale on a bare figure: no axes, no ticks, so that hundreds take seconds."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from pipeline.outputs.pictures import (
    DOTS_PER_INCH,
    FONT_POINTS,
    POINTS_PER_INCH,
    Words,
    blank_figure,
    png_bytes,
)

if TYPE_CHECKING:
    from matplotlib.artist import Artist

CIRCLE_POINTS = 6.5
LETTER_SHARE = 0.58
"""Width of a letter as a share of its size."""
DASHES = (0, (6, 2))

Look = dict[str, Any]
Point = tuple[float, float]
WHITE: Look = {"facecolor": "white", "edgecolor": "none", "pad": 1.5}


class Sketch:
    """A picture of `size` inches that shows the region from `low` to `high`, centred, at one scale."""

    def __init__(self, size: Point, low: Point, high: Point, *, foot_inches: float = 0.0) -> None:
        """`foot_inches` at the bottom stay free for words placed by `caption`."""
        from matplotlib.transforms import Affine2D

        self._figure = blank_figure(*size)
        self._words: list[Words] = []
        width, height = size[0] * DOTS_PER_INCH, (size[1] - foot_inches) * DOTS_PER_INCH
        self._scale = min(width / (high[0] - low[0]), height / (high[1] - low[1]))
        middle = (low[0] + high[0]) / 2, (low[1] + high[1]) / 2
        foot = foot_inches * DOTS_PER_INCH
        self._to_pixels = (
            Affine2D()
            .scale(self._scale)
            .translate(width / 2 - self._scale * middle[0], foot + height / 2 - self._scale * middle[1])
        )

    def _add(self, artist: "Artist") -> None:
        artist.set_transform(self._to_pixels)
        self._figure.add_artist(artist)

    def outline(
        self, corners: Sequence[Point], *, fill: str = "white", line: Any = "-", width: float = 0.9
    ) -> None:
        """A closed shape."""
        self._shape(corners, {"facecolor": fill, "linestyle": line, "linewidth": width})

    def hatched(self, corners: Sequence[Point], hatch: str, *, width: float = 0.9) -> None:
        """A closed shape with hatching."""
        self._shape(corners, {"facecolor": "white", "hatch": hatch, "linewidth": width})

    def _shape(self, corners: Sequence[Point], look: Look) -> None:
        from matplotlib.patches import Polygon

        self._add(Polygon(list(corners), closed=True, edgecolor="black", **look))

    def dashes(self, start: Point, end: Point) -> None:
        """A dashed line."""
        from matplotlib.lines import Line2D

        xs, ys = zip(start, end, strict=True)
        self._add(Line2D(xs, ys, color="black", linewidth=1.3, linestyle=DASHES))

    def circled(self, place: Point, text: str) -> None:
        """A short text in a circle."""
        from matplotlib.patches import Circle

        radius = CIRCLE_POINTS / POINTS_PER_INCH * DOTS_PER_INCH / self._scale
        self._add(Circle(place, radius, facecolor="white", edgecolor="black", linewidth=0.8))
        self.text(place, text, points=FONT_POINTS - 1)

    def arrow(self, start: Point, end: Point, *, head: str = "<->", width: float = 0.8) -> None:
        """An arrow with a head at both ends."""
        from matplotlib.patches import FancyArrowPatch

        look: Look = {"arrowstyle": head, "linewidth": width, "mutation_scale": 8, "shrinkA": 0, "shrinkB": 0}
        self._add(FancyArrowPatch(start, end, color="black", **look))

    def length_of(self, text: str) -> float:
        """About the length of a text's longest line, in the region's unit."""
        letters = max(len(line) for line in text.split("\n"))
        return letters * LETTER_SHARE * FONT_POINTS / POINTS_PER_INCH * DOTS_PER_INCH / self._scale

    def text(self, place: Point, text: str, *, points: float = FONT_POINTS) -> None:
        """Level text centred on a place."""
        x, y = self._to_pixels.transform(place)
        self._words.append(Words(float(x), float(y), text, points))

    def boxed(self, place: Point, text: str, *, turn: int = 0) -> None:
        """Text on a white ground, which may be turned."""
        from matplotlib.text import Text

        words: Look = {
            "fontsize": FONT_POINTS,
            "ha": "center",
            "va": "center",
            "rotation": turn,
            "bbox": WHITE,
        }
        self._add(Text(*place, text, **words))

    def caption(self, share: float, text: str) -> None:
        """Words at the bottom, centred on this share of the width."""
        width = self._figure.get_figwidth() * DOTS_PER_INCH
        self._words.append(Words(share * width, FONT_POINTS, text, FONT_POINTS))

    def png(self) -> bytes:
        """The picture."""
        return png_bytes(self._figure, self._words)
