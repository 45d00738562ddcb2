"""A few lines of SVG: axes, lines, labels. Every text is escaped; every picture has both unit systems on its axes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from html import escape
from typing import Final

from settingslint.plain import plain
from settingslint.report.labels import Box, Label, Placed, Spot, box_of, place
from settingslint.units import Kind, System, from_si, to_si, unit_name

WIDTH: Final = 560
HEIGHT: Final = 360
LEFT, RIGHT, TOP, BOTTOM = 62, 58, 26, 62
NUMBER: Final = 12.0
"""Height of the numbers on the axes, pixels."""
CORNER: Final = 10.0


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing with one sentence of finding as caption, and the same facts as words; `key` says what its looks mean.

    A `wide` one may be moved sideways where the screen is narrow.
    """

    name: str
    title: str
    svg: str
    caption: str
    facts: tuple[tuple[str, str], ...]
    key: str = ""
    wide: bool = False


def other(system: System) -> System:
    """Return the other unit system."""
    return "metric" if system == "us" else "us"


def ticks(low: float, high: float, most: int = 8) -> list[float]:
    """Return round numbers between two numbers, at most about `most` of them."""
    span = max(high - low, 1e-9)
    step = next(
        base * 10.0**power
        for power in range(-3, 9)
        for base in (1, 2, 5)
        if span / (base * 10.0**power) <= most
    )  # fmt: skip
    first = -(-low // step)
    return [round((first + index) * step, 6) for index in range(most + 2) if (first + index) * step <= high + 1e-9]


def _short(number: float) -> str:
    return f"{number:,.0f}" if abs(number) >= 10 or number == int(number) else f"{number:g}"


def text(x: float, y: float, words: str, look: str, anchor: str = "start") -> str:
    """Return a text; what it says is escaped, and nothing invisible stays in it. A group may give its look."""
    said = f' class="{look}"' if look else ""
    end = "" if anchor == "start" else f' text-anchor="{anchor}"'
    return f'<text{said} x="{short(x)}" y="{short(y)}"{end}>{escape(plain(words))}</text>'


def short(pixels: float) -> str:
    """Return pixels to a tenth, without a nought that says nothing."""
    return f"{pixels:.1f}".removesuffix(".0")


def svg(width: float, height: float, said: str, body: str, corner: str = "") -> str:
    """Return a whole drawing with its text alternative, and date and commit in its corner."""
    mark = text(width - 2, height - 4, corner, "corner", "end") if corner else ""
    return f'<svg viewBox="0 0 {width:g} {height:g}" role="img" aria-label="{escape(plain(said))}">{body}{mark}</svg>'


def straightened(points: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return points, going right, without those that lie within a fifth of a pixel of a line between others.

    >>> straightened([(0, 0), (1, 1), (2, 2), (3, 0)])
    [(0, 0), (2, 2), (3, 0)]
    """
    kept = [points[0]]
    least, most = -float("inf"), float("inf")
    for index in range(1, len(points)):
        (x0, y0), (x, y) = kept[-1], points[index]
        if x <= x0 or not least <= (y - y0) / (x - x0) <= most:
            if points[index - 1] != kept[-1]:
                kept.append(points[index - 1])
            x0, y0 = kept[-1]
            least, most = -float("inf"), float("inf")
        if x > x0:
            least, most = max(least, (y - 0.2 - y0) / (x - x0)), min(most, (y + 0.2 - y0) / (x - x0))
    return [*kept, points[-1]]


@dataclass(slots=True)
class Canvas:
    """A plot: SI values on two axes, drawn in the profile's units on the near sides and in the other's on the far."""

    system: System
    x: tuple[float, float]
    y: tuple[float, float]
    x_kind: Kind
    y_kind: Kind
    x_title: str
    y_title: str
    parts: list[str] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)
    strokes: list[list[tuple[float, float]]] = field(default_factory=list)
    taken: list[Box] = field(default_factory=list)

    def across(self, value: float) -> float:
        """Return the pixel of an x value."""
        return LEFT + (value - self.x[0]) / (self.x[1] - self.x[0]) * (WIDTH - LEFT - RIGHT)

    def up(self, value: float) -> float:
        """Return the pixel of a y value."""
        return HEIGHT - BOTTOM - (value - self.y[0]) / (self.y[1] - self.y[0]) * (HEIGHT - TOP - BOTTOM)

    def line(self, points: Iterable[tuple[float, float]], look: str, label: str = "", first: float = 0.5) -> None:
        """Draw a line through SI points; its label stands beside it, best at the `first` part of its length."""
        inside = [(self.across(x), self.up(min(max(y, self.y[0]), self.y[1]))) for x, y in points]
        if len(inside) < 2:
            return
        drawn = straightened(inside)
        said = " ".join(f"{short(x)},{short(y)}" for x, y in drawn)
        self.parts.append(f'<polyline class="{look}" points="{said}"/>')
        self.strokes.append(drawn)
        if label:
            spots: list[Spot] = []
            for part in (first, 0.5, 0.35, 0.65, 0.2, 0.8, 0.08, 0.92):
                x, y = inside[int(part * (len(inside) - 1))]
                spots += [
                    (x + 3, y - 6, "start"),
                    (x - 3, y + 15, "end"),
                    (x - 3, y - 6, "end"),
                    (x + 3, y + 15, "start"),
                ]
                spots += [(x, y - 8, "middle"), (x, y + 17, "middle")]
            self.labels.append(Label(label, tuple(spots)))

    def level(self, y: float, look: str, label: str, shown: bool = True) -> None:
        """Draw a level line over the whole width, or name one that something else shows."""
        if not self.y[0] <= y <= self.y[1]:
            return
        if shown:
            self.line([(self.x[0], y), (self.x[1], y)], look)
        middle, at = (LEFT + WIDTH - RIGHT) / 2, self.up(y)
        spots: list[Spot] = []
        for base in (at - 7, at + 16):
            spots += [(WIDTH - RIGHT - 5, base, "end"), (LEFT + 5, base, "start"), (middle, base, "middle")]
        self.labels.append(Label(label, tuple(spots)))

    def upright(self, x: float, look: str, label: str) -> None:
        """Draw an upright line over the whole height."""
        if self.x[0] <= x <= self.x[1]:
            self.line([(x, self.y[0]), (x, self.y[1])], look)
            bottom, at = HEIGHT - BOTTOM, self.across(x)
            spots: list[Spot] = []
            for base in (TOP + 16, bottom - 8, bottom - 30, (TOP + bottom) / 2, TOP + 40, bottom - 60):
                spots += [(at - 6, base, "end"), (at + 6, base, "start")]
            self.labels.append(Label(label, tuple(spots)))

    def area(self, points: Sequence[tuple[float, float]], look: str, label: str = "") -> None:
        """Fill the polygon through SI points; its label stands inside."""
        at = [(self.across(x), self.up(min(max(y, self.y[0]), self.y[1]))) for x, y in points]
        said = " ".join(f"{x:.1f},{y:.1f}" for x, y in at)
        self.parts.append(f'<polygon class="{look}" points="{said}"/>')
        if label:
            left, right = min(x for x, _ in at) + 5, max(x for x, _ in at) - 5
            top, bottom = min(y for _, y in at), max(y for _, y in at)
            spots: list[Spot] = []
            for base in (bottom - 6, top + 15, (top + bottom) / 2 + 5, bottom - 26, top + 34):
                if top + 12 <= base <= bottom - 3:
                    spots += [(left, base, "start"), (right, base, "end"), ((left + right) / 2, base, "middle")]
            self.labels.append(Label(label, tuple(spots) or ((left, bottom - 6, "start"),)))

    def between(self, rows: Sequence[tuple[float, float, float]], look: str, label: str) -> None:
        """Fill what is between two lines, given as x, lower and upper SI value; its label is inside where it can be."""
        self.area([*((x, low) for x, low, _ in rows), *((x, high) for x, _, high in reversed(rows))], look)
        edges = [(self.across(x), self.up(high), self.up(low)) for x, low, high in rows]
        middle: list[Spot] = []
        inside: list[Spot] = []
        for part in (0.15, 0.25, 0.35, 0.5, 0.65, 0.8):
            x, top, bottom = edges[int(part * (len(edges) - 1))]
            for share in (0.5, 0.25, 0.35, 0.65, 0.75, 0.15, 0.85):
                spot: Spot = (x, top + (bottom - top) * share + 5, "middle")
                box = box_of(label, spot)
                within = [one for one in edges if box.left <= one[0] <= box.right]
                fits = edges[0][0] <= box.left and all(up <= box.top and box.bottom <= down for _, up, down in within)
                (inside if fits else middle).append(spot)
        self.labels.append(Label(label, tuple(inside or middle)))

    def _axes(self) -> list[str]:
        bottom, right = HEIGHT - BOTTOM, WIDTH - RIGHT
        parts = [f'<path class="axis" d="M{LEFT} {TOP}V{bottom}H{right}V{TOP}"/>']
        across = () if self.x_kind is Kind.RATIO else ((self.system, bottom + 16), (other(self.system), bottom + 31))
        for system, y in across:
            unit = unit_name(self.x_kind, system)
            low, high = (from_si(one, self.x_kind, system) for one in self.x)
            for tick in ticks(low, high):
                x = self.across(to_si(tick, self.x_kind, system))
                if system == self.system:
                    parts.append(f'<path class="tick" d="M{x:.1f} {bottom}v4"/>')
                parts.append(text(x, y, _short(tick), "num", "middle"))
            parts.append(text(right + 22, y, unit, "num"))
        for system, at, anchor in ((self.system, LEFT - 6, "end"), (other(self.system), right + 6, "start")):
            unit = unit_name(self.y_kind, system)
            low, high = (from_si(one, self.y_kind, system) for one in self.y)
            for tick in ticks(low, high):
                y_of = self.up(to_si(tick, self.y_kind, system)) + 4
                parts.append(text(at, y_of, _short(tick), "num", anchor))
            parts.append(text(at, TOP - 11, unit, "num", anchor))
        if self.x_title:
            parts.append(text((LEFT + right) / 2, bottom + 46, self.x_title, "num", "middle"))
        parts.append(text(LEFT + 6, TOP - 11, self.y_title, "num"))
        return parts

    def placed(self) -> list[Placed]:
        """Return the labels where they stand."""
        room = Box(LEFT + 2, TOP, WIDTH - RIGHT - 2, HEIGHT - BOTTOM - 1)
        return place(self.labels, room, self.taken, self.strokes)

    def write(self, x: float, y: float, words: str) -> None:
        """Write a label where nothing else may move it."""
        self.parts.append(text(x, y, words, "label"))
        self.taken.append(box_of(words, (x, y, "start")))

    def picture(self, title: str, describe: str, corner: str) -> str:
        """Return the finished SVG with its text alternative."""
        words = []
        for one in self.placed():
            if one.tie is not None:
                x = min(max(one.tie[0], one.box.left), one.box.right)
                y = one.box.top if one.tie[1] < one.box.top else one.box.bottom
                words.append(f'<path class="tie" d="M{one.tie[0]:.1f} {one.tie[1]:.1f}L{x:.1f} {y:.1f}"/>')
            words.append(text(one.box.left, one.base, one.text, "label"))
        body = "".join([*self._axes(), *self.parts, *words])
        return svg(WIDTH, HEIGHT, f"{title}: {describe}", body, corner)
