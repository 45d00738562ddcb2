"""Effects that a control had before, found again by what was asked on the way to them.

What a setting comes to follows from its control and from the answers to questions: what is typed, whether an accessory
is fitted, what another setting runs at. The first question is always the same, and which one comes next follows from
the answers so far. So the questions are a tree with an effect at each end, and whatever a step asks is in it by itself.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from typing import Any, Final, TypeVar

from settingslint.model.effect import Effect

T = TypeVar("T", bound=Hashable)
Question = Callable[[Any, str], T]
"""Asks what is known about the setting or fact of a name."""
Key = tuple[type, Hashable]
"""An answer with its type: 1.0 and True are two answers."""
START: Final[Key] = (type(None), None)
MOST: Final = 2000
"""Effects of one setting that are kept at most."""


class Asked:
    """All that is asked on the way to an effect, with the answers."""

    def __init__(self, known: object) -> None:
        self._known = known
        self.answers: dict[tuple[Question[Any], str], Hashable] = {}

    def __call__(self, question: Question[T], name: str = "") -> T:
        """Return the answer to a question about the setting or fact of a name, and note both."""
        said = self.answers[question, name] = question(self._known, name)
        return said


class _Branch:
    """A question, and what comes of each answer: the next question, or the effect."""

    __slots__ = ("name", "question", "then")

    def __init__(self, question: Question[Any], name: str) -> None:
        self.question = question
        self.name = name
        self.then: dict[Key, _Branch | Effect] = {}


class Kept:
    """The effects of one control, and which settings ever asked about which name."""

    def __init__(self) -> None:
        self._trees: dict[str, dict[Key, _Branch | Effect]] = {}
        self._counts: dict[str, int] = {}
        self._askers: dict[str, dict[str, None]] = {}

    def find(self, setting: str, known: object) -> Effect | None:
        """Return the effect of a setting that follows from what is known, or None where it is to be worked out."""
        at = self._trees.get(setting, {}).get(START)
        while type(at) is _Branch:
            said = at.question(known, at.name)
            at = at.then.get((type(said), said))
        return at if isinstance(at, Effect) else None

    def keep(self, setting: str, asked: Asked, effect: Effect) -> None:
        """Remember the effect of a setting that was worked out by asking and from nothing else."""
        count = self._counts[setting] = self._counts.get(setting, 0) % MOST + 1
        if count == 1:
            self._trees[setting] = {}
        then, key = self._trees[setting], START
        for (question, name), said in asked.answers.items():
            self._askers.setdefault(name, {})[setting] = None
            branch = then.setdefault(key, _Branch(question, name))
            assert isinstance(branch, _Branch), setting  # after the same answers the same is asked
            then, key = branch.then, (type(said), said)
        then[key] = effect

    def moved_by(self, names: Iterable[str]) -> dict[str, None]:
        """Return settings and facts with all settings that ever asked about them, or about such a setting."""
        moved = dict.fromkeys(names)
        new = list(moved)
        while new:
            for setting in self._askers.get(new.pop(), ()):
                if setting not in moved:
                    moved[setting] = None
                    new.append(setting)
        return moved
