"""From typed to effective: what a control makes of each value, with the sentence that says so.

One pure function, `resolve`, goes through the same steps for every setting, in this order:

1. access: a setting that only the factory sets does not take what is typed;
2. preconditions: what it needs (accessory, arrangement, mode) and what happens without;
3. acceptance: range, then step (a number that means "off" is taken wherever it lies);
4. transformation: an amount the control adds;
5. bands that the control ignores: the first that holds the value;
6. special values that mean "off";
7. other settings, by their own effective values: caps, then floors, then off when equal;
8. state: provisional until the burner has fired once;
9. persistence: what has happened since and lost it. The default that comes back goes through 4 to 8.

A default, in place of what was typed, skips 3 only. What the control file does not state stays unknown.

The boiler outranks the control file. What was read back goes through 2, 4, 6 and 7 only, and `settingslint.model.held`
says whether that counts or what the file makes of what was typed; what was observed counts before both.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from settingslint.model.control import AS_TYPED, NEW_BOARD, Control, Need, Row, Treatment
from settingslint.model.effect import (
    EFFECTIVE,
    IGNORED,
    NOT_APPLICABLE,
    NOT_RECORDED,
    PROVISIONAL,
    SAID,
    TOLERANCE,
    UNKNOWN,
    Effect,
    Reason,
    same,
)
from settingslint.model.held import Display, bound_of, decided, explained, observed, stepped, why_not
from settingslint.model.kept import Asked
from settingslint.model.known import Known
from settingslint.model.profile import Profile
from settingslint.model.values import Value, kind_of, show_value, title_of
from settingslint.units import Kind, System, show
from settingslint.vocabulary.settings import OFF, SETTINGS


def resolve(control: Control, profile: Profile) -> dict[str, Effect]:
    """Return every setting of the control and of the profile, resolved. Pure: no file, clock or network.

    Args:
        control: the control's description.
        profile: settings as typed, facts, accessories, size and what has happened since.
    """
    known = _Known(control, profile, {})
    return {name: known.effect(name) for name in dict.fromkeys([*control.rows, *profile.settings])}


def resolve_again(
    control: Control, profile: Profile, before: Mapping[str, Effect], changed: Iterable[str]
) -> dict[str, Effect]:
    """Return the settings whose effects may be others after a change.

    Args:
        control: the control's description.
        profile: the profile after the change.
        before: all effects that it had with this control before.
        changed: the names of the settings and facts that were replaced.
    """
    moved = control.kept.moved_by(changed)
    known = _Known(control, profile, {name: effect for name, effect in before.items() if name not in moved})
    return {name: known.effect(name) for name in moved if name in control.rows or name in profile.settings}


class _Known(Known):
    """What is recorded, and what each setting runs at, calculated when it is first needed."""

    def __init__(self, control: Control, profile: Profile, done: dict[str, Effect]) -> None:
        super().__init__(profile)
        self.control = control
        self.done = done

    def effect(self, name: str) -> Effect:
        effect = self.done.get(name)
        if effect is None:
            effect = self.control.kept.find(name, self) or self._resolved(name)
            self.done[name] = effect
        return effect

    def _resolved(self, name: str) -> Effect:
        row = self.control.rows.get(name)
        if row is None:
            text = f"The control file {self.control.name} does not describe {SETTINGS[name].title}."
            effect = Effect(name, self.typed(name), None, None, UNKNOWN, (Reason("unknown", text),))
            seen = self.observed(name)
            display = Display(SETTINGS[name].kind, self.profile.system, self.control.system)
            return effect if seen is None else observed(effect, seen, display)
        asked = Asked(self)
        effect = _Setting(self.control, row, asked).best()
        self.control.kept.keep(name, asked, effect)
        return effect


def _event(word: str) -> str:
    """Return what has happened to a control, in words."""
    return "control board replaced" if word == NEW_BOARD else word


class _Setting:
    """The nine steps for one setting; a step that returns False has settled that the value is not known.

    They know the control, the setting's row and what they ask: the effect is kept for all plants with the same answers.
    `held` is a value that the control has, as was read at the boiler, in place of what was typed.
    """

    def __init__(self, control: Control, row: Row, ask: Asked, held: Value | None = None) -> None:
        self.control = control
        self.row = row
        self.ask = ask
        self.kind = SETTINGS[row.name].kind
        self.title = SETTINGS[row.name].title
        self.reasons: list[Reason] = []
        self.state = EFFECTIVE
        self.typed = self.ask(_Known.typed, row.name)
        self.held = held is not None and row.read_back != AS_TYPED
        self.read = held is not None
        self.start: Value | None = held if held is not None else self.typed
        self.value: Value | None = self.start
        self.stored: Value | None = self.start
        self.band: tuple[float, float] | None = None
        self.at_default = False

    @property
    def system(self) -> System:
        return self.ask(_Known.system)

    @property
    def default(self) -> Value | None:
        return self.row.default_for(self.ask(_Known.size))

    def say(self, kind: str, text: str) -> None:
        self.reasons.append(Reason(kind, text[:1].upper() + text[1:]))

    def shown(self, value: Value | None) -> str:
        return show_value(value, self.kind, self.system, self.row.unit)

    def shown_step(self, size: float) -> str:
        kind = Kind.DIFFERENCE if self.kind is Kind.POINT else self.kind
        return show(size, kind, self.system, self.row.unit)

    def span(self, low: float | None, high: float | None) -> str:
        """Return `91 to 99 %`, `190 F and more`, `80 F and less`."""
        if low is not None and high is not None:
            return f"{show_value(low, self.kind, self.system, '')} to {self.shown(high)}"
        return f"{self.shown(low)} and more" if high is None else f"{self.shown(high)} and less"

    def asked(self) -> str:
        if self.read and not self.at_default:
            return f"Read back {self.shown(self.start)}."
        return f"{'The default is' if self.at_default else 'Typed'} {self.shown(self.start)}."

    def result(self) -> Effect:
        gone = self.state not in (EFFECTIVE, PROVISIONAL)
        return Effect(
            self.row.name, self.typed, self.stored, None if gone else self.value, self.state,
            tuple(self.reasons), self.at_default, self.row.unit, self.band,
        )  # fmt: skip

    def settle(self, state: str, kind: str, text: str) -> None:
        self.state = state
        self.say(kind, text)

    def take_default(self) -> bool:
        """Put the default in place; False where nobody knows it."""
        self.start = self.value = self.stored = self.default
        self.at_default, self.held = True, False
        return self.default is not None

    def best(self) -> Effect:
        """Return what the setting runs at by the best that is known of it."""
        effect = self.run()
        back, seen = self.ask(_Known.read_back, self.row.name), self.ask(_Known.observed, self.row.name)
        if back is None and seen is None:
            return effect
        row, display = self.row, Display(self.kind, self.system, self.control.system, self.row.unit)
        if back is not None and row.treatments is not None and not explained(row, back, effect, display):
            held = _Setting(self.control, row, self.ask, back).run()
            effect = decided(row, back, effect, held, self.why_not(back, display), display)
        return effect if seen is None else observed(effect, seen, display)

    def why_not(self, back: Value, display: Display) -> tuple[str, ...]:
        """Return why the control can't show a value, by its file."""
        if self.row.read_back == AS_TYPED:
            return ()
        first = [one.amount for one in self._treatments("at most until first firing") if one.amount is not None]
        most = min(first) if first and self.ask(_Known.fired) is False else None
        return tuple(why_not(self.row, back, self.default, most, display))

    def run(self) -> Effect:
        if self.row.treatments is None:
            control = self.control.name
            self.settle(UNKNOWN, "unknown", f"the control file {control} does not say how it treats {self.title}.")
            return self.result()
        self.access()
        if self.preconditions() and self.recorded():
            if self.at_default or self.held or self.acceptance():
                self.onward()
            self.persistence()
        return self.result()

    def onward(self) -> None:
        """Steps 4 to 8, which a default goes through as well."""
        self.transformation()
        if self.bands() and self.others():
            self.provisional()

    # 1
    def access(self) -> None:
        if self.row.access != "factory" or self.start is None or self.held:
            return
        asked, start = self.asked(), self.start
        known = self.take_default()
        if not known or not same(start, self.default):
            stays = f"it stays at {self.shown(self.value)}" if known else "what it is set to is not known"
            self.say("factory only", f"{asked} Only the factory sets {self.title}; {stays}.")

    # 2
    def preconditions(self) -> bool:
        for need in self.row.needs:
            what, met = self._met(need)
            if met:
                continue
            if met is None:
                self.settle(UNKNOWN, "unknown need", f"{self.title} needs {what}; whether that is so is not known.")
                return False
            asked = f"{self.asked()} " if self.start is not None else ""
            if need.otherwise == "not applicable":
                self.settle(NOT_APPLICABLE, "not applicable", f"{asked}It does not apply: it needs {what}.")
                return False
            if need.otherwise == "ignored":
                self.settle(IGNORED, "ignored", f"{asked}This control shows it and ignores it: it needs {what}.")
                return False
            if need.otherwise == "off":
                self.value = False if self.kind is Kind.FLAG else OFF
                self.settle(EFFECTIVE, "off without", f"{asked}It stays off: it needs {what}.")
                return False
            if not self.held and self.take_default():
                self.say("default without", f"{asked}It runs at its default {self.shown(self.value)}: it needs {what}.")
        return True

    def _met(self, need: Need) -> tuple[str, bool | None]:
        if need.accessory is not None:
            fitted = self.ask(_Known.fact, f"accessories.{need.accessory}")
            return title_of(f"accessories.{need.accessory}"), None if fitted is None else fitted is True
        about = need.fact or need.setting
        assert about is not None  # the schema sees to it
        wanted = " or ".join(show_value(value, kind_of(about), self.system) for value in need.values)
        what = f"{title_of(about)}: {wanted}"
        if need.fact is not None:
            value = self.ask(_Known.fact, need.fact)
        else:
            if self.ask(_Known.state, about) in (NOT_APPLICABLE, IGNORED):
                return what, False
            value = self.ask(_Known.runs_at, about)
        return what, None if value is None else any(same(value, one) for one in need.values)

    def recorded(self) -> bool:
        """Take what the profile records; False where that is no value."""
        left = None if self.read else self.ask(_Known.left, self.row.name)
        if self.at_default:  # by access or a need, whatever is recorded
            if self.default is None:
                self.settle(UNKNOWN, "unknown default", self._unknown_default())
        elif left == NOT_RECORDED:
            self.settle(NOT_RECORDED, left, f"the profile does not record {self.title}.")
        elif left == "not applicable":
            self.settle(NOT_APPLICABLE, SAID, f"the profile says that {self.title} does not apply.")
        elif left == "not reachable":
            self.settle(UNKNOWN, left, f"the profile says that {self.title} could not be reached.")
        elif left == "default":
            seen = self.typed
            if not self.take_default() and seen is None:
                self.settle(UNKNOWN, "unknown default", self._unknown_default())
            elif seen is not None and not same(seen, self.default):
                asked = "" if self.default is None else f" The control file states {self.shown(self.default)}."
                self.start = self.value = self.stored = seen
                self.say("default as seen", f"left at its default, which was seen as {self.shown(seen)}.{asked}")
        return self.state == EFFECTIVE

    def _unknown_default(self) -> str:
        size = self.ask(_Known.size)
        if self.row.default_by_size:
            known = ", ".join(self.row.default_by_size)
            has = f"says {size}" if size else "does not say the size"
            return f"the default of {self.title} depends on the size ({known}); the profile {has}."
        return f"the control file {self.control.name} does not state the default of {self.title}."

    # 3
    def acceptance(self) -> bool:
        value, row = self.value, self.row
        if not isinstance(value, float) or any(same(value, item.equals) for item in self._treatments("off when")):
            return True
        bound = bound_of(row, value)
        if bound is None:
            self._step(value)
            return True
        span = self.span(row.low, row.high)
        if row.outside == "unknown":
            text = f"{self.asked()} The range is {span}; what this control does outside it is not known."
            self.settle(UNKNOWN, "outside the range", text)
            return False
        if row.outside == "refused":
            self.stored = None
            text = f"{self.asked()} This control takes {span} only and refuses the rest; it keeps what it had before."
            self.settle(UNKNOWN, "refused", text)
            return False
        self.value = bound
        hidden = row.outside.startswith("shown")
        self.stored = value if hidden else bound
        how = f"shows {self.shown(value)} and runs at" if hidden else "keeps"
        self.say("range", f"{self.asked()} The range is {span}; this control {how} {self.shown(bound)}.")
        return True

    def _step(self, value: float) -> None:
        nearest = stepped(self.row, value, self.control.system)
        if not same(nearest, value):
            assert self.row.step is not None
            self.value = self.stored = nearest
            text = f"goes in steps of {self.shown_step(self.row.step)}; it keeps {self.shown(nearest)}"
            self.say("step", f"{self.asked()} This control {text}.")

    def _treatments(self, does: str) -> Iterator[Treatment]:
        return (item for item in self.row.treatments or () if item.does == does)

    # 4
    def transformation(self) -> None:
        for item in self._treatments("add"):
            if isinstance(self.value, float) and item.amount is not None:
                self.value += item.amount
                adds = f"adds {self.shown_step(item.amount)}; it runs at {self.shown(self.value)}"
                self.say("added", f"{self.asked()} This control {adds}.")

    # 5 and 6
    def bands(self) -> bool:
        for item in self._treatments("ignore"):
            if not isinstance(self.value, float) or item.low is None or item.high is None or self.held:
                continue
            if item.low - TOLERANCE <= self.value <= item.high + TOLERANCE:
                self.band = (item.low, item.high)
                if item.becomes is None:
                    text = f"ignores {self.span(item.low, item.high)}; what it runs at instead is not known"
                    self.settle(UNKNOWN, "ignored band", f"{self.asked()} This control {text}.")
                    return False
                self.value = item.becomes
                ignores = f"ignores {self.span(item.low, item.high)}; it runs at {self.shown(item.becomes)}"
                self.say("ignored band", f"{self.asked()} This control {ignores}.")
                break
        for item in self._treatments("off when"):
            if item.equals is not None and same(self.value, item.equals):
                self.say("special value", f"{self.asked()} On this control {self.shown(self.value)} means off.")
                self.value = OFF
        return True

    # 7
    def others(self) -> bool:
        for does in ("cap", "floor", "off when"):
            for item in self._treatments(does):
                if item.by is not None and isinstance(self.value, float) and not self._other(item, item.by):
                    return False
        return True

    def _other(self, item: Treatment, by: str) -> bool:
        name = SETTINGS[by].title
        limit, value = self.ask(_Known.runs_at, by), self.value
        if limit == OFF or self.ask(_Known.state, by) in (NOT_APPLICABLE, IGNORED):
            return True
        if not isinstance(limit, float) or not isinstance(value, float):
            depends = "is switched off where it equals" if item.does == "off when" else f"has a {item.does} by"
            self.settle(UNKNOWN, f"unknown {item.does}", f"{self.title} {depends} the {name}, which is not known.")
            return False
        beyond = value > limit + TOLERANCE if item.does == "cap" else value < limit - TOLERANCE
        if item.does == "off when":
            if same(value, limit):
                lead = f"{self.asked()} It" if same(value, self.start) else "That"
                self.say("off when equal", f"{lead} equals the {name}: on this control that means off.")
                self.value = OFF
        elif beyond:
            does = "caps" if item.does == "cap" else "raises"
            self.value = limit
            self.say(item.does, f"{self.asked()} The {name} {does} it; it runs at {self.shown(limit)}.")
        return True

    # 8
    def provisional(self) -> None:
        for item in self._treatments("at most until first firing"):
            most, fired = item.amount, self.ask(_Known.fired)
            if most is None or fired:
                continue
            above = isinstance(self.value, float) and self.value > most + TOLERANCE and not self.held
            if fired is None:
                if above:
                    text = f"allows at most {self.shown(most)} until the first firing, which is not recorded"
                    self.settle(UNKNOWN, "first firing unknown", f"{self.asked()} This control {text}.")
                continue
            self.state = PROVISIONAL
            if above:
                self.value = self.stored = most
                text = f"Until the burner has fired once this control shows and allows {self.shown(most)}."
                self.say("provisional", f"{self.asked()} {text}")
            else:
                self.say("provisional", f"{self.title} holds until the first firing; read it again after it.")

    # 9
    def persistence(self) -> None:
        if not self.row.lost_on or self.at_default:
            return
        happened = [event for event in self.ask(_Known.since) if event in self.row.lost_on]
        if not happened:
            return
        asked = self.asked()
        self.state, self.band = EFFECTIVE, None
        if self.take_default():
            self.say("lost", f"{asked} Lost since ({_event(happened[0])}); it is back at {self.shown(self.value)}.")
            self.onward()
        else:
            self.settle(UNKNOWN, "lost", f"{asked} Lost since ({_event(happened[0])}); the default is not known.")
