"""What was asked of a plant: the names, the owner's numbers, and what was made of them once for several rules."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any, TypeVar, cast

P = TypeVar("P")
T = TypeVar("T")


@dataclass(slots=True)
class Asked:
    """Names that were asked for since `anew`, and results that are kept with the names that they rest on."""

    names: set[str] = field(default_factory=set)
    numbers: set[str] = field(default_factory=set)
    """Names of the owner's numbers."""
    doubted: set[str] = field(default_factory=set)
    """Those of the names of which what is recorded is not plausible."""
    by_rule: bool = False
    """Whether it is a rule that asks."""
    made: dict[Callable[..., Any], tuple[object, frozenset[str], frozenset[str]]] = field(default_factory=dict)

    def anew(self, *, by_rule: bool = False) -> None:
        """Start a new list of names; what was made is kept."""
        self.names, self.numbers, self.doubted, self.by_rule = set(), set(), set(), by_rule

    def once(self, make: Callable[[P], T], of: P) -> T:
        """Return what a function makes of a plant; it is asked once, however many rules ask.

        What the function asked for counts as asked for by each of them. What it raises is not kept.
        """
        known = self.made.get(make)
        if known is None:
            before, doubted = self.names, self.doubted
            self.names, self.doubted = set(), set()
            try:
                made = make(of)
            finally:
                names, doubts = frozenset(self.names), frozenset(self.doubted)
                self.names, self.doubted = before | names, doubted | doubts
            self.made[make] = (made, names, doubts)
            return made
        self.names |= known[1]
        self.doubted |= known[2]
        return cast(T, known[0])

    def without(self, moved: Iterable[str]) -> Asked:
        """Return a new list that keeps what was made without any of some names."""
        gone = frozenset(moved)
        return Asked(made={make: made for make, made in self.made.items() if made[1].isdisjoint(gone)})
