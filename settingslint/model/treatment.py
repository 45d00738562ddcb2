"""From typed to effective: what a control makes of each value, with the sentence that says so.

One pure function, `resolve`, goes through the same steps for every setting, in this order:

1. access: a setting that only the factory sets does not take what is typed;
2. preconditions: what it needs (accessory, arrangement, mode) and what happens without;
3. acceptance: range and step;
4. transformation: an amount the control adds;
5. bands that the control ignores;
6. special values that mean "off";
7. other settings that cap it, floor it, or switch it off when equal;
8. state: provisional until the burner has fired once;
9. persistence: what has happened since and lost it.

What the control file does not state stays unknown.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Final

from settingslint.model.control import Control, Need, Row, Treatment
from settingslint.model.profile import Entry, Profile
from settingslint.model.values import Value, show_value
from settingslint.units import System, show
from settingslint.vocabulary.settings import OFF, SETTINGS

EFFECTIVE: Final = "effective"
IGNORED: Final = "ignored"
NOT_APPLICABLE: Final = "not applicable"
PROVISIONAL: Final = "provisional"
UNKNOWN: Final = "unknown"
NOT_RECORDED: Final = "not recorded"

TOLERANCE: Final = 1e-6


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a value became another: the step's name and a sentence in the profile's units."""

    kind: str
    text: str


@dataclass(frozen=True, slots=True)
class Effect:
    """One setting resolved. Values are SI.

    `typed` is what the profile says was asked for; `stored` what the control keeps and, unless it hides that, shows;
    `effective` what the boiler obeys, None where it is unknown or has no effect; `state` one of the words above.
    """

    setting: str
    typed: Value | None
    stored: Value | None
    effective: Value | None
    state: str
    reasons: tuple[Reason, ...] = ()
    at_default: bool = False
    unit: str | None = None
    band: tuple[float, float] | None = None

    @property
    def known(self) -> bool:
        """Whether the effective value is known."""
        return self.effective is not None and self.state in (EFFECTIVE, PROVISIONAL)

    @property
    def changed(self) -> bool:
        """Whether the boiler obeys something else than what was typed."""
        return self.known and self.typed is not None and not same(self.typed, self.effective)


def same(one: Value | None, other: Value | None) -> bool:
    """Return whether two values are the same, numbers within rounding."""
    if isinstance(one, bool) or isinstance(other, bool):
        return one is other
    if isinstance(one, float | int) and isinstance(other, float | int):
        return abs(one - other) <= TOLERANCE * max(1.0, abs(one), abs(other))
    return one == other


def resolve(control: Control, profile: Profile) -> dict[str, Effect]:
    """Return every setting of the control and of the profile, resolved. Pure: no file, clock or network.

    Args:
        control: the control's description.
        profile: settings as typed, facts, accessories, size and what has happened since.
    """
    return _Resolver(control, profile).all()


class _Resolver:
    def __init__(self, control: Control, profile: Profile) -> None:
        self.control = control
        self.profile = profile
        self.done: dict[str, Effect] = {}

    def all(self) -> dict[str, Effect]:
        names = dict.fromkeys([*self.control.rows, *self.profile.settings])
        return {name: self.effect(name) for name in names}

    def effect(self, name: str) -> Effect:
        known = self.done.get(name)
        if known is None:
            known = self.done[name] = self._resolve(name)
        return known

    def _resolve(self, name: str) -> Effect:
        entry, row = self.profile.settings.get(name), self.control.rows.get(name)
        typed = entry.typed if entry else None
        if row is None:
            text = f"The control file {self.control.name} does not describe {SETTINGS[name].title}."
            return Effect(name, typed, None, None, UNKNOWN, (Reason("unknown", text),))
        effect = _Setting(self, row, entry).run()
        return replace(effect, unit=row.unit)


class _Setting:
    """The nine steps for one setting; each step returns True where the value is settled."""

    def __init__(self, resolver: _Resolver, row: Row, entry: Entry | None) -> None:
        self.resolver = resolver
        self.row = row
        self.entry = entry
        self.kind = SETTINGS[row.name].kind
        self.title = SETTINGS[row.name].title
        self.system: System = resolver.profile.system
        self.default = row.default_for(resolver.profile.size)
        self.reasons: list[Reason] = []
        self.state = EFFECTIVE
        self.typed = entry.typed if entry else None
        self.value: Value | None = self.typed
        self.stored: Value | None = self.typed
        self.band: tuple[float, float] | None = None
        self.at_default = False

    def say(self, kind: str, text: str) -> None:
        self.reasons.append(Reason(kind, text))

    def shown(self, value: Value | None) -> str:
        return show_value(value, self.kind, self.system, self.row.unit)

    def asked(self) -> str:
        return f"You asked for {self.shown(self.typed)}."

    def result(self) -> Effect:
        gone = self.state not in (EFFECTIVE, PROVISIONAL)
        return Effect(
            self.row.name, self.typed, self.stored, None if gone else self.value, self.state,
            tuple(self.reasons), self.at_default, band=self.band,
        )  # fmt: skip

    def settle(self, state: str, kind: str, text: str) -> Effect:
        self.state = state
        self.say(kind, text)
        return self.result()

    def take_default(self) -> bool:
        """Put the default in place; False where nobody knows it."""
        self.value = self.stored = self.default
        self.at_default = True
        return self.default is not None

    def run(self) -> Effect:
        if self.row.treatments is None:
            text = f"The control file {self.resolver.control.name} does not say how it treats {self.title}."
            return self.settle(UNKNOWN, "unknown", text)
        refused = self.preconditions()
        if refused is not None:
            return refused
        if self.entry is None:
            return self.settle(NOT_RECORDED, "not recorded", f"The profile does not record {self.title}.")
        if self.entry.left in ("not applicable", "not reachable"):
            state = NOT_APPLICABLE if self.entry.left == "not applicable" else UNKNOWN
            return self.settle(state, self.entry.left, f"The profile says of {self.title}: {self.entry.left}.")
        if self.entry.left == "default" and not self.take_default():
            return self.settle(UNKNOWN, "unknown default", self._unknown_default())
        if self.typed is not None and self.row.access == "factory" and not self.factory_only():
            return self.result()
        if self.typed is not None and not self.at_default:
            if not self.acceptance():
                return self.result()
            self.transformation()
            self.bands()
        if not self.others():
            return self.result()
        self.provisional()
        self.persistence()
        return self.result()

    def _unknown_default(self) -> str:
        size = self.resolver.profile.size
        if self.row.default_by_size:
            known = ", ".join(self.row.default_by_size)
            return f"The default of {self.title} depends on the size ({known}); the profile says {size or 'none'}."
        return f"The control file {self.resolver.control.name} does not state the default of {self.title}."

    # 1
    def factory_only(self) -> bool:
        asked = self.asked()
        if not self.take_default():
            self.settle(UNKNOWN, "factory only", f"{asked} Only the factory sets {self.title}; its value is unknown.")
            return False
        if not same(self.typed, self.default):
            self.say(
                "factory only", f"{asked} Only the factory sets {self.title}; it stays at {self.shown(self.value)}."
            )
        return True

    # 2
    def preconditions(self) -> Effect | None:
        for need in self.row.needs:
            what, met = self._met(need)
            if met:
                continue
            if met is None:
                return self.settle(
                    UNKNOWN, "unknown need", f"{self.title} needs {what}; whether it is so is not known."
                )
            asked = f"{self.asked()} " if self.typed is not None else ""
            if need.otherwise == "not applicable":
                return self.settle(
                    NOT_APPLICABLE, "not applicable", f"{asked}{self.title} does not apply: it needs {what}."
                )
            if need.otherwise == "ignored":
                return self.settle(IGNORED, "ignored", f"{asked}This control shows it and ignores it: it needs {what}.")
            if need.otherwise == "off":
                self.value = False if self.kind.value == "flag" else OFF
                return self.settle(EFFECTIVE, "off without", f"{asked}It stays off: it needs {what}.")
            if not self.take_default():
                return self.settle(UNKNOWN, "unknown default", self._unknown_default())
            return self.settle(
                EFFECTIVE,
                "default without",
                f"{asked}It runs at its default {self.shown(self.value)}: it needs {what}.",
            )
        return None

    def _met(self, need: Need) -> tuple[str, bool | None]:
        profile = self.resolver.profile
        wanted = " or ".join(show_value(value, self.kind, self.system) for value in need.values)
        if need.accessory is not None:
            fitted = profile.fact_value(f"accessories.{need.accessory}")
            return need.accessory.replace("_", " "), None if fitted is None else fitted is True
        if need.fact is not None:
            value = profile.fact_value(need.fact)
            what = f"{need.fact} = {wanted}"
        else:
            assert need.setting is not None
            value = self.resolver.effect(need.setting).effective
            what = f"{SETTINGS[need.setting].title} = {wanted}"
        return what, None if value is None else any(same(value, one) for one in need.values)

    # 3
    def acceptance(self) -> bool:
        value, row = self.value, self.row
        if not isinstance(value, float):
            return True
        bound = row.low if row.low is not None and value < row.low - TOLERANCE else None
        if row.high is not None and value > row.high + TOLERANCE:
            bound = row.high
        if bound is not None:
            span = f"{self.shown(row.low)} to {self.shown(row.high)}"
            if row.outside == "unknown":
                text = f"{self.asked()} The range is {span}; what this control does outside it is not known."
                self.settle(UNKNOWN, "outside the range", text)
                return False
            if row.outside == "refused":
                text = f"{self.asked()} This control refuses what is outside {span}; the value before it still stands."
                self.stored = None
                self.settle(UNKNOWN, "refused", text)
                return False
            self.value = bound
            hidden = row.outside.startswith("shown")
            self.stored = value if hidden else bound
            how = "shows it and runs at" if hidden else "keeps"
            self.say("range", f"{self.asked()} The range is {span}; this control {how} {self.shown(bound)}.")
        elif row.step:
            base = row.low if row.low is not None else 0.0
            stepped = base + round((value - base) / row.step) * row.step
            if not same(stepped, value):
                self.value = self.stored = stepped
                text = f"{self.asked()} This control goes in steps of {self._step()}; it keeps {self.shown(stepped)}."
                self.say("step", text)
        return True

    def _step(self) -> str:
        from settingslint.units import Kind

        kind = Kind.DIFFERENCE if self.kind is Kind.POINT else self.kind
        return show(self.row.step or 0.0, kind, self.system, self.row.unit)

    def _treatments(self, does: str) -> Iterator[Treatment]:
        return (item for item in self.row.treatments or () if item.does == does)

    # 4
    def transformation(self) -> None:
        for item in self._treatments("add"):
            if isinstance(self.value, float) and item.amount is not None:
                self.value += item.amount
                self.say("added", f"{self.asked()} This control adds to it; it runs at {self.shown(self.value)}.")

    # 5 and 6
    def bands(self) -> None:
        for item in self._treatments("ignore"):
            if not isinstance(self.value, float) or item.low is None or item.high is None or item.becomes is None:
                continue
            if item.low - TOLERANCE <= self.value <= item.high + TOLERANCE:
                self.value = item.becomes
                self.band = (item.low, item.high)
                span = f"{self.shown(item.low)} to {self.shown(item.high)}"
                text = f"{self.asked()} This control ignores {span}; it runs at {self.shown(item.becomes)}."
                self.say("ignored band", text)
        for item in self._treatments("off when"):
            if item.by is None and item.equals is not None and same(self.value, item.equals):
                self.say("special value", f"{self.asked()} On this control that means off.")
                self.value = OFF

    # 7
    def others(self) -> bool:
        for item in self.row.treatments or ():
            if item.by is None or not isinstance(self.value, float):
                continue
            other = self.resolver.effect(item.by)
            name = SETTINGS[item.by].title
            if other.effective == OFF or other.state in (NOT_APPLICABLE, IGNORED):
                continue
            if not isinstance(other.effective, float):
                self.settle(UNKNOWN, "unknown cap", f"{self.title} hangs on {name}, which is not known.")
                return False
            limit = other.effective
            beyond = self.value > limit + TOLERANCE if item.does == "cap" else self.value < limit - TOLERANCE
            if item.does in ("cap", "floor") and beyond:
                verb = "caps" if item.does == "cap" else "raises"
                asked = self.asked() if self.typed is not None else f"The default is {self.shown(self.value)}."
                self.value = limit
                self.say(item.does, f"{asked} The {name} {verb} it; it runs at {self.shown(limit)}.")
            if item.does == "off when" and same(self.value, limit):
                self.say(
                    "off when equal", f"{self.shown(self.value)} equals the {name}: on this control that means off."
                )
                self.value = OFF
        return True

    # 8
    def provisional(self) -> None:
        first_fired = self.resolver.profile.first_fired
        for item in self._treatments("at most until first firing"):
            if item.amount is None or first_fired not in (None, False):
                continue
            self.state = PROVISIONAL
            if first_fired is None:
                self.settle(
                    UNKNOWN, "first firing unknown", f"{self.title}: whether it has fired once is not recorded."
                )
            elif isinstance(self.value, float) and self.value > item.amount + TOLERANCE:
                self.value = self.stored = item.amount
                asked = self.asked() if self.typed is not None else f"The default is {self.shown(self.default)}."
                text = (
                    f"{asked} Until the burner has fired once this control shows and allows {self.shown(item.amount)}."
                )
                self.say("provisional", text)
            else:
                self.say("provisional", f"{self.title} stands until the first firing and must be read again after it.")

    # 9
    def persistence(self) -> None:
        happened = [event for event in self.resolver.profile.since if event in self.row.lost_on]
        if happened and self.typed is not None and not self.at_default:
            asked = self.asked()
            if self.take_default():
                self.say("lost", f"{asked} Lost at the {happened[0]} since; it runs at {self.shown(self.value)}.")
            else:
                self.settle(UNKNOWN, "lost", f"{asked} Lost at the {happened[0]} since; the default is not known.")


def effective_values(effects: Mapping[str, Effect]) -> dict[str, Value]:
    """Return the known effective values by setting, SI."""
    return {name: effect.effective for name, effect in effects.items() if effect.known and effect.effective is not None}
