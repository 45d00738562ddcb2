"""Trial plants: one plant with plausible values of what nobody recorded, each made once, however many rules ask."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from settingslint.checking.guesses import Guess, Known, Lacks, guess, rests_on
from settingslint.model.values import Value
from settingslint.rules.plant import Plant
from settingslint.vocabulary.plausible import Rows
from settingslint.vocabulary.settings import SETTINGS

SITE: Final = "plant.site"
DEPTH: Final = 8
"""So deep assumptions may rest on others."""
Positions = Mapping[str, int]
"""For each assumed name which of its plausible values is meant; 0 is the usual one, where there is one."""
NONE: Final[Positions] = {}


@dataclass(frozen=True, slots=True)
class Case:
    """A plant with assumptions: which plausible values are meant, and these values, SI."""

    plant: Plant
    positions: Positions = field(default_factory=dict)
    values: Mapping[str, Value] = field(default_factory=dict)


class Cases:
    """The trial plants of one plant."""

    def __init__(self, plant: Plant, own: Rows) -> None:
        self.root = Case(plant)
        self._own = own
        self._made: dict[frozenset[tuple[str, int]], Case | None] = {frozenset(): self.root}
        self._next: dict[tuple[int, tuple[tuple[str, int], ...]], Case | None] = {}
        self._known: dict[str, Value | None] = {}
        self._rests: dict[str, frozenset[str]] = {}
        self._guesses: dict[tuple[object, ...], Guess | Lacks | None] = {}

    def known(self, name: str) -> Value | None:
        """Return what is recorded, of a setting whose effect is not known what was typed; None where nobody knows."""
        if name not in self._known:
            plant = self.root.plant
            value: Value | None = plant.profile.site if name == SITE else plant.recorded(name)
            self._known[name] = plant.typed(name) if value is None and name in SETTINGS else value
        return self._known[name]

    def guess(self, name: str, case: Case) -> Guess | Lacks | None:
        """Return what a name can plausibly be beside what is assumed in a case."""
        return self.beside(name, lambda other: case.values.get(other, self.known(other)))

    def beside(self, name: str, known: Known) -> Guess | Lacks | None:
        """Return a guess; what rests on the same values is worked out once."""
        key = (name, *[known(other) for other in self.rests_on(name)])
        if key not in self._guesses:
            self._guesses[key] = guess(name, self.root.plant, known, self._own)
        return self._guesses[key]

    def rests_on(self, name: str) -> frozenset[str]:
        """Return the names on which the plausible values of a name can depend."""
        if name not in self._rests:
            self._rests[name] = rests_on(name, self._own)
        return self._rests[name]

    def with_(self, base: Case, added: Positions) -> Case | None:
        """Return a case with further or other assumptions; what rests on them moves. None where one can't be made."""
        step = (id(base), tuple(added.items()))  # every case is held, so no other gets its id
        if step not in self._next:
            positions = {**base.positions, **added}
            key = frozenset(positions.items())
            if key not in self._made:
                self._made[key] = self._make(base, added, positions)
            self._next[step] = self._made[key]
        return self._next[step]

    def _make(self, base: Case, added: Positions, positions: Positions) -> Case | None:
        anew = set(added)
        for _ in range(DEPTH):
            more = {name for name in base.values if name not in anew and not anew.isdisjoint(self.rests_on(name))}
            if not more:
                break
            anew |= more
        made = _Making(self, base, positions, anew)
        new: dict[str, Value] = {}
        for name in anew:
            meant = made.value(name)
            if meant is None:
                return None
            if base.values.get(name) != meant or type(base.values.get(name)) is not type(meant):
                new[name] = meant
        return Case(base.plant.assuming(new) if new else base.plant, positions, {**base.values, **new})


class _Making:
    """The values of one case while it is made: what rests on others asks for them first."""

    def __init__(self, cases: Cases, base: Case, positions: Positions, anew: set[str]) -> None:
        self.cases = cases
        self.base = base
        self.positions = positions
        self.anew = anew
        self.fresh: dict[str, Value | None] = {}

    def value(self, name: str, depth: int = 0) -> Value | None:
        """Return the value that is meant of a name, or what is known; None where there is none."""
        if name not in self.positions:
            return self.cases.known(name)
        if name not in self.anew:
            return self.base.values[name]
        if name not in self.fresh:
            self.fresh[name] = None  # what rests on itself is not known
            if depth < DEPTH:
                made = self.cases.beside(name, lambda other: self.value(other, depth + 1))
                if isinstance(made, Guess):
                    self.fresh[name] = made.values[min(self.positions[name], len(made.values) - 1)]
        return self.fresh[name]
