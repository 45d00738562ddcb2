"""A rule that lacks something is tried on plants that have what it lacks: at the usual values and beside them.

A name with a usual value is assumed at it, and each such name by itself at its other plausible values. A name without
one, since it endangers people or nobody can say, is tried at all its values: the rule branches there, and what it finds
at some of them only is a question.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from settingslint.checking.guesses import Guess, Lacks, asked_for, guess
from settingslint.checking.look import Outcome, run
from settingslint.model.bounds import NOT_PLAUSIBLE
from settingslint.model.values import Value
from settingslint.rules.base import Draft, Severity
from settingslint.rules.past import HISTORY
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule
from settingslint.vocabulary.plausible import Rows
from settingslint.vocabulary.settings import SETTINGS

MOST_BRANCHES: Final = 16
"""With more, nothing is said: a rule that lacks so much is not checked."""
MOST_NAMES: Final = 12
"""So many names are assumed for one rule at most."""

SITE: Final = "plant.site"

Positions = Mapping[str, int]
"""For each assumed name which of its plausible values is meant; 0 is the usual one, where there is one."""


@dataclass(frozen=True, slots=True)
class Case:
    """A plant with assumptions: which, and their values, SI; `touched` are those that matter to what was asked."""

    plant: Plant
    values: Mapping[str, Value]
    touched: frozenset[str] = frozenset()


@dataclass(slots=True)
class _Leaf:
    """One way that what has no usual value can be, and what a rule says there with all else as usual."""

    asked: Positions
    positions: Positions
    case: Case
    looked: Outcome


@dataclass(frozen=True, slots=True)
class Tripped:
    """What a rule found on plants that have what this one lacks.

    `asks` are the names whose answer decides, with the values at which it trips; then it is a question. `assumed` are
    those whose usual value it needs, `whatever` those at whose every plausible value it trips.
    """

    draft: Draft
    outcome: Outcome
    plant: Plant
    asks: Mapping[str, tuple[Value, ...]] = field(default_factory=dict)
    assumed: Mapping[str, Value] = field(default_factory=dict)
    whatever: Mapping[str, tuple[Value, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Verdict:
    """What trying a rule came to: what tripped, and all names that were assumed; `applies` anywhere."""

    tripped: tuple[Tripped, ...]
    assumed: tuple[str, ...]
    applies: bool


class Trials:
    """Trial plants of one plant, shared by its rules."""

    def __init__(self, plant: Plant, own: Rows) -> None:
        self.plant = plant
        self.own = own
        self._cases: dict[frozenset[tuple[str, int]], Case | None] = {}
        self._usual: dict[str, int] = {}
        """What has a usual value and was lacked by any rule so far: assumed for all, so that they share plants."""

    # plants -----------------------------------------------------------------------------------------------------------

    def _guess(self, name: str, positions: Positions) -> Guess | Lacks | None:
        return guess(name, self.plant, lambda other: self._value(other, positions, (name,)), self.own)

    def _value(self, name: str, positions: Positions, above: tuple[str, ...] = ()) -> Value | None:
        """Return what is recorded, or the value that is meant of what is assumed; None where nobody knows."""
        known = self._known(name)
        if known is not None or name not in positions or name in above:
            return known
        made = guess(name, self.plant, lambda other: self._value(other, positions, (*above, name)), self.own)
        if not isinstance(made, Guess):
            return None
        return made.values[min(positions[name], len(made.values) - 1)]

    def _known(self, name: str) -> Value | None:
        """Return what is recorded, of a setting whose effect is not known what was typed; None where nobody knows."""
        if name == SITE:
            return self.plant.profile.site
        known = self.plant.recorded(name)
        return self.plant.typed(name) if known is None and name in SETTINGS else known

    def _case(self, positions: Positions) -> Case | None:
        """Return the plant with assumptions at these positions; None where one of them can't be made."""
        key = frozenset(positions.items())
        if key not in self._cases:
            values = {name: self._value(name, positions) for name in positions}
            known = {name: value for name, value in values.items() if value is not None}
            self._cases[key] = None if len(known) < len(values) else Case(self.plant.instead(known), known)
        return self._cases[key]

    def cases(self, rule: Rule, first: Outcome) -> list[Case]:
        """Return the plants on which a rule lacks nothing: all as usual, then one thing each otherwise.

        None where it lacks what nobody can assume, or what is asked and never assumed.
        """
        leaves: list[_Leaf] = []
        if not self._explore(rule, {}, {}, first, self.plant, leaves) or len(leaves) != 1:
            return []
        leaf = leaves[0]
        made = [Case(leaf.case.plant, leaf.case.values, frozenset(self._assumed(leaf)))]
        for (name, place), looked in self._beside(rule, leaf):
            case = self._case({**leaf.positions, name: place})
            if case is not None and not looked.missing:
                made.append(Case(case.plant, case.values, frozenset((name,))))
        return made

    # one rule ---------------------------------------------------------------------------------------------------------

    def of(self, rule: Rule, first: Outcome) -> Verdict | None:
        """Return what trying a rule comes to, or None where it lacks what nobody can assume."""
        leaves: list[_Leaf] = []
        if not self._explore(rule, {}, {}, first, self.plant, leaves):
            return None
        places = dict.fromkeys(draft.at for leaf in leaves for draft in leaf.looked.drafts)
        names = dict.fromkeys(name for leaf in leaves for name in self._assumed(leaf))
        beside = {id(leaf): dict(self._beside(rule, leaf)) for leaf in leaves}
        for singles in beside.values():
            for looked in singles.values():
                places.update(dict.fromkeys(draft.at for draft in looked.drafts))
        had = {draft.at for draft in first.drafts}
        tripped = [one for at in places if at not in had for one in self._at(rule, at, leaves, beside)]
        return Verdict(tuple(tripped), tuple(names), any(leaf.looked.applies for leaf in leaves))

    def _explore(
        self, rule: Rule, asked: Positions, positions: Positions, looked: Outcome, plant: Plant, leaves: list[_Leaf]
    ) -> bool:
        """Assume what a rule lacks until it lacks nothing, branching at what has no usual value; fill the leaves."""
        for _ in range(MOST_NAMES):
            if not looked.missing:
                case = self._case(positions) if positions else Case(plant, {})
                assert case is not None
                leaves.append(_Leaf(asked, positions, case, looked))
                return True
            branch = ""
            added: dict[str, int] = {}
            for lack in looked.missing:
                if lack.kind == NOT_PLAUSIBLE or lack.name == HISTORY:
                    return False
                name, made = self._first(asked_for(lack.name, plant), {**positions, **added})
                if not isinstance(made, Guess) or name in positions:
                    return False
                if made.usual is None:
                    branch = branch or name
                else:
                    added[name] = 0
            if branch:
                made = self._guess(branch, positions)
                assert isinstance(made, Guess)
                if len(leaves) + len(made.values) > MOST_BRANCHES:
                    return False
                for place in range(len(made.values)):
                    further = {**self._usual, **positions, branch: place}
                    case = self._case(further)
                    if case is None:
                        return False
                    again = run(rule, case.plant)
                    if not self._explore(rule, {**asked, branch: place}, further, again, case.plant, leaves):
                        return False
                return True
            if not asked:
                self._usual.update(added)
            positions = {**self._usual, **positions, **added}
            case = self._case(positions)
            if case is None:
                return False
            plant = case.plant
            looked = run(rule, plant)
        return False

    def _first(self, name: str, positions: Positions) -> tuple[str, Guess | Lacks | None]:
        """Return what is to be assumed first for a name to be known, and its plausible values."""
        for _ in range(MOST_NAMES):
            made = self._guess(name, positions)
            if not isinstance(made, Lacks):
                return name, made
            name = asked_for(made.name, self.plant)
        return name, None

    def _assumed(self, leaf: _Leaf) -> Iterator[str]:
        """Yield what a rule asked for of what is assumed at a leaf."""
        return (name for name in leaf.positions if name in leaf.looked.touched)

    def _beside(self, rule: Rule, leaf: _Leaf) -> Iterator[tuple[tuple[str, int], Outcome]]:
        """Yield what a rule says where one assumption has another of its plausible values."""
        for name in [*self._assumed(leaf)]:
            if name in leaf.asked:
                continue
            made = self._guess(name, leaf.positions)
            assert isinstance(made, Guess)
            for place in range(1, len(made.values)):
                case = self._case({**leaf.positions, name: place})
                if case is not None:
                    yield (name, place), run(rule, case.plant)

    def _at(
        self,
        rule: Rule,
        at: str,
        leaves: Sequence[_Leaf],
        beside: Mapping[int, Mapping[tuple[str, int], Outcome]],
    ) -> Iterator[Tripped]:
        """Yield what a rule found about one setting or fact, over all leaves."""
        tripped = [leaf for leaf in leaves if _draft(leaf.looked, at)]
        if not tripped:
            yield from self._beside_only(rule, at, leaves, beside)
            return
        leaf = tripped[0]
        if len(tripped) < len(leaves):
            asks: dict[str, tuple[Value, ...]] = {}
            for name in leaf.asked:
                at_name = tuple(dict.fromkeys(one.case.values[name] for one in tripped if name in one.asked))
                others = [one for one in leaves if name in one.asked and one.case.values[name] not in at_name]
                if others:
                    asks[name] = at_name
            draft = _draft(leaf.looked, at)
            assert draft is not None
            yield Tripped(
                draft, leaf.looked, leaf.case.plant, asks or {name: (leaf.case.values[name],) for name in leaf.asked}
            )
            return
        assumed: dict[str, Value] = {}
        whatever: dict[str, list[Value]] = {}
        cases = []
        for one in leaves:
            cases.append((one.looked, one.case.plant))
            for name in one.asked:
                whatever.setdefault(name, []).append(one.case.values[name])
            for (name, place), looked in beside[id(one)].items():
                usual = one.case.values[name]
                case = self._case({**one.positions, name: place})
                if _draft(looked, at) is None:
                    assumed[name] = usual
                elif case is not None:
                    cases.append((looked, case.plant))
                    whatever.setdefault(name, [usual]).append(case.values[name])
        mildest = [(draft, *case) for case in cases if (draft := _draft(case[0], at)) is not None]
        if not assumed:
            mildest.sort(key=lambda one: (-(one[0].severity or rule.severity).rank, _gap(one[0])))
        for name in assumed:
            whatever.pop(name, None)
        every = {name: tuple(dict.fromkeys(values)) for name, values in whatever.items()}
        yield Tripped(*mildest[0], {}, assumed, every)

    def _beside_only(
        self,
        rule: Rule,
        at: str,
        leaves: Sequence[_Leaf],
        beside: Mapping[int, Mapping[tuple[str, int], Outcome]],
    ) -> Iterator[Tripped]:
        """Yield a question where a rule trips at a plausible value that is not the usual one, and harms."""
        asks: dict[str, list[Value]] = {}
        found: tuple[Draft, Outcome, Plant] | None = None
        for leaf in leaves:
            for (name, place), looked in beside[id(leaf)].items():
                draft = _draft(looked, at)
                if draft is None or not (draft.severity or rule.severity).at_least(Severity.OUTAGE):
                    continue
                case = self._case({**leaf.positions, name: place})
                assert case is not None
                found = found or (draft, looked, case.plant)
                asks.setdefault(name, []).append(case.values[name])
        if found is not None:
            yield Tripped(*found, {name: tuple(dict.fromkeys(values)) for name, values in asks.items()})


def _draft(looked: Outcome, at: str) -> Draft | None:
    return next((draft for draft in looked.drafts if draft.at == at), None)


def _gap(draft: Draft) -> float:
    """Return how far a proof is from its bound: between the first two of its numbers that are of one kind."""
    numbers = list(draft.numbers.values())
    for index, one in enumerate(numbers):
        for other in numbers[index + 1 :]:
            if one.kind is other.kind:
                return abs(one.value - other.value)
    return abs(numbers[0].value) if numbers else 0.0
