"""The states that earlier commits left, as rules see them; made from git by `settingslint.history`."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Final

from settingslint.model.effect import same
from settingslint.model.profile import Entry
from settingslint.model.values import Value, title_of
from settingslint.rules.base import DoesNotApply, Missing

HISTORY: Final = "history"
"""What a rule needs that looks into the past."""
DEFAULT: Final = "default"
AS_FOUND: Final = "as found"
AS_LEFT: Final = "as left"
"""The two steps of a visit."""


@dataclass(frozen=True, slots=True)
class Left:
    """One state that a commit left: date and person, the step of a visit, the values typed and the facts, SI.

    Date and person are those of the visit, where the commit records one. `entries` are the settings with their reasons
    and dates.
    """

    on: date
    by: str
    kind: str
    typed: Mapping[str, Value]
    facts: Mapping[str, Value]
    entries: Mapping[str, Entry] = field(default_factory=dict)
    """What is said of the settings beside their values: reason, date, what was read back."""

    @property
    def found(self) -> bool:
        """Whether this is what a visit found, before anything was touched."""
        return self.kind == AS_FOUND

    def held(self, name: str, default: Value | None = None) -> Value | None:
        """Return what the control held of a setting: what was typed, or its default where it was left alone."""
        typed, entry = self.typed.get(name), self.entries.get(name)
        if typed is None and entry is not None and entry.left == DEFAULT:
            return DEFAULT if default is None else default
        return typed

    def why(self, name: str) -> str | None:
        """Return the reason that is recorded at a setting."""
        entry = self.entries.get(name)
        return entry.why if entry is not None else None

    def told_at_visit(self, name: str) -> bool:
        """Return whether what is recorded at a setting carries the day of the visit, or the name of who was there."""
        entry = self.entries.get(name)
        told = [] if entry is None else [(entry.on, "visit.on"), (entry.by, "visit.by")]
        return any(one is not None and one == self.facts.get(fact) for one, fact in told)

    def dated(self, name: str) -> date | None:
        """Return the date that is recorded at a setting."""
        entry = self.entries.get(name)
        return entry.on if entry is not None else None

    def read_back(self, name: str) -> bool:
        """Return whether what is recorded at a setting was read back at the boiler."""
        entry = self.entries.get(name)
        return entry is not None and entry.read_back is not None and same(entry.read_back, entry.typed)


@dataclass(frozen=True, slots=True)
class Past:
    """The states before the present one, oldest first.

    Where earlier ones can't be read, `states` are those since then, `lost` says in a few words why, and `why` in full.
    """

    states: tuple[Left, ...]
    lost: str = ""
    why: str = ""

    def before(self, now: Mapping[str, Value]) -> Left:
        """Return the last state in which something else was typed, or else the last one.

        Raises:
            DoesNotApply: where there is no earlier state.
        """
        if not self.states:
            raise DoesNotApply("no earlier state")
        return next((state for state in reversed(self.states) if state.typed != now), self.states[-1])


@dataclass(frozen=True, slots=True)
class Change:
    """One change of a setting: from which value, that was left on which day, to which, in which state.

    `after` are the states since, the present one last.
    """

    name: str
    old: Value
    left_on: date
    new: Value
    state: Left
    after: tuple[Left, ...]
    old_found: bool = False
    """Whether the value before was itself what a visit found, and nobody had set it."""

    @property
    def when(self) -> str:
        """The day of the change and who made it, where that is known: `on 2026-06-17 (J. Aldous)`."""
        return f"on {self.state.on}" + (f" ({self.state.by})" if self.state.by else "")


def changes(states: Sequence[Left], name: str, default: Value | None = None) -> Iterator[Change]:
    """Yield the changes of a setting, oldest first; where a state does not record it, it is what it was before.

    Args:
        states: oldest first.
        name: a setting.
        default: the control's default of it, where that is known, for states in which it was left alone.
    """
    value: Value | None = None
    left_on, found = date.min, False
    for index, state in enumerate(states):
        now = state.held(name, default)
        if now is None:
            continue
        if value is not None and not same(value, now):
            yield Change(name, value, left_on, now, state, tuple(states[index + 1 :]), found)
        if value is None or not same(value, now):
            left_on, found = state.dated(name) or state.on, value is not None and state.found
        value = now


def found_so(states: Sequence[Left], name: str, default: Value | None = None) -> Left | None:
    """Return the state in which a visit found what a setting still is, where nobody has set it since; else None."""
    last = next(reversed(list(changes(states, name, default))), None)
    return last.state if last is not None and last.state.found else None


def open_change(
    states: Sequence[Left],
    name: str,
    default: Value | None,
    counts: Callable[[Change], bool],
    answered: Callable[[Change, Left], bool],
) -> Change | None:
    """Return the newest change of a setting that counts and that nothing has answered since, or None.

    A change is answered in a later state: the value from before it was put back, or `answered` says so of that state.
    What puts a value back is no such change itself.
    """
    open_ = None
    before: list[Value] = []
    for change in changes(states, name, default):
        if not counts(change) or any(same(change.new, one) for one in before):
            continue
        before.append(change.old)
        if not any(same(state.held(name, default), change.old) or answered(change, state) for state in change.after):
            open_ = change
    return open_


def open_at_visit(
    states: Sequence[Left],
    name: str,
    default: Value | None,
    occasion: tuple[str, str],
    counts: Callable[[Change], bool],
    answered: Callable[[Change, Left], bool],
) -> Change | None:
    """Return the newest change of a setting, left on a visit of one occasion, that nothing has answered, or None.

    The arguments are those of `open_change`, and a fact of the visit with its value.

    Raises:
        Missing: where there is none, but one left on a visit of which that fact is not recorded.
    """
    fact, word = occasion

    def newest(value: str | None) -> Change | None:
        def left_so(one: Change) -> bool:
            return not one.state.found and one.state.facts.get(fact) == value and counts(one)

        return open_change(states, name, default, left_so, answered)

    change = newest(word)
    if change is None and (unsaid := newest(None)) is not None:
        raise Missing(fact, f"{title_of(name)} was changed {unsaid.when}: on what occasion is not recorded")
    return change


def known(past: Past | None) -> Past:
    """Return the past.

    Raises:
        Missing: where there is no history.
    """
    if past is None:
        raise Missing(HISTORY)
    return past
