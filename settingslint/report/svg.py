"""A few lines of SVG: axes, lines, labels. Every text is escaped; every picture has both unit systems on its axes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from html import escape
from typing import Final

from settingslint.units import Kind, System, from_si, to_si, unit_name

WIDTH: Final = 640
HEIGHT: Final = 340
LEFT, RIGHT, TOP, BOTTOM = 58, 58, 26, 46


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing with one sentence of finding as caption, and the same facts as words."""

    name: str
    title: str
    svg: str
    caption: str
    facts: tuple[tuple[str, str], ...]


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
    labels: list[tuple[float, float, str, str]] = field(default_factory=list)

    def across(self, value: float) -> float:
        """Return the pixel of an x value."""
        return LEFT + (value - self.x[0]) / (self.x[1] - self.x[0]) * (WIDTH - LEFT - RIGHT)

    def up(self, value: float) -> float:
        """Return the pixel of a y value."""
        return HEIGHT - BOTTOM - (value - self.y[0]) / (self.y[1] - self.y[0]) * (HEIGHT - TOP - BOTTOM)

    def line(self, points: Iterable[tuple[float, float]], look: str, label: str = "") -> None:
        """Draw a line through SI points; its label stands beside its end."""
        inside = [(self.across(x), self.up(min(max(y, self.y[0]), self.y[1]))) for x, y in points]
        if len(inside) < 2:
            return
        text = " ".join(f"{x:.1f},{y:.1f}" for x, y in inside)
        self.parts.append(f'<polyline class="{look}" points="{text}"/>')
        if label:
            x, y = inside[len(inside) // 3]
            self.labels.append((x, y - 5, label, "middle"))

    def level(self, y: float, look: str, label: str) -> None:
        """Draw a level line over the whole width."""
        if self.y[0] <= y <= self.y[1]:
            self.line([(self.x[0], y), (self.x[1], y)], look)
            self.labels.append((WIDTH - RIGHT - 4, self.up(y) - 4, label, "end"))

    def upright(self, x: float, look: str, label: str) -> None:
        """Draw an upright line over the whole height."""
        if self.x[0] <= x <= self.x[1]:
            self.line([(x, self.y[0]), (x, self.y[1])], look)
            left = self.across(x) > WIDTH * 0.6
            self.labels.append((self.across(x) + (-5 if left else 5), TOP + 10, label, "end" if left else "start"))

    def area(self, points: Sequence[tuple[float, float]], look: str) -> None:
        """Fill the polygon through SI points."""
        text = " ".join(f"{self.across(x):.1f},{self.up(min(max(y, self.y[0]), self.y[1])):.1f}" for x, y in points)
        self.parts.append(f'<polygon class="{look}" points="{text}"/>')

    def _axes(self) -> list[str]:
        bottom, right = HEIGHT - BOTTOM, WIDTH - RIGHT
        parts = [f'<path class="axis" d="M{LEFT} {TOP}V{bottom}H{right}V{TOP}"/>']
        across = () if self.x_kind is Kind.RATIO else ((self.system, bottom, 14), (other(self.system), bottom, 27))
        for system, y, dy in across:
            unit = unit_name(self.x_kind, system)
            low, high = (from_si(one, self.x_kind, system) for one in self.x)
            for tick in ticks(low, high):
                x = self.across(to_si(tick, self.x_kind, system))
                if system == self.system:
                    parts.append(f'<path class="tick" d="M{x:.1f} {bottom}v4"/>')
                parts.append(f'<text class="num" x="{x:.1f}" y="{y + dy}" text-anchor="middle">{_short(tick)}</text>')
            parts.append(f'<text class="num" x="{right + 14}" y="{y + dy}">{unit}</text>')
        for system, at, anchor in ((self.system, LEFT - 6, "end"), (other(self.system), right + 6, "start")):
            unit = unit_name(self.y_kind, system)
            low, high = (from_si(one, self.y_kind, system) for one in self.y)
            for tick in ticks(low, high):
                y_of = self.up(to_si(tick, self.y_kind, system)) + 4
                parts.append(f'<text class="num" x="{at}" y="{y_of:.1f}" text-anchor="{anchor}">{_short(tick)}</text>')
            parts.append(f'<text class="num" x="{at}" y="{TOP - 10}" text-anchor="{anchor}">{unit}</text>')
        parts.append(
            f'<text class="num" x="{(LEFT + right) / 2}" y="{HEIGHT - 3}" text-anchor="middle">'
            f"{escape(self.x_title)}</text>"
        )
        parts.append(f'<text class="num" x="{LEFT + 4}" y="{TOP - 10}">{escape(self.y_title)}</text>')
        return parts

    def _placed(self) -> list[str]:
        """Return the labels, moved apart where they would cover each other."""
        placed: list[tuple[float, float, float]] = []
        parts = []
        for x, y, text, anchor in sorted(self.labels, key=lambda one: one[1]):
            width = 6.2 * len(text)
            left = x - {"start": 0.0, "middle": width / 2, "end": width}[anchor]
            left = min(max(left, LEFT + 2), WIDTH - RIGHT - 2 - width)
            while any(abs(y - oy) < 12 and left < oright and oleft < left + width for oleft, oright, oy in placed):
                y += 6
            placed.append((left, left + width, y))
            parts.append(f'<text class="label" x="{left:.1f}" y="{y:.1f}">{escape(text)}</text>')
        return parts

    def picture(self, title: str, describe: str, corner: str) -> str:
        """Return the finished SVG with its text alternative."""
        body = "".join([*self._axes(), *self.parts, *self._placed()])
        return (
            f'<svg viewBox="0 0 {WIDTH} {HEIGHT}" role="img" aria-label="{escape(title + ": " + describe)}">'
            f'{body}<text class="corner" x="{WIDTH - 2}" y="{HEIGHT - 3}" text-anchor="end">{escape(corner)}</text>'
            "</svg>"
        )
