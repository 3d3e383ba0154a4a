"""A drawing to scale without axes, drawn by Pillow a few times finer than it is shown: thousands take seconds."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from io import BytesIO
from math import hypot
from typing import TYPE_CHECKING

from pipeline.outputs.pictures import DOTS_PER_INCH, FONT_POINTS, POINTS_PER_INCH, font

if TYPE_CHECKING:
    from PIL import Image, ImageDraw

FINE = 3
"""Dots drawn for each dot shown, in both directions: slanted lines come out smooth."""
CIRCLE_POINTS = 6.5
HEAD_POINTS, HEAD_SHARE = 6.0, 0.35
HATCH_POINTS = 6.0
SLANTED, DOTTED = "slanted", "dotted"
DASH_POINTS, GAP_POINTS = 7.0, 2.5
GROUND_DOTS = 600
WHITE, BLACK = 255, 0

Point = tuple[float, float]


@dataclass(frozen=True)
class _Words:
    """A short text centred on a dot of the picture as shown."""

    place: Point
    text: str
    points: float = FONT_POINTS
    is_boxed: bool = False
    turn: int = 0


class Sketch:
    """A picture of `size` inches that shows the region from `low` to `high`, centred, at one scale."""

    def __init__(self, size: Point, low: Point, high: Point, *, foot_inches: float = 0.0) -> None:
        """`foot_inches` at the bottom stay free for words placed by `caption`."""
        from PIL import Image, ImageDraw

        self._dots = int(size[0] * DOTS_PER_INCH), int(size[1] * DOTS_PER_INCH)
        width, height = self._dots[0], self._dots[1] - foot_inches * DOTS_PER_INCH
        self._scale = min(width / (high[0] - low[0]), height / (high[1] - low[1]))
        self._middle = (low[0] + high[0]) / 2, (low[1] + high[1]) / 2
        self._centre = width / 2, height / 2
        self._image = Image.new("L", (self._dots[0] * FINE, self._dots[1] * FINE), WHITE)
        self._pen = ImageDraw.Draw(self._image)
        self._words: list[_Words] = []

    def outline(
        self, corners: Sequence[Point], *, fill: int | None = WHITE, dashed: bool = False, width: float = 0.9
    ) -> None:
        """A closed shape; `fill` is a grey from 0 to 255, or none."""
        places = [self._fine(corner) for corner in corners]
        if fill is not None:
            self._pen.polygon(places, fill=fill)
        for start, end in zip(places, [*places[1:], places[0]], strict=True):
            self._line(start, end, width, dashed=dashed)

    def hatched(self, corners: Sequence[Point], hatch: str, *, width: float = 0.9) -> None:
        """A closed shape with slanted lines or dots; blank for none."""
        if not hatch:
            self.outline(corners, width=width)
            return
        from PIL import Image, ImageDraw

        places = [self._fine(corner) for corner in corners]
        box = self._box_around(places)
        mask = Image.new("L", (box[2] - box[0], box[3] - box[1]), 0)
        ImageDraw.Draw(mask).polygon([(x - box[0], y - box[1]) for x, y in places], fill=WHITE)
        side = -(-max(self._image.size) // GROUND_DOTS) * GROUND_DOTS
        self._image.paste(_hatching(hatch, side).crop(box), box, mask)
        self.outline(corners, fill=None, width=width)

    def dashes(self, start: Point, end: Point) -> None:
        """A dashed line."""
        self._line(self._fine(start), self._fine(end), 1.3, dashed=True)

    def circled(self, place: Point, text: str) -> None:
        """A short text in a circle."""
        (x, y), radius = self._fine(place), _fine_dots(CIRCLE_POINTS)
        box = (x - radius, y - radius, x + radius, y + radius)
        self._pen.ellipse(box, fill=WHITE, outline=BLACK, width=_line_dots(0.8))
        self.text(place, text, points=FONT_POINTS - 1)

    def arrow(self, start: Point, end: Point, *, width: float = 0.8) -> None:
        """An arrow with a head at both ends."""
        ends = self._fine(start), self._fine(end)
        self._line(*ends, width)
        for tip, tail in (ends, ends[::-1]):
            self._pen.polygon(_head(tip, tail), fill=BLACK)

    def text(self, place: Point, text: str, *, points: float = FONT_POINTS) -> None:
        """Level text centred on a place."""
        self._words.append(_Words(self._shown(place), text, points))

    def length_of(self, text: str) -> float:
        """Length of a text's longest line, in the region's unit."""
        return max(font(FONT_POINTS).getlength(line) for line in text.split("\n")) / self._scale

    def boxed(self, place: Point, text: str, *, turn: int = 0) -> None:
        """Text on a white ground, which may be turned by a quarter."""
        self._words.append(_Words(self._shown(place), text, is_boxed=True, turn=turn))

    def caption(self, share: float, text: str) -> None:
        """Words at the bottom, centred on this share of the width."""
        self._words.append(_Words((share * self._dots[0], self._dots[1] - FONT_POINTS), text))

    def png(self) -> bytes:
        """The picture, grey. Nothing of the machine or the day goes in, so the bytes repeat."""
        image = self._image.reduce(FINE)
        for words in self._words:
            _write(image, words)
        buffer = BytesIO()
        image.save(buffer, format="png", dpi=(DOTS_PER_INCH, DOTS_PER_INCH))
        return buffer.getvalue()

    def _shown(self, place: Point) -> Point:
        """A place as a dot of the picture as shown, from its upper left corner."""
        x = self._centre[0] + self._scale * (place[0] - self._middle[0])
        return x, self._centre[1] - self._scale * (place[1] - self._middle[1])

    def _fine(self, place: Point) -> Point:
        x, y = self._shown(place)
        return x * FINE, y * FINE

    def _box_around(self, places: Sequence[Point]) -> tuple[int, int, int, int]:
        """The dots around a shape, a little more on each side, as far as the picture goes."""
        width, height = self._image.size
        across, down = [x for x, _ in places], [y for _, y in places]
        return (
            max(0, int(min(across)) - 2),
            max(0, int(min(down)) - 2),
            min(width, int(max(across)) + 3),
            min(height, int(max(down)) + 3),
        )

    def _line(self, start: Point, end: Point, width: float, *, dashed: bool = False) -> None:
        for first, last in _dashes(start, end) if dashed else [(start, end)]:
            self._pen.line((first, last), fill=BLACK, width=_line_dots(width))


def _fine_dots(points: float) -> float:
    return points * DOTS_PER_INCH * FINE / POINTS_PER_INCH


def _line_dots(points: float) -> int:
    return max(1, int(_fine_dots(points) + 0.5))


def _dashes(start: Point, end: Point) -> list[tuple[Point, Point]]:
    """The strokes of a dashed line."""
    length = hypot(end[0] - start[0], end[1] - start[1])
    dash, step = _fine_dots(DASH_POINTS), _fine_dots(DASH_POINTS + GAP_POINTS)

    def at(far: float) -> Point:
        share = min(far, length) / length
        return start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])

    return [
        (at(step * number), at(step * number + dash)) for number in range(int(length / step) + 1) if length
    ]


def _head(tip: Point, tail: Point) -> list[Point]:
    """The triangle at the tip of an arrow that comes from its tail."""
    length = hypot(tip[0] - tail[0], tip[1] - tail[1]) or 1.0
    along = (tip[0] - tail[0]) / length, (tip[1] - tail[1]) / length
    size = min(_fine_dots(HEAD_POINTS), length / 2)
    x, y = tip[0] - size * along[0], tip[1] - size * along[1]
    half = HEAD_SHARE * size
    return [tip, (x - half * along[1], y + half * along[0]), (x + half * along[1], y - half * along[0])]


@cache
def _hatching(hatch: str, side: int) -> "Image.Image":
    """A square ground of slanted lines or of dots."""
    from PIL import Image, ImageDraw

    size = side, side
    ground = Image.new("L", size, WHITE)
    pen = ImageDraw.Draw(ground)
    step = int(_fine_dots(HATCH_POINTS))
    if hatch == SLANTED:
        for left in range(-size[1], size[0], step):
            pen.line((left, size[1], left + size[1], 0), fill=BLACK, width=_line_dots(0.6))
    else:
        _dot(pen, size, step)
    return ground


def _dot(pen: "ImageDraw.ImageDraw", size: tuple[int, int], step: int) -> None:
    half = _fine_dots(0.6)
    for row, y in enumerate(range(step // 2, size[1], step)):
        for x in range(step // 2 + (row % 2) * step // 2, size[0], step):
            pen.ellipse((x - half, y - half, x + half, y + half), fill=BLACK)


def _write(image: "Image.Image", words: _Words) -> None:
    """Words on the picture as shown; a white ground below them and a turn where asked for."""
    from PIL import Image, ImageDraw

    letters = font(words.points)
    pen = ImageDraw.Draw(image)
    if not words.is_boxed:
        pen.text(words.place, words.text, fill=BLACK, font=letters, anchor="mm", align="center")
        return
    left, top, right, bottom = pen.multiline_textbbox((0, 0), words.text, font=letters, align="center")
    label = Image.new("L", (int(right - left) + 4, int(bottom - top) + 4), WHITE)
    middle = label.width / 2, label.height / 2
    ImageDraw.Draw(label).text(middle, words.text, fill=BLACK, font=letters, anchor="mm", align="center")
    if words.turn:
        label = label.transpose(Image.Transpose.ROTATE_90)
    image.paste(label, (int(words.place[0] - label.width / 2), int(words.place[1] - label.height / 2)))
