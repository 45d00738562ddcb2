"""A rule that lacks something is tried on plants that have what it lacks: at the usual values and beside them.

A name with a usual value is assumed at it, and each such name by itself at its other plausible values. A name without
one, since it endangers people or nobody can say, is tried at all its values: the rule branches there, and what it finds
at some of them only is a question. What is only waste or a matter of the record is not asked about.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from settingslint.checking.cases import Case, Cases, Positions
from settingslint.checking.guesses import Guess, Lacks, asked_for, contradicted
from settingslint.checking.look import Outcome, run
from settingslint.model.bounds import NOT_PLAUSIBLE
from settingslint.model.instead import TRIED
from settingslint.model.values import Value
from settingslint.rules.base import Draft, Missing, Severity
from settingslint.rules.past import HISTORY
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule
from settingslint.vocabulary.plausible import Rows
from settingslint.vocabulary.questions import cost_of

MOST_BRANCHES: Final = 16
"""With more, nothing is said: a rule that lacks so much is not checked."""
MOST_NAMES: Final = 12
"""So many names are assumed for one rule at most."""
WORTH_ASKING: Final = Severity.OUTAGE
"""What is less bad is not asked about."""


@dataclass(frozen=True, slots=True)
class _Leaf:
    """One way that what has no usual value can be, and what a rule says there with all else as usual."""

    asked: Positions
    case: Case
    looked: Outcome
    partly: tuple[Missing, ...] = ()
    """What it lacks there all the same."""

    @property
    def assumed(self) -> list[str]:
        """What the rule looked up of what is assumed."""
        return [name for name in self.case.positions if name in self.looked.touched]


Beside = Mapping[tuple[str, int], tuple[Case, Outcome]]
"""What a rule says where one assumption has another of its plausible values."""


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

    @property
    def rests_on_record(self) -> bool:
        """Whether it is about a setting or fact that somebody recorded."""
        return self.plant.entries.get(self.draft.at) is not None or recorded_fact(self.plant, self.draft.at)

    @property
    def question(self) -> str:
        """The name that is asked about first; the others only once that is answered. Empty where it is no question."""
        return next(iter(self.asks), "")


@dataclass(frozen=True, slots=True)
class Verdict:
    """What trying a rule came to: what tripped, and all names that were assumed; `applies` anywhere."""

    tripped: tuple[Tripped, ...]
    assumed: tuple[str, ...]
    applies: bool
    partly: tuple[Missing, ...] = ()
    """What it lacked all the same: it found something, and there may be more."""


class Trials:
    """Trial plants of one plant, shared by its rules."""

    def __init__(self, plant: Plant, own: Rows) -> None:
        self.cases = Cases(plant, own)
        self._usual: Case = self.cases.root
        """With all that has a usual value and that a rule lacked so far: assumed for all, so that they share plants."""

    def of(self, rule: Rule, first: Outcome) -> Verdict | None:
        """Return what trying a rule comes to, or None where it lacks what nobody can assume."""
        leaves = self._leaves(rule, first)
        if leaves is None or (any(leaf.partly for leaf in leaves) and not any(leaf.looked.drafts for leaf in leaves)):
            return None
        worth = rule.severity.at_least(WORTH_ASKING)
        beside = self._beside(rule, leaves[0]) if worth and len(leaves) == 1 else {}
        outcomes = [*(leaf.looked for leaf in leaves), *(looked for _, looked in beside.values())]
        had = {draft.at for draft in first.drafts}
        places = dict.fromkeys(draft.at for looked in outcomes for draft in looked.drafts if draft.at not in had)
        tripped = [
            one for at in places if (one := _tripped(rule, at, leaves, beside, self.cases.root.plant)) is not None
        ]
        names = dict.fromkeys(name for leaf in leaves for name in leaf.assumed)
        if not tripped and any(self._compares_with_itself(rule, leaf) for leaf in leaves):
            return None
        return Verdict(
            tuple(tripped),
            tuple(names),
            any(leaf.looked.applies for leaf in leaves),
            tuple(lack for leaf in leaves for lack in leaf.partly),
        )

    def _compares_with_itself(self, rule: Rule, leaf: _Leaf) -> bool:
        """Return whether a rule looked up what is assumed and also for that from which it was taken over."""
        for name in leaf.assumed:
            made = self.cases.guess(name, _without(leaf.case, name))
            if isinstance(made, Guess) and not made.rests.isdisjoint(leaf.looked.touched):
                return True
        return False

    def around(self, rule: Rule, first: Outcome) -> list[tuple[Case, frozenset[str]]]:
        """Return the plants on which a rule lacks nothing, with the names that matter: as usual, then one otherwise.

        Nothing where it lacks what nobody can assume, or what is asked and never assumed.
        """
        leaves = self._leaves(rule, first)
        if leaves is None or len(leaves) != 1 or leaves[0].asked:
            return []
        beside = self._beside(rule, leaves[0]).items()
        others = [(case, frozenset((name,))) for (name, _), (case, looked) in beside if not looked.missing]
        return [(leaves[0].case, frozenset(leaves[0].assumed)), *others]

    def _leaves(self, rule: Rule, first: Outcome) -> list[_Leaf] | None:
        """Return what a rule says at all values of what is asked; where that is not worth it, until one is clear."""
        leaves: list[_Leaf] = []
        worth = rule.severity.at_least(WORTH_ASKING)
        todo = [_Leaf({}, self.cases.root, first)]
        while todo:
            leaf = self._assume(rule, todo.pop())
            if leaf is None:
                return None
            branch = self._branch(leaf)
            if branch is None:
                leaves.append(leaf)
                if not worth and leaf.asked and not leaf.looked.drafts and not self._contradicted(leaf):
                    break
                continue
            name, made = branch
            if len(leaves) + len(todo) + len(made.values) > MOST_BRANCHES:
                return None
            for place in reversed(range(len(made.values))):
                base = self._usual if not leaf.asked else leaf.case
                case = self.cases.with_(base, {**leaf.asked, name: place})
                if case is None:
                    return None
                todo.append(_Leaf({**leaf.asked, name: place}, case, run(rule, case.plant)))
        return leaves

    def _contradicted(self, leaf: _Leaf) -> bool:
        return any(contradicted(name, self.cases.root.plant) for name in leaf.asked)

    def _assume(self, rule: Rule, leaf: _Leaf) -> _Leaf | None:
        """Assume what has a usual value until a rule lacks nothing of that kind; None where it lacks anything else."""
        for _ in range(MOST_NAMES):
            if not leaf.looked.missing:
                return leaf
            added: dict[str, int] = {}
            branches = False
            for lack in leaf.looked.missing:
                name, made = "", None
                if lack.kind != NOT_PLAUSIBLE and lack.name != HISTORY:
                    name, made = self._first(asked_for(lack.name, leaf.case.plant), leaf.case)
                if not isinstance(made, Guess) or name in leaf.case.positions:
                    return _found_all_the_same(leaf)
                if made.usual is None:
                    branches = True
                else:
                    added[name] = 0
            if branches:
                return leaf
            if leaf.asked:
                case = self.cases.with_(leaf.case, added)
            else:
                wider = self.cases.with_(self._usual, added)
                self._usual = wider or self._usual
                case = wider
            if case is None:
                return None
            leaf = _Leaf(leaf.asked, case, run(rule, case.plant))
        return None

    def _branch(self, leaf: _Leaf) -> tuple[str, Guess] | None:
        """Return what a rule lacks that has no usual value, and all its values."""
        for lack in leaf.looked.missing:
            name, made = self._first(asked_for(lack.name, leaf.case.plant), leaf.case)
            if isinstance(made, Guess) and made.usual is None:
                return name, made
        return None

    def _first(self, name: str, case: Case) -> tuple[str, Guess | Lacks | None]:
        """Return what is to be assumed first for a name to be known, and its plausible values."""
        for _ in range(MOST_NAMES):
            made = self.cases.guess(name, case)
            if not isinstance(made, Lacks):
                return name, made
            name = asked_for(made.name, self.cases.root.plant)
        return name, None

    def _beside(self, rule: Rule, leaf: _Leaf) -> Beside:
        found = {}
        for name in leaf.assumed:
            if name in leaf.asked:
                continue
            made = self.cases.guess(name, _without(leaf.case, name))
            for place in range(1, len(made.values) if isinstance(made, Guess) else 0):
                case = self.cases.with_(leaf.case, {name: place})
                if case is not None:
                    found[name, place] = (case, run(rule, case.plant))
        return found


def _found_all_the_same(leaf: _Leaf) -> _Leaf | None:
    """Return a leaf at which a rule lacks what nobody can assume, where it found something or may elsewhere."""
    if not leaf.asked and not (leaf.case.positions and leaf.looked.drafts):
        return None
    return replace(leaf, looked=replace(leaf.looked, missing=[]), partly=tuple(leaf.looked.missing))


def _without(case: Case, name: str) -> Case:
    return Case(case.plant, case.positions, {other: value for other, value in case.values.items() if other != name})


def _tripped(rule: Rule, at: str, leaves: Sequence[_Leaf], beside: Beside, root: Plant) -> Tripped | None:
    """Return what a rule found about one setting or fact, over all that was tried."""
    where = [leaf for leaf in leaves if _draft(leaf.looked, at)]
    if not where:
        return _beside_only(rule, at, beside)
    if len(where) < len(leaves):
        return _asked(rule, at, where, leaves, root)
    assumed: dict[str, Value] = {}
    whatever: dict[str, list[Value]] = {}
    found = [(leaf.looked, leaf.case.plant) for leaf in leaves]
    for leaf in leaves:
        for name in leaf.assumed:
            if name in leaf.asked:
                whatever.setdefault(name, []).append(leaf.case.values[name])
            elif not beside:  # nothing else was tried: what has one plausible value only is not worth naming
                assumed[name] = leaf.case.values[name]
    for (name, _), (case, looked) in beside.items():
        if _draft(looked, at) is None:
            assumed[name] = leaves[0].case.values[name]
        else:
            found.append((looked, case.plant))
            whatever.setdefault(name, [leaves[0].case.values[name]]).append(case.values[name])
    tripped = [(draft, *one) for one in found if (draft := _draft(one[0], at)) is not None]
    if not assumed:
        tripped.sort(key=lambda one: (-(one[0].severity or rule.severity).rank, _gap(one[0])))
    every = {name: tuple(dict.fromkeys(values)) for name, values in whatever.items() if name not in assumed}
    return Tripped(*tripped[0], {}, assumed, every)


def _in_full(rule: Rule, tripped: Tripped) -> Tripped:
    """Return what was found with its remedy looked for, which trial plants go without."""
    if tripped.asks or not tripped.plant.sketched:
        return tripped
    tripped.plant.sketched = False
    draft = _draft(run(rule, tripped.plant), tripped.draft.at)
    return tripped if draft is None else replace(tripped, draft=draft)


def _asked(rule: Rule, at: str, where: Sequence[_Leaf], leaves: Sequence[_Leaf], root: Plant) -> Tripped | None:
    """Return a question: it is so at some values only of what has no usual one."""
    leaf = where[0]
    draft = _draft(leaf.looked, at)
    if draft is None:
        return None
    asks: dict[str, tuple[Value, ...]] = {}
    for name in leaf.asked:
        here = tuple(dict.fromkeys(one.case.values[name] for one in where if name in one.asked))
        if any(name in one.asked and one.case.values[name] not in here for one in leaves):
            asks[name] = here
    asks = asks or {name: (leaf.case.values[name],) for name in leaf.asked}
    worth = (draft.severity or rule.severity).at_least(WORTH_ASKING)
    if not worth and not any(contradicted(name, root) for name in asks):
        return None
    return Tripped(draft, leaf.looked, leaf.case.plant, asks)


def _beside_only(rule: Rule, at: str, beside: Beside) -> Tripped | None:
    """Return a question where a rule trips at a plausible value that is not the usual one, and harms.

    Where several names have such a value, that is asked which costs least to know.
    """
    asks: dict[str, list[Value]] = {}
    first: dict[str, tuple[Draft, Outcome, Plant]] = {}
    for (name, _), (case, looked) in beside.items():
        draft = _draft(looked, at)
        if draft is not None and (draft.severity or rule.severity).at_least(WORTH_ASKING):
            first.setdefault(name, (draft, looked, case.plant))
            asks.setdefault(name, []).append(case.values[name])
    if not asks:
        return None
    name = min(asks, key=cost_of)
    return Tripped(*first[name], {name: tuple(dict.fromkeys(asks[name]))})


def recorded_fact(plant: Plant, name: str) -> bool:
    """Return whether somebody recorded a fact, and nobody assumed it."""
    fact = plant.facts.get(name)
    return fact is not None and fact.source != TRIED


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
