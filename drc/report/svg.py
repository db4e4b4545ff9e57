"""Scalable drawings as text: a sheet of shapes with a title and a description for those who cannot see it.

Own few lines: what a library adds (transforms, animation, raster output) is not needed, and each shape here
carries a class, so that the page's style sheet alone decides how it looks in light, dark and print.
"""

import math
from collections.abc import Sequence
from html import escape

from drc.report.text import harmless

Point = tuple[float, float]

CHAR = 6.7
"""Width of a character of the drawings' fixed-pitch 11 px type, px."""


class Sheet:
    """Shapes in the order drawn, and the box around them, px; x to the right, y down."""

    def __init__(self) -> None:
        self.shapes: list[str] = []
        self.left = self.top = float("inf")
        self.right = self.bottom = float("-inf")

    def reach(self, *points: Point) -> None:
        """The box grows to hold the points."""
        for x, y in points:
            self.left, self.right = min(self.left, x), max(self.right, x)
            self.top, self.bottom = min(self.top, y), max(self.bottom, y)

    def line(self, *points: Point, kind: str = "wire") -> None:
        """A line through the points."""
        self.reach(*points)
        path = " ".join(f"{number(x)},{number(y)}" for x, y in points)
        self.shapes.append(f'<polyline class="{kind}" points="{path}"/>')

    def area(self, *points: Point, kind: str) -> None:
        """A closed shape."""
        self.reach(*points)
        path = " ".join(f"{number(x)},{number(y)}" for x, y in points)
        self.shapes.append(f'<polygon class="{kind}" points="{path}"/>')

    def box(self, x: float, y: float, width: float, height: float, kind: str, *, tip: str = "") -> None:
        """A rectangle; `tip` is shown by a pointer that rests on it."""
        self.reach((x, y), (x + width, y + height))
        at = f'x="{number(x)}" y="{number(y)}" width="{number(width)}" height="{number(height)}"'
        inner = f"><title>{clean(tip)}</title></rect>" if tip else "/>"
        self.shapes.append(f'<rect class="{kind}" {at}{inner}')

    def dot(self, x: float, y: float, radius: float = 2.6, kind: str = "joint") -> None:
        """A joint of wires."""
        self.reach((x - radius, y - radius), (x + radius, y + radius))
        self.shapes.append(f'<circle class="{kind}" cx="{number(x)}" cy="{number(y)}" r="{number(radius)}"/>')

    def text(  # noqa: PLR0917 (in the order one thinks of them)
        self, x: float, y: float, text: str, at: str = "start", kind: str = "", most: int = 0
    ) -> None:
        """A line of text that starts, is centred or ends at x; cut to `most` characters if given."""
        text = harmless(text)
        shown = text if not most or len(text) <= most else text[: most - 1] + "\N{HORIZONTAL ELLIPSIS}"
        wide = len(shown) * CHAR
        left = {"start": x, "middle": x - wide / 2, "end": x - wide}[at]
        self.reach((left, y - 10), (left + wide, y + 3))
        tip = "" if shown == text else f"<title>{escape(text)}</title>"
        role = f' class="{kind}"' if kind else ""
        anchor = "" if at == "start" else f' text-anchor="{at}"'
        self.shapes.append(f'<text{role} x="{number(x)}" y="{number(y)}"{anchor}>{tip}{escape(shown)}</text>')

    def add(self, other: "Sheet", dx: float, dy: float) -> None:
        """Another sheet's shapes, moved."""
        if other.shapes:
            self.reach((other.left + dx, other.top + dy), (other.right + dx, other.bottom + dy))
            inner = "".join(other.shapes)
            self.shapes.append(f'<g transform="translate({number(dx)} {number(dy)})">{inner}</g>')

    def drawing(self, name: str, title: str, description: str, margin: float = 8.0) -> str:
        """The whole drawing. `name` must be unique in the page; title and description are read out."""
        if not self.shapes:
            return ""
        left, top = self.left - margin, self.top - margin
        width, height = self.right - left + margin, self.bottom - top + margin
        view = f"{number(left)} {number(top)} {number(width)} {number(height)}"
        head = (
            f'<svg role="img" aria-labelledby="{name}-t {name}-d" viewBox="{view}" '
            f'width="{number(width)}" height="{number(height)}">'
            f'<title id="{name}-t">{clean(title)}</title><desc id="{name}-d">{clean(description)}</desc>'
        )
        return f"{head}{''.join(self.shapes)}</svg>"


def number(value: float) -> str:
    """A coordinate to a tenth of a pixel."""
    return f"{value:.1f}".removesuffix(".0").replace("-0.0", "0")


def clean(text: str) -> str:
    """Text that can do nothing in a page."""
    return escape(harmless(text))


def ticks(low: float, high: float, wanted: int = 5) -> Sequence[float]:
    """Round numbers from low to high, about so many."""
    if not low < high:
        return (low,)
    rough = (high - low) / wanted
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(s * power for s in (1, 2, 5, 10) if s * power >= rough * 0.999)
    first = -(-low // step)
    return tuple(round((first + k) * step, 12) for k in range(int((high - first * step) / step + 1e-9) + 1))
