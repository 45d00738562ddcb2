"""The plant as rules see it: effective values and facts with accessors that notice what is missing."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from typing import TYPE_CHECKING, Final, TypeVar, cast

from settingslint.model.control import Control, Row
from settingslint.model.effect import NOT_APPLICABLE, Effect, same
from settingslint.model.profile import Entry, Fact, Profile
from settingslint.model.treatment import resolve, resolve_again
from settingslint.model.values import Value, kind_of, show_value, title_of
from settingslint.rules.base import DoesNotApply, Missing, Threshold
from settingslint.units import Celsius, Kelvin, Kind, System
from settingslint.vocabulary.settings import OFF, SETTINGS

if TYPE_CHECKING:
    from settingslint.physics.weather import Hours

T = TypeVar("T")
HISTORY: Final = "history"
"""What a rule needs that looks into the past."""


@dataclass(frozen=True, slots=True)
class Context:
    """What all plants of one check share: the date, the owner's numbers (SI) and the climate's hours."""

    as_of: date
    thresholds: Mapping[str, float] = field(default_factory=dict)
    hours: Hours | None = None


@dataclass(frozen=True, slots=True)
class Left:
    """One state that an earlier commit left: date, what kind of visit, and the values typed, SI."""

    on: date
    by: str
    kind: str
    typed: Mapping[str, Value]
    facts: Mapping[str, Value]


@dataclass(frozen=True, slots=True)
class Past:
    """The states before the present one, oldest first; made from git by `settingslint.history`.

    Where earlier ones can't be read, `states` are those since then, `lost` says in a few words why, and `why` in full.
    """

    states: tuple[Left, ...]
    lost: str = ""
    why: str = ""


class Plant:
    """One boiler: its profile, its control, and every setting resolved.

    `value` and its typed relatives return SI and raise `Missing` for what is not known and `DoesNotApply` for what the
    control or the arrangement does not have. Each name that was asked for is kept in `touched`.
    """

    def __init__(
        self,
        profile: Profile,
        control: Control,
        context: Context,
        past: Past | Callable[[Plant], Past | None] | None = None,
    ) -> None:
        self.profile = profile
        self.control = control
        self.context = context
        self._past = past
        self.effects: Mapping[str, Effect] = resolve(control, profile)
        self._values: dict[str, Value] = dict(self.recorded_facts)
        self._values.update(effective_of(self.effects))
        self._one_of: dict[tuple[str, tuple[Value, ...]], bool] = {}
        self.touched: set[str] = set()
        self.moved: frozenset[str] = frozenset()
        """Settings of which `with_settings` changed the effect, and those it typed anew."""
        self.owner_numbers: set[str] = set()
        self._once: dict[Callable[[Plant], object], tuple[object, frozenset[str]]] = {}

    @property
    def as_of(self) -> date:
        """The date on which the plant is looked at."""
        return self.context.as_of

    @property
    def system(self) -> System:
        """The unit system in which findings speak."""
        return self.profile.system

    def with_settings(self, values: Mapping[str, Value]) -> Plant:
        """Return this plant with some settings typed anew, resolved again. Nothing is written."""
        entries = dict(self.profile.settings)
        for name, value in values.items():
            # what was asked anew has not been read back, and is no temporary value
            entries[name] = Entry(name, value, why="remedy", on=entries[name].on if name in entries else None)
        changed = Plant.__new__(Plant)
        changed.__dict__.update(self.__dict__)
        changed.profile = replace(self.profile, settings=entries)
        anew = resolve_again(self.control, changed.profile, self.effects, values)
        changed.effects = {**self.effects, **anew}
        moved = frozenset([*values, *[name for name, one in anew.items() if one is not self.effects.get(name)]])
        changed._values = dict(self._values)
        for name in moved:
            effect = anew.get(name)
            if effect is not None and effect.effective is not None:
                changed._values[name] = effect.effective
            else:
                changed._values.pop(name, None)
        changed.moved, changed._one_of = moved, {}
        changed.touched, changed.owner_numbers = set(), set()
        # what goes through all recorded settings has touched none that was not recorded: then nothing is kept
        kept = self._once.items() if values.keys() <= self.profile.settings.keys() else ()
        changed._once = {make: made for make, made in kept if made[1].isdisjoint(moved)}
        changed.look_back(lambda _: self.past)
        return changed

    # past -------------------------------------------------------------------------------------------------------------

    @property
    def past(self) -> Past | None:
        """The states before the present one, looked up when a rule first asks; None where there is no history.

        Whoever asks has `touched` the history.
        """
        self.touched.add(HISTORY)
        if callable(self._past):
            self._past = self._past(self)
        return self._past

    def look_back(self, look: Callable[[Plant], Past | None]) -> None:
        """Say where the past of this plant is to be looked up when a rule asks for it.

        What is given must not hold the plant itself: then it would be held until Python looks for such circles.
        """
        self._past = look

    def before(self) -> Left:
        """Return the last state in which something else was typed, or else the last one.

        Raises:
            Missing: where there is no history.
            DoesNotApply: where there is no earlier state.
        """
        if self.past is None:
            raise Missing(HISTORY)
        states = self.past.states
        if not states:
            raise DoesNotApply("no earlier state")
        now = {name: entry.typed for name, entry in self.profile.settings.items() if entry.typed is not None}
        return next((state for state in reversed(states) if state.typed != now), states[-1])

    # values -----------------------------------------------------------------------------------------------------------

    def value(self, name: str) -> Value:
        """Return the effective value of a setting or the value of a fact, SI.

        Raises:
            Missing: where it is not recorded or not known.
            DoesNotApply: where the control or the arrangement has no such thing.
        """
        self.touched.add(name)
        value = self._values.get(name)
        if value is None:
            raise self._why_not(name)
        return value

    def _why_not(self, name: str) -> Missing | DoesNotApply:
        if name not in SETTINGS:
            return Missing(name)
        effect = self.effects.get(name)
        if effect is None:
            if self.control.complete:
                return DoesNotApply(name)
            return Missing(name, f"the control file {self.control.name} does not say whether it has {title_of(name)}")
        if effect.state == NOT_APPLICABLE:
            return DoesNotApply(name)
        return Missing(name, effect.reasons[-1].text if effect.reasons else "")

    def lacks(self, names: Sequence[str]) -> list[Missing]:
        """Return what is not known of some settings and facts, in their order; `emitter` stands for any emitter.

        Raises:
            DoesNotApply: as `value`.
        """
        self.touched.update(names)
        values = self._values
        lacking: list[Missing] = []
        for name in names:
            if name not in values and not (name == "emitter" and self.profile.emitters):
                why = self._why_not(name)
                if not isinstance(why, Missing):
                    raise DoesNotApply(name)  # a new one: what a local name holds would hold this frame in a circle
                lacking.append(why)
        return lacking

    def is_one_of(self, name: str, values: tuple[Value, ...]) -> bool:
        """Return whether a setting or fact has one of some values; many rules ask the same.

        Raises:
            Missing, DoesNotApply: as `value`.
        """
        self.touched.add(name)
        known = self._one_of.get((name, values))
        if known is None:
            own = self.value(name)
            known = self._one_of[name, values] = any(same(own, one) for one in values)
        return known

    @cached_property
    def _facts(self) -> dict[str, Fact]:
        facts = dict(self.profile.facts)
        for index, emitter in enumerate(self.profile.emitters):
            facts.update({f"emitter[{index}].{name}": fact for name, fact in emitter.items()})
        return facts

    @cached_property
    def recorded_facts(self) -> Mapping[str, Value]:
        """All recorded facts by name, also of single emitters, SI; for rules about the record, so none is `touched`."""
        return {name: fact.value for name, fact in self._facts.items()}

    def known(self, name: str) -> Value | None:
        """Return the value, or None where `value` would raise."""
        self.touched.add(name)
        return self._values.get(name)

    def number(self, name: str) -> float:
        """Return a number, SI; a setting that is off does not apply."""
        value = self.value(name)
        if value == OFF or isinstance(value, bool):
            raise DoesNotApply(name)
        return cast(float, value)

    def point(self, name: str) -> Celsius:
        """Return a point on the temperature scale, degrees Celsius."""
        return Celsius(self.number(name))

    def difference(self, name: str) -> Kelvin:
        """Return a temperature difference, kelvin."""
        return Kelvin(self.number(name))

    def flag(self, name: str) -> bool:
        """Return a flag."""
        return self.value(name) is True

    def word(self, name: str) -> str:
        """Return a word or text."""
        return str(self.value(name))

    def day(self, name: str) -> date:
        """Return a date."""
        value = self.value(name)
        if not isinstance(value, date):
            raise Missing(name)
        return value

    def is_off(self, name: str) -> bool:
        """Return whether a setting is effectively off."""
        value = self.value(name)
        return value == OFF or value is False

    def typed(self, name: str) -> Value | None:
        """Return what was asked for, SI, or None."""
        self.touched.add(name)
        entry = self.profile.settings.get(name)
        return entry.typed if entry else None

    def row(self, name: str) -> Row | None:
        """Return how the control has a setting."""
        return self.control.rows.get(name)

    def default(self, name: str) -> Value:
        """Return the control's default of a setting for this size.

        Raises:
            Missing: where the control file does not state it.
        """
        row = self.control.rows.get(name)
        default = row.default_for(self.profile.size) if row else None
        if default is None:
            raise Missing(name, f"the default of {title_of(name)} is not known for this size")
        return default

    def weak(self) -> list[str]:
        """Return the touched facts that were guessed or only told."""
        return sorted(name for name in self.touched if (fact := self._facts.get(name)) is not None and fact.weak)

    def once(self, make: Callable[[Plant], T]) -> T:
        """Return what a function makes of this plant's settings and facts; it is asked once, however many rules ask.

        What the function touched counts as touched by each of them. What it raises is not kept.
        """
        known = self._once.get(make)
        if known is None:
            before, self.touched = self.touched, set()
            try:
                made = make(self)
            finally:
                touched, self.touched = frozenset(self.touched), before
                self.touched |= touched
            self._once[make] = (made, touched)
            return made
        self.touched |= known[1]
        return cast(T, known[0])

    # emitters ---------------------------------------------------------------------------------------------------------

    @property
    def emitters(self) -> range:
        """The indexes of the emitters: `plant.point(f"emitter[{i}].maximum_supply")`.

        Raises:
            Missing: where no emitter is recorded.
        """
        self.touched.add("emitter")
        if not self.profile.emitters:
            raise Missing("emitter")
        return range(len(self.profile.emitters))

    # showing ----------------------------------------------------------------------------------------------------------

    def show(self, what: str | Kind, value: Value | None = None) -> str:
        """Return a value in the profile's units: of a setting or fact by name (its effective value), or of a kind."""
        if isinstance(what, Kind):
            return show_value(value, what, self.system)
        row = self.control.rows.get(what)
        shown = self.known(what) if value is None else value
        return show_value(shown, kind_of(what), self.system, row.unit if row else None)

    def threshold(self, threshold: Threshold) -> float:
        """Return a number of habit, SI: the owner's where one is set, else the tool's."""
        return owner_number(threshold, self.context.thresholds, self.owner_numbers)

    def step_of(self, name: str) -> float:
        """Return the step in which a setting with numbers goes on this control, SI; else one in which people type."""
        row = self.control.rows.get(name)
        return (row.step if row else None) or _nice_step(SETTINGS[name].kind, self.system)

    def attainable(self, name: str, at_least: float | None = None, at_most: float | None = None) -> float | None:
        """Return the nearest value that can be typed, by range and step, on the wanted side; None where there is none.

        Args:
            name: a setting with numbers.
            at_least: the least that will do, SI; the result is the smallest step at or above it.
            at_most: the most that will do, SI; the result is the largest step at or below it.
        """
        row = self.control.rows.get(name)
        kind = SETTINGS[name].kind
        low = row.low if row and row.low is not None else None
        high = row.high if row and row.high is not None else None
        step = self.step_of(name)
        base = low if low is not None else _zero(kind, self.control.system if row and row.step else self.system)
        if at_least is not None:
            count = -((base - at_least + 1e-9) // step)
            value = base + max(count, 0 if low is not None else count) * step
            if value < at_least - 1e-9:
                value += step
        else:
            assert at_most is not None
            value = base + ((at_most - base + 1e-9) // step) * step
        if (low is not None and value < low - 1e-9) or (high is not None and value > high + 1e-9):
            return None
        return value


def owner_number(threshold: Threshold, own: Mapping[str, float], asked: set[str]) -> float:
    """Return the owner's number where there is one, and take down its name; else the tool's. SI."""
    value = own.get(threshold.name)
    if value is None:
        return threshold.value
    asked.add(threshold.name)
    return value


def effective_of(effects: Mapping[str, Effect]) -> dict[str, Value]:
    """Return the effective values that are known, SI."""
    return {name: effect.effective for name, effect in effects.items() if effect.effective is not None}


def _nice_step(kind: Kind, system: System) -> float:
    """Return a step in which people type a value where the control states none: 1 F, 1 K, 0.1, 5 min; SI."""
    if kind in (Kind.POINT, Kind.DIFFERENCE):
        return 1 / 1.8 if system == "us" else 1.0
    return {Kind.MINUTES: 300.0, Kind.HOURS: 3600.0, Kind.RATIO: 0.1}.get(kind, 1.0)


def _zero(kind: Kind, system: System) -> float:
    return -32 / 1.8 if kind is Kind.POINT and system == "us" else 0.0
