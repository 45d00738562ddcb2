"""Where the words of a picture are: each in the first of its places that no other word takes and few lines cross.

A word never covers another one. Where none of its places is free it stands in the nearest free spot, tied to its thing
by a thin line; where there is no free spot at all it is left out, and is in the words below the picture only.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal

Anchor = Literal["start", "middle", "end"]
Spot = tuple[float, float, Anchor]
"""Where a word may stand: x, base line y, and which end of the word x is."""

SIZE: Final = 13.0
"""Height of the letters of labels, pixels."""
RISE: Final = 0.95
DROP: Final = 0.27
"""How far letters reach above and below their base line, in parts of their height."""
MESH: Final = 4
"""Width of the squares in which lines are looked up, pixels."""

_WIDTHS: Final = {
    **dict.fromkeys("il'|j", 0.29), **dict.fromkeys("ftI.,:;!()[]/ ", 0.42), "r": 0.43, "-": 0.38, "s": 0.54,
    **dict.fromkeys("mM%", 0.98), "w": 0.83, "W": 1.0, **dict.fromkeys("ABCDEGHKLNOPQRSTUVXYZ&@#~<>=+", 0.84),
}  # fmt: skip
"""Widths in parts of the height, on the wide side: of common letters without serifs, from memory."""


@lru_cache(4096)
def width(text: str, size: float = SIZE) -> float:
    """Return how wide a text is at most, pixels.

    >>> width("ii", 10) < width("mm", 10)
    True
    """
    return sum(_WIDTHS.get(char, 0.65 if char.isascii() else 1.05) for char in text) * size


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle, pixels; y grows downwards."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Box) -> bool:
        """Return whether two rectangles have a point in common."""
        return (
            self.left < other.right and other.left < self.right and self.top < other.bottom and other.top < self.bottom
        )

    def within(self, room: Box) -> bool:
        """Return whether it lies inside another one."""
        return (
            self.left >= room.left and self.right <= room.right and self.top >= room.top and self.bottom <= room.bottom
        )


def box_of(text: str, spot: Spot, size: float = SIZE) -> Box:
    """Return what a text covers."""
    x, y, anchor = spot
    wide = width(text, size)
    left = x - {"start": 0.0, "middle": wide / 2, "end": wide}[anchor]
    return Box(left, y - RISE * size, left + wide, y + DROP * size)


@dataclass(frozen=True, slots=True)
class Label:
    """A word with its places, the best one first."""

    text: str
    spots: tuple[Spot, ...]


@dataclass(frozen=True, slots=True)
class Placed:
    """A word where it stands; `tie` is the point of its thing where it had to go away from it."""

    text: str
    box: Box
    tie: tuple[float, float] | None = None

    @property
    def base(self) -> float:
        """Its base line."""
        return self.box.bottom - DROP * SIZE


def mesh(strokes: Iterable[Sequence[tuple[float, float]]]) -> set[tuple[int, int]]:
    """Return the squares through which lines go."""
    squares = set()
    for points in strokes:
        for (x, y), (to_x, to_y) in itertools.pairwise(points):
            steps = int(max(abs(to_x - x), abs(to_y - y)) / MESH) + 1
            for step in range(steps + 1):
                part = step / steps
                squares.add((int((x + (to_x - x) * part) // MESH), int((y + (to_y - y) * part) // MESH)))
    return squares


def place(
    labels: Sequence[Label], room: Box, taken: Iterable[Box] = (), strokes: Iterable[Sequence[tuple[float, float]]] = ()
) -> list[Placed]:
    """Return the words that find room, none over another one, each away from lines where it can be.

    Args:
        labels: those that come first choose first.
        room: what they have to stay inside.
        taken: what else they may not cover.
        strokes: lines, as points, that they should not cover.
    """
    squares = mesh(strokes)
    boxes = list(taken)
    placed = []
    for label in labels:
        found = _best(label, room, boxes, squares) or _anywhere(label, room, boxes, squares)
        if found is not None:
            boxes.append(found.box)
            placed.append(found)
    return placed


def _crossed(box: Box, squares: set[tuple[int, int]]) -> int:
    return sum(
        (column, row) in squares
        for column in range(int(box.left // MESH), int(box.right // MESH) + 1)
        for row in range(int((box.top + 2) // MESH), int((box.bottom - 1) // MESH) + 1)
    )


def _best(label: Label, room: Box, boxes: Sequence[Box], squares: set[tuple[int, int]]) -> Placed | None:
    best: tuple[float, Box] | None = None
    for rank, spot in enumerate(label.spots):
        box = box_of(label.text, spot)
        if not box.within(room) or any(box.meets(one) for one in boxes):
            continue
        cost = rank + 3 * _crossed(box, squares)
        if best is None or cost < best[0]:
            best = cost, box
        if cost == rank:  # no later place is better
            break
    return None if best is None else Placed(label.text, best[1])


def _anywhere(label: Label, room: Box, boxes: Sequence[Box], squares: set[tuple[int, int]]) -> Placed | None:
    x, y, _ = label.spots[0]
    near = sorted(_grid(label.text, room), key=lambda box: (box.left - x) ** 2 + 4 * (box.bottom - y) ** 2)
    free = [box for box in near if not any(box.meets(one) for one in boxes)][:60]
    if not free:
        return None
    box = min(free, key=lambda one: _crossed(one, squares))  # of equal ones the nearest
    return Placed(label.text, box, (x, y))


def _grid(text: str, room: Box) -> Iterator[Box]:
    wide, high = width(text), (RISE + DROP) * SIZE
    top = room.top
    while top + high <= room.bottom:
        left = room.left
        while left + wide <= room.right:
            yield Box(left, top, left + wide, top + high)
            left += 3 * MESH
        top += 2 * MESH


def spread(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Return positions at least a gap apart and within two ends, near those that are wanted; the order is kept.

    Where there is not room for all, the gap is made smaller.

    >>> spread([10, 12, 40], 5, 0, 100)
    [8.5, 13.5, 40.0]
    """
    order = sorted(range(len(wanted)), key=lambda index: wanted[index])
    gap = min(gap, (high - low) / max(len(wanted) - 1, 1))
    groups: list[tuple[float, int]] = []  # middle, count
    for index in order:
        middle, count = float(wanted[index]), 1
        while True:
            half = gap * (count - 1) / 2
            middle = min(max(middle, low + half), high - half)
            if not groups:
                break
            before, others = groups[-1]
            if middle - half - (before + gap * (others - 1) / 2) >= gap - 1e-9:
                break
            groups.pop()
            middle = (middle * count + before * others) / (count + others)
            count += others
        groups.append((middle, count))
    at = [middle - gap * (count - 1) / 2 + gap * step for middle, count in groups for step in range(count)]
    placed = [0.0] * len(wanted)
    for index, where in zip(order, at, strict=True):
        placed[index] = where
    return placed
