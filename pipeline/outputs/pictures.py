"""Pictures as PNG bytes, the same each time: matplotlib's Figure alone, no global state, black on white."""

from functools import cache
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from matplotlib.figure import Figure
    from PIL.ImageFont import FreeTypeFont

DOTS_PER_INCH = 110
POINTS_PER_INCH = 72
FONT_POINTS = 8.0
HATCHES = ("", "////", "....", "xxxx", "\\\\\\\\", "++++", "oo", "--")
GREYS = ("1.0", "0.75", "0.9", "0.6", "0.85", "0.95", "0.8", "1.0")


def blank_figure(width_inches: float, height_inches: float) -> "Figure":
    """An empty figure of this size."""
    from matplotlib.figure import Figure  # slow to import: only when something is drawn

    return Figure(figsize=(width_inches, height_inches), dpi=DOTS_PER_INCH)


def png_bytes(figure: "Figure") -> bytes:
    """The figure as a grey PNG. Nothing of the machine or the day goes in, so the bytes repeat."""
    import numpy as np
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from PIL import Image

    canvas = FigureCanvasAgg(figure)
    canvas.draw()  # type: ignore[no-untyped-call]
    buffer = BytesIO()
    image = Image.fromarray(np.asarray(canvas.buffer_rgba())).convert("L")  # type: ignore[no-untyped-call]
    image.save(buffer, format="png", dpi=(DOTS_PER_INCH, DOTS_PER_INCH))
    return buffer.getvalue()


@cache
def font(points: float) -> "FreeTypeFont":
    """The letters that matplotlib brings along, at this size."""
    from matplotlib import get_data_path
    from PIL import ImageFont

    path = Path(get_data_path()) / "fonts" / "ttf" / "DejaVuSans.ttf"
    return ImageFont.truetype(str(path), points * DOTS_PER_INCH / POINTS_PER_INCH)


def png_inches(png: bytes) -> tuple[float, float]:
    """Width and height at which a picture of ours is printed."""
    from PIL import Image

    width, height = Image.open(BytesIO(png)).size
    return width / DOTS_PER_INCH, height / DOTS_PER_INCH
