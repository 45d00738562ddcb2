"""The plant as rules see it: effective values and facts with accessors that notice what is missing."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import TYPE_CHECKING, TypeVar, cast

from settingslint.model.bounds import NOT_PLAUSIBLE, doubts
from settingslint.model.control import Control, Row
from settingslint.model.effect import NOT_APPLICABLE, SAID, Effect, same
from settingslint.model.instead import TRIED, instead, running
from settingslint.model.profile import Acceptance, Entry, Fact, Profile
from settingslint.model.treatment import resolve
from settingslint.model.values import Value, kind_of, show_value, title_of
from settingslint.rules.asked import Asked
from settingslint.rules.base import DoesNotApply, Missing, Threshold
from settingslint.rules.past import AS_LEFT, HISTORY, Left, Past, known
from settingslint.units import Celsius, Kelvin, Kind, System
from settingslint.vocabulary.goes_with import GOES_WITH
from settingslint.vocabulary.plausible import Rows
from settingslint.vocabulary.settings import OFF, SETTINGS

if TYPE_CHECKING:
    from settingslint.physics.weather import Hours

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Context:
    """What all plants of one check share: the date, the owner's numbers (SI) and the climate's hours."""

    as_of: date
    thresholds: Mapping[str, float] = field(default_factory=dict)
    hours: Hours | None = None
    usual: Rows = field(default_factory=dict)
    """What the owner says that facts and settings usually are where nobody recorded them, by name."""


class Plant:
    """One boiler: its profile, its control, and every setting resolved.

    `value` and its typed relatives return SI and raise `Missing` for what is not known and `DoesNotApply` for what the
    control or the arrangement does not have; `asked` keeps the names. A rule asks by name and never looks into
    `profile` or `control`, which other rooms do.
    """

    def __init__(
        self,
        profile: Profile,
        control: Control,
        context: Context,
        past: Past | Callable[[Plant], Past | None] | None = None,
        effects: Mapping[str, Effect] | None = None,
        asked: Asked | None = None,
    ) -> None:
        self.profile = profile
        self.control = control
        self.context = context
        self._past = past
        self.effects = resolve(control, profile) if effects is None else effects
        self.facts: Mapping[str, Fact] = profile.all_facts()
        identity, in_force = profile.identity(), self.in_force
        self._values: dict[str, Value] = {
            **control.stated,
            **identity,
            **control.stated_of_size(profile.size),
            **{name: one.value for name, one in self.facts.items()},
            **in_force,
        }
        self.doubts = doubts(self.facts, in_force, identity, profile.system, context.as_of)
        """What is recorded and not plausible, with the reason."""
        self._one_of: dict[tuple[str, tuple[Value, ...]], bool] = {}
        self.asked = asked or Asked()
        self.sketched = False
        """Whether nobody asks for remedies that take a search: one of many trial plants."""

    # another plant ----------------------------------------------------------------------------------------------------

    def instead(self, values: Mapping[str, Value]) -> Plant:
        """Return this plant with other settings and facts, resolved again.

        Nothing is written; what is asked anew has not been read back and is no temporary value.
        """
        return self._other(*instead(self.control, self.profile, self.effects, values), values)

    def running(self, values: Mapping[str, Value]) -> Plant:
        """Return this plant with settings that run at other values, SI, whatever is typed; resolved again.

        For the candidates of a setting whose value is not known. What is recorded of them stays as it is.
        """
        return self._other(*running(self.control, self.profile, self.effects, values), values)

    def _other(
        self, profile: Profile, effects: Mapping[str, Effect], moved: frozenset[str], values: Mapping[str, Value]
    ) -> Plant:
        # what goes through all that is recorded has asked for no name that was not recorded: then nothing is kept
        keeps = all(name in self.profile.settings or name in self.facts for name in values)
        asked = self.asked.without(moved) if keeps else None
        made = Plant(profile, self.control, self.context, lambda _: self.past, effects, asked)
        if self.sketched:  # what is assumed of it stands beside its profile
            tried = {name: fact for name, fact in self._tried().items() if name not in made.facts}
            made.facts = {**made.facts, **tried}
            made._values |= {name: fact.value for name, fact in tried.items()}
        return made

    def _tried(self) -> dict[str, Fact]:
        return {name: fact for name, fact in self.facts.items() if fact.source == TRIED}

    def assuming(self, values: Mapping[str, Value]) -> Plant:
        """Return this plant with plausible values of what nobody recorded, resolved again where that matters.

        As `instead`, for many such plants: what is plausible is not looked at again. A setting that runs at one of
        several values is seen to run at the one.
        """
        seen = {name: value for name, value in values.items() if name in self.effects and self.effects[name].candidates}
        if seen:
            rest = {name: value for name, value in values.items() if name not in seen}
            return self.running(seen).assuming(rest) if rest else self.running(seen)
        moved = self.control.kept.moved_by(values)
        if any(name.startswith("emitter[") for name in values) or any(name in SETTINGS for name in moved):
            profile, effects, moved_names = instead(self.control, self.profile, self.effects, values)
            facts: Mapping[str, Fact] = {**self._tried(), **profile.all_facts()}
        else:
            profile, effects, moved_names = self.profile, self.effects, frozenset(values)
            facts = {**self.facts, **{name: Fact(value, TRIED) for name, value in values.items()}}
        made: Plant = object.__new__(Plant)
        made.profile, made.control, made.context = profile, self.control, self.context
        made._past = lambda _, past=self: past.past
        made.effects, made.facts = effects, facts
        made._values = {**self._values, **values}
        if effects is not self.effects:
            for name in moved_names:
                if name in SETTINGS:
                    effect = effects.get(name)
                    if effect is not None and effect.effective is not None:
                        made._values[name] = effect.effective
                    else:
                        made._values.pop(name, None)
        made.doubts, made._one_of = self.doubts, {}
        made.asked, made.sketched = self.asked.without(moved_names), True
        return made

    def on(self, as_of: date) -> Plant:
        """Return this plant as looked at on another date."""
        return Plant(self.profile, self.control, replace(self.context, as_of=as_of), self._past, self.effects)

    # values -----------------------------------------------------------------------------------------------------------

    @property
    def as_of(self) -> date:
        """The date on which the plant is looked at."""
        return self.context.as_of

    @property
    def hours(self) -> Hours | None:
        """The hours of a year by outdoor temperature, where the portfolio names a weather file."""
        return self.context.hours

    @property
    def system(self) -> System:
        """The unit system in which findings speak."""
        return self.profile.system

    @property
    def in_force(self) -> dict[str, Value]:
        """The effective values that are known, SI."""
        return {name: effect.effective for name, effect in self.effects.items() if effect.effective is not None}

    def value(self, name: str) -> Value:
        """Return the effective value of a setting or the value of a fact, SI.

        Raises:
            Missing: where it is not recorded or not known.
            DoesNotApply: where the control or the arrangement has no such thing.
        """
        self.asked.names.add(name)
        value = self._values.get(name)
        if value is None or self._withheld(name):
            raise self._why_not(name)
        return value

    def _withheld(self, name: str) -> bool:
        """Return whether a value is not plausible and not given, and note that one was asked for.

        A fact is somebody's word. A setting is given, since the boiler may really run at it; but where it is not
        plausible, nothing is clear for it.
        """
        if name not in self.doubts:
            return False
        self.asked.doubted.add(name)
        return name not in SETTINGS

    def in_doubt(self, names: Iterable[str]) -> list[Missing]:
        """Return what is not plausible of some settings and facts."""
        return [Missing(name, self.doubts[name].why, NOT_PLAUSIBLE) for name in sorted(names) if name in self.doubts]

    def _why_not(self, name: str) -> Missing | DoesNotApply:
        if name in self.doubts:
            return self.in_doubt([name])[0]
        if name not in SETTINGS:
            return Missing(name)
        effect = self.effects.get(name)
        if effect is None:
            if self.control.complete:
                return DoesNotApply(name)
            return Missing(name, f"the control file {self.control.name} does not say whether it has {title_of(name)}")
        if effect.state == NOT_APPLICABLE:
            if self.said_not_to_apply(name) and self.goes_with(name, settings=False) is not False:
                return Missing(name, effect.reasons[-1].text, SAID)
            return DoesNotApply(name)
        return Missing(name, effect.reasons[-1].text, effect.state) if effect.reasons else Missing(name)

    def said_not_to_apply(self, name: str) -> bool:
        """Return whether only the profile says that a setting does not apply: the control has it and what it needs."""
        effect = self.effects.get(name)
        return effect is not None and any(reason.kind == SAID for reason in effect.reasons)

    def goes_with(self, name: str, *, settings: bool = True) -> bool | Missing:
        """Return whether the facts, and the other settings, are such that a boiler has a use for a setting."""
        unknown: Missing | None = None
        for other, values in GOES_WITH.get(name, {}).items():
            if other in SETTINGS and not settings:
                continue
            self.asked.names.add(other)
            value, effect = self._values.get(other), self.effects.get(other)
            if value is not None and not any(same(value, one) for one in values):
                return False
            if value is None:
                if effect is not None and effect.state == NOT_APPLICABLE and not self.said_not_to_apply(other):
                    return False
                unknown = unknown or Missing(other)
        return unknown or True

    def lacks(self, names: Sequence[str]) -> list[Missing]:
        """Return what is not known of some settings and facts, in their order; `emitter` stands for any emitter.

        Raises:
            DoesNotApply: as `value`.
        """
        self.asked.names.update(names)
        values = self._values
        lacking: list[Missing] = []
        for name in names:
            lacks = name not in values and not (name == "emitter" and self.profile.emitters)
            if lacks or self._withheld(name):
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
        self.asked.names.add(name)
        known = self._one_of.get((name, values))
        if known is None or name in self.doubts:
            own = self.value(name)
            known = self._one_of[name, values] = any(same(own, one) for one in values)
        return known

    def known(self, name: str) -> Value | None:
        """Return the value, or None where it is not known.

        Raises:
            Missing: to a rule, where what is recorded is not plausible; others get None.
        """
        self.asked.names.add(name)
        if name in self.doubts:
            if self.asked.by_rule:
                raise self._why_not(name)
            return None
        return self._values.get(name)

    def recorded(self, name: str) -> Value | None:
        """Return the value as `known`, also where it is not plausible, for rules about the numbers themselves."""
        self.asked.names.add(name)
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

    @property
    def emitters(self) -> range:
        """The indexes of the emitters: `plant.point(f"emitter[{i}].maximum_supply")`.

        Raises:
            Missing: where no emitter is recorded.
        """
        self.asked.names.add("emitter")
        if not self.profile.emitters:
            raise Missing("emitter")
        return range(len(self.profile.emitters))

    def once(self, make: Callable[[Plant], T]) -> T:
        """Return what a function makes of this plant's settings and facts, asked once: see `Asked.once`."""
        return self.asked.once(make, self)

    def threshold(self, threshold: Threshold) -> float:
        """Return a number of habit, SI: the owner's where one is set, else the tool's."""
        return owner_number(threshold, self.context.thresholds, self.asked.numbers)

    def weak(self) -> list[str]:
        """Return those of the facts asked for that were guessed or only told."""
        return sorted(name for name in self.asked.names if (fact := self.facts.get(name)) is not None and fact.weak)

    def show(self, what: str | Kind, value: Value | None = None) -> str:
        """Return a value in the profile's units: of a setting or fact by name (its effective value), or of a kind."""
        if isinstance(what, Kind):
            return show_value(value, what, self.system)
        row = self.control.rows.get(what)
        shown = self.recorded(what) if value is None else value
        return show_value(shown, kind_of(what), self.system, row.unit if row else None)

    # the record and the control file ----------------------------------------------------------------------------------

    @property
    def entries(self) -> Mapping[str, Entry]:
        """The settings as recorded, for rules about the record; none counts as asked for."""
        return self.profile.settings

    @property
    def accepted(self) -> tuple[Acceptance, ...]:
        """The findings that somebody has accepted, as recorded."""
        return self.profile.accepted

    def typed(self, name: str) -> Value | None:
        """Return what it was set to, SI, or None."""
        self.asked.names.add(name)
        entry = self.profile.settings.get(name)
        return entry.typed if entry else None

    @property
    def reset_style(self) -> str:
        """How the control makes its line: none, one number, two points, slope and shift."""
        return self.control.reset_style

    def listed(self, name: str) -> tuple[str, ...] | None:
        """Return what the control file lists under a name, as its revisions; None where it lists nothing."""
        return self.control.lists.get(name)

    def has(self, name: str) -> bool:
        """Return whether the control file describes a setting."""
        return name in self.control.rows

    def row(self, name: str) -> Row | None:
        """Return how the control has a setting."""
        return self.control.rows.get(name)

    def default_of(self, name: str) -> Value | None:
        """Return the control's default of a setting for this size, None where it is not known."""
        row = self.control.rows.get(name)
        return row.default_for(self.profile.size) if row else None

    def default(self, name: str) -> Value:
        """Return the control's default of a setting for this size.

        Raises:
            Missing: where the control file does not state it.
        """
        default = self.default_of(name)
        if default is None:
            raise Missing(name, f"the default of {title_of(name)} is not known for this size")
        return default

    # past -------------------------------------------------------------------------------------------------------------

    @property
    def past(self) -> Past | None:
        """The states before the present one, looked up when a rule first asks; None where there is no history.

        Whoever asks has asked for the history by name.
        """
        self.asked.names.add(HISTORY)
        if callable(self._past):
            self._past = self._past(self)
        return self._past

    def look_back(self, look: Callable[[Plant], Past | None]) -> None:
        """Say where the past of this plant is to be looked up when a rule asks for it.

        What is given must not hold the plant itself: then it would be held until Python looks for such circles.
        """
        self._past = look

    def states(self) -> list[Left]:
        """Return all states, oldest first, the present one last.

        Raises:
            Missing: where there is no history.
        """
        profile = self.profile
        typed = {name: entry.typed for name, entry in profile.settings.items() if entry.typed is not None}
        visited, by = self._values.get("visit.on"), str(self._values.get("visit.by") or "")
        on = visited if isinstance(visited, date) else self.as_of
        told = {name: fact.value for name, fact in profile.facts.items()}
        return [*known(self.past).states, Left(on, by, AS_LEFT, typed, told, profile.settings)]

    def before(self) -> Left:
        """Return the last state in which something else was typed, or else the last one.

        Raises:
            Missing: where there is no history.
            DoesNotApply: where there is no earlier state.
        """
        now = {name: entry.typed for name, entry in self.profile.settings.items() if entry.typed is not None}
        return known(self.past).before(now)


def owner_number(threshold: Threshold, own: Mapping[str, float], asked: set[str]) -> float:
    """Return the owner's number where there is one, and take down its name; else the tool's. SI."""
    value = own.get(threshold.name)
    if value is None:
        return threshold.value
    asked.add(threshold.name)
    return value
