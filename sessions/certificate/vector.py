"""Draws a matplotlib figure on a reportlab canvas as lines and text, so that it stays sharp and its text searchable."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.backend_bases import FigureCanvasBase, GraphicsContextBase, RendererBase
from matplotlib.colors import to_rgba
from matplotlib.path import Path
from reportlab.pdfbase import pdfmetrics

if TYPE_CHECKING:
    from matplotlib.figure import Figure
    from matplotlib.font_manager import FontProperties
    from matplotlib.text import Text
    from matplotlib.transforms import Transform
    from reportlab.pdfgen.canvas import Canvas

_CAPS = {"butt": 0, "round": 1, "projecting": 2}
_JOINS = {"miter": 0, "round": 1, "bevel": 2}


def draw(figure: Figure, canvas: Canvas, font: str) -> None:
    """Draw a figure with its lower left corner at the origin of the canvas.

    Parameters
    ----------
    figure : Figure
        At 72 dots per inch, so that a dot is a point of the page.
    canvas : Canvas
        Of the page.
    font : str
        Name of the registered font for all text.
    """
    FigureCanvasBase(figure)
    width, height = figure.get_size_inches() * 72
    figure.draw(_Renderer(canvas, float(width), float(height), font))


class _Renderer(RendererBase):
    """The part of a matplotlib backend that paths and plain text need."""

    def __init__(self, canvas: Canvas, width: float, height: float, font: str) -> None:
        super().__init__()
        self._canvas = canvas
        self._size = width, height
        self._font = font

    def draw_path(
        self,
        gc: GraphicsContextBase,
        path: Path,
        transform: Transform,
        rgbFace: Any = None,
    ) -> None:
        """Draw a path, its line and its inside."""
        canvas = self._canvas
        canvas.saveState()
        self._clip(gc)
        drawn = canvas.beginPath()
        now = (0.0, 0.0)
        for points, code in path.iter_segments(transform, curves=True, simplify=False):
            now = _add(drawn, int(code), [float(value) for value in points], now)
        stroke = gc.get_linewidth() > 0 and gc.get_rgb()[3] > 0
        if stroke:
            canvas.setStrokeColorRGB(*gc.get_rgb()[:3])
            canvas.setLineWidth(gc.get_linewidth())
            canvas.setLineCap(_CAPS[gc.get_capstyle()])
            canvas.setLineJoin(_JOINS[gc.get_joinstyle()])
            offset, dashes = gc.get_dashes()
            if dashes is not None:
                canvas.setDash(np.asarray(dashes, dtype=float).tolist(), float(offset or 0))
        red, green, blue, opaque = to_rgba("none" if rgbFace is None else rgbFace)
        fill = opaque > 0
        if fill:
            canvas.setFillColorRGB(red, green, blue)
        if stroke or fill:
            canvas.drawPath(drawn, stroke=int(stroke), fill=int(fill))
        canvas.restoreState()

    def draw_markers(
        self,
        gc: GraphicsContextBase,
        marker_path: Path,
        marker_trans: Transform,
        path: Path,
        trans: Transform,
        rgbFace: Any = None,
    ) -> None:
        """Draw dots as lines of no length with round ends, a hundred times shorter than circles; others one by one."""
        curved = bool(np.any(np.asarray(marker_path.codes) == Path.CURVE4))
        if rgbFace is None or not curved:
            super().draw_markers(gc, marker_path, marker_trans, path, trans, rgbFace)
            return
        canvas = self._canvas
        canvas.saveState()
        self._clip(gc)
        canvas.setStrokeColorRGB(*to_rgba(rgbFace)[:3])
        canvas.setLineWidth(float(np.ptp(marker_trans.transform(marker_path.vertices)[:, 0])))
        canvas.setLineCap(_CAPS["round"])
        dots = canvas.beginPath()
        for x, y in trans.transform(path.vertices).round(2).tolist():
            dots.moveTo(x, y)
            dots.lineTo(x, y)
        canvas.drawPath(dots, stroke=1, fill=0)
        canvas.restoreState()

    def draw_text(
        self,
        gc: GraphicsContextBase,
        x: float,
        y: float,
        s: str,
        prop: FontProperties,
        angle: float,
        ismath: bool | str = False,  # noqa: ARG002 - the figures hold plain text only
        mtext: Text | None = None,  # noqa: ARG002
    ) -> None:
        """Draw a line of text from its lower left corner."""
        canvas = self._canvas
        canvas.saveState()
        canvas.setFillColorRGB(*gc.get_rgb()[:3])
        canvas.translate(x, y)
        canvas.rotate(angle)
        canvas.setFont(self._font, prop.get_size_in_points())
        canvas.drawString(0, 0, s)
        canvas.restoreState()

    def get_text_width_height_descent(
        self, s: str, prop: FontProperties, ismath: bool | str
    ) -> tuple[float, float, float]:
        """Return how much room a text takes, in points."""
        del ismath
        size = prop.get_size_in_points()
        width = pdfmetrics.stringWidth(s, self._font, size)
        return width, 0.9 * size, 0.22 * size

    def get_canvas_width_height(self) -> tuple[float, float]:
        """Return the size of the figure in points."""
        return self._size

    def flipy(self) -> bool:
        """Return that the vertical axis points up."""
        return False

    def points_to_pixels(self, points: Any) -> Any:
        """Return points: the page is measured in them."""
        return points

    def _clip(self, gc: GraphicsContextBase) -> None:
        box = gc.get_clip_rectangle()
        if box is not None:
            clip = self._canvas.beginPath()
            clip.rect(*(float(value) for value in box.bounds))
            self._canvas.clipPath(clip, stroke=0, fill=0)


def _add(drawn: Any, code: int, points: list[float], now: tuple[float, float]) -> tuple[float, float]:
    """Add a segment to a path and return where it ends."""
    if code == Path.MOVETO:
        drawn.moveTo(*points)
    elif code == Path.LINETO:
        drawn.lineTo(*points)
    elif code == Path.CURVE3:
        (x0, y0), (x1, y1, x2, y2) = now, points
        # A quadratic curve as a cubic one.
        drawn.curveTo(
            x0 + 2 / 3 * (x1 - x0),
            y0 + 2 / 3 * (y1 - y0),
            x2 + 2 / 3 * (x1 - x2),
            y2 + 2 / 3 * (y1 - y2),
            x2,
            y2,
        )
    elif code == Path.CURVE4:
        drawn.curveTo(*points)
    elif code == Path.CLOSEPOLY:
        drawn.close()
        return now
    return points[-2], points[-1]
