"""What a change does to the house: a plain line with numbers for each setting, and three sentences for all of it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from settingslint.history.changes import SettingChange
from settingslint.history.duty import asked_alike, classes_of
from settingslint.model.effect import IGNORED, NOT_APPLICABLE, same
from settingslint.physics import OutOfRange
from settingslint.physics.hot_water import recovery_time
from settingslint.physics.scald import describe
from settingslint.rules.base import DoesNotApply, Missing
from settingslint.rules.derived.line import band, own_line
from settingslint.rules.derived.need import known_need
from settingslint.rules.derived.output import cold_water, heating_output, high_input, hot_water_output, low_input
from settingslint.rules.plant import Plant
from settingslint.units import Celsius, Kelvin, Kind, celsius, unit_name
from settingslint.vocabulary.cautions import HARM
from settingslint.vocabulary.settings import SETTINGS

LINE: Final = frozenset({
    "heating_setpoint", "minimum_supply", "maximum_supply", "reset", "reset_endpoint", "reset_hot_supply",
    "reset_cold_outdoor", "reset_cool_supply", "reset_warm_outdoor", "reset_slope", "reset_shift",
})  # fmt: skip
"""Settings that make the heating supply line together."""
NO_EFFECT: Final = (NOT_APPLICABLE, IGNORED)
SENTENCES: Final = 3
DEFAULT: Final = "default"
BOARD: Final = 5
"""So many settings that lost what was typed are told together: a board was replaced or reset."""
MILD: Final = {"us": celsius(40.0), "metric": Celsius(5.0)}
"""A mild day, round in either unit system; beside the design day it shows the other end of the line."""


def meanings(changes: Sequence[SettingChange], old: Plant | None, new: Plant | None) -> dict[str, str]:
    """Return for each changed setting what it does to the house; nothing of a plant that comes or goes."""
    if old is None or new is None:
        return {change.name: "" for change in changes}
    lines: dict[str, str] = {}
    on_line = [change.name for change in changes if change.name in LINE and _moved(change)]
    for change in changes:
        if not _moved(change):
            text = _unmoved(change, new)
        elif change.name in LINE and change.name != on_line[0]:
            text = f"part of the same supply line as {SETTINGS[on_line[0]].title}"
        else:
            text = _moved_text(change, old, new)
        lines[change.name] = _with_reason(text, change)
    return lines


def _moved(change: SettingChange) -> bool:
    return not same(*change.effective)


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


def _with_reason(text: str, change: SettingChange) -> str:
    """Add the sentence that says why the control does something else than what it was set to."""
    effect = change.new_effect
    reasons = (
        effect.reasons if effect is not None and (effect.changed or effect.contradicted or not effect.known) else ()
    )
    said = " ".join(reason.text for reason in reasons)
    prefix = ""
    if (
        same(*change.typed)
        and _moved(change)
        and not (change.old and change.new and change.old.left != change.new.left)
    ):
        prefix = "Nothing was typed here; what the control makes of it changed. "
        if effect is not None and effect.contradicted:
            prefix = "Nothing was typed here; it was read at the boiler. "
    return " ".join(part for part in (prefix + _sentence(text) + "." if text else prefix.strip(), said) if part)


def _unmoved(change: SettingChange, new: Plant) -> str:
    effect = change.new_effect
    if effect is None or effect.effective is None:
        return "" if effect is not None and effect.reasons else "no change at the boiler"
    entry, was = change.new, change.old
    if entry is not None and was is not None and entry.until != was.until:
        return f"it stays at {new.show(change.name)}" + (f" until {entry.until}" if entry.until else ", for good")
    if entry is not None and entry.read_back is None and not same(entry.typed, effect.effective):
        return f"by the control file no change at the boiler: it runs at {new.show(change.name)} as before"
    return f"no change at the boiler: it runs at {new.show(change.name)} as before"


def _moved_text(change: SettingChange, old: Plant, new: Plant) -> str:
    before, after = change.effective
    if after is None:
        now = "it has no effect" if change.new_effect and change.new_effect.state in NO_EFFECT else "it is not known"
        return f"it was {_shown(old, new, change)[0]}; now {now}"
    if change.name in LINE:
        return _tried(lambda: supply_line(old, new), change, old, new)
    special = _SPECIAL.get(change.name)
    if special is None or before is None:
        return _plain(change, old, new)
    return _tried(lambda: special(old, new), change, old, new)


def _shown(old: Plant, new: Plant, change: SettingChange) -> tuple[str, str]:
    """Return both effective values in the units of the new profile."""
    before, after = change.effective
    none = "no effect" if change.old_effect and change.old_effect.state in NO_EFFECT else "not known"
    return (new.show(change.name, before) if before is not None else none), new.show(change.name, after)


def _plain(change: SettingChange, old: Plant, new: Plant) -> str:
    before, after = _shown(old, new, change)
    row = SETTINGS[change.name]
    return f"{row.title} {before} to {after} ({row.does})"


def _tried(say: Callable[[], str], change: SettingChange, old: Plant, new: Plant) -> str:
    try:
        return say()
    except Missing as lack:
        return f"{_plain(change, old, new)}; the rest needs {lack.name}"
    except (DoesNotApply, OutOfRange):
        return _plain(change, old, new)


def _from_to(plant: Plant, kind: Kind, before: float, after: float) -> str:
    """Return `160 to 150 F`, or `160 F as before` where both look the same."""
    one, other = plant.show(kind, before), plant.show(kind, after)
    if one == other:
        return f"{other} as before"
    unit = unit_name(kind, plant.system)
    return f"{one.removesuffix(' ' + unit)} to {other}"


def supply_line(old: Plant, new: Plant) -> str:
    """Return what the heating supply is on the design day and on a mild day, beside what the emitters need there."""
    lines = own_line(old), own_line(new)
    days = [new.point("site.design_outdoor")]
    if days[0] < MILD[new.system] - 5:
        days.append(MILD[new.system])
    parts: list[str] = []
    for day in days:
        before, after = (line.supply(day) for line in lines)
        where = f"{'at' if parts else 'supply at'} {new.show(Kind.POINT, day)} outdoors"
        if before is None or after is None:
            shown = [new.show(Kind.POINT, one) if one is not None else "no heating" for one in (before, after)]
            parts.append(f"{where}: {shown[0]} before, {shown[1]} now")
        else:
            parts.append(f"{where} {_from_to(new, Kind.POINT, before, after)}")
        need = known_need(new, day)
        if need is not None and after is not None:
            short = need - after
            missing = f", {new.show(Kind.DIFFERENCE, short)} short" if short > 0.5 else ""
            parts[-1] += f" (needed: {new.show(Kind.POINT, need)}{missing})"
    return "; ".join(parts)


def _tank(old: Plant, new: Plant) -> str:
    before, after = old.point("tank_setpoint"), new.point("tank_setpoint")
    text = f"tank {_from_to(new, Kind.POINT, before, after)}; unmixed it burns in {describe(after)}"
    try:
        times = [_recovery(plant) for plant in (old, new)]
    except (Missing, DoesNotApply, OutOfRange):
        return text
    shown = [new.show(Kind.MINUTES, one) for one in times]
    return f"{text}; about {shown[1]} from cold, before {shown[0]}"


def _recovery(plant: Plant) -> float:
    cold, _ = cold_water(plant)
    rise = Kelvin(plant.point("tank_setpoint") - cold)
    return recovery_time(plant.number("hot_water.tank_volume"), rise, hot_water_output(plant))


def _boiler_target(old: Plant, new: Plant) -> str:
    name = "hot_water_boiler_setpoint"
    text = f"boiler water for hot water {_from_to(new, Kind.POINT, old.point(name), new.point(name))}"
    tank = new.known("tank_setpoint")
    if isinstance(tank, float):
        text += f"; the tank is set to {new.show(Kind.POINT, tank)}"
    return text


def _shutdown(old: Plant, new: Plant) -> str:
    shown = [plant.known("warm_weather_shutdown") for plant in (old, new)]
    words = [new.show("warm_weather_shutdown", one) if one is not None else "not known" for one in shown]
    text = f"heating stops above {words[1]} outdoors, before {words[0]}"
    balance = new.known("building.balance_point")
    return text + (f"; the building needs heat below {new.show(Kind.POINT, balance)}" if balance is not None else "")


def _band(old: Plant, new: Plant) -> str:
    before, after = band(old), band(new)
    return f"swing between burner start and stop {_from_to(new, Kind.DIFFERENCE, before, after)}"


def _input(old: Plant, new: Plant) -> str:
    low = low_input(old), low_input(new)
    high = high_input(old), high_input(new)
    return (
        f"input at low fire {_from_to(new, Kind.POWER, *low)}, at high fire {_from_to(new, Kind.POWER, *high)}"
        " (about, unproved)"
    )


def _heating_rate(old: Plant, new: Plant) -> str:
    text = f"most heat while heating {_from_to(new, Kind.POWER, heating_output(old), heating_output(new))}"
    load = new.known("building.design_load")
    return f"{text} (about)" + (f"; the design day needs {new.show(Kind.POWER, load)}" if load is not None else "")


def _hot_water_rate(old: Plant, new: Plant) -> str:
    outputs = hot_water_output(old), hot_water_output(new)
    return f"most heat while hot water is made {_from_to(new, Kind.POWER, *outputs)} (about)"


def _priority(old: Plant, new: Plant) -> str:
    words = [new.show("priority_time_limit", plant.value("priority_time_limit")) for plant in (old, new)]
    text = f"heating waits for hot water at most {words[1]}, before {words[0]}"
    try:
        return f"{text}; the tank takes about {new.show(Kind.MINUTES, _recovery(new))} from cold"
    except (Missing, DoesNotApply, OutOfRange):
        return text


_SPECIAL: Final[dict[str, Callable[[Plant, Plant], str]]] = {
    "tank_setpoint": _tank,
    "hot_water_boiler_setpoint": _boiler_target,
    "warm_weather_shutdown": _shutdown,
    "heating_differential": _band,
    "heating_overshoot": _band,
    "maximum_fan_speed": _input,
    "minimum_fan_speed": _input,
    "heating_maximum_rate": _heating_rate,
    "hot_water_maximum_rate": _hot_water_rate,
    "priority_time_limit": _priority,
}


# the whole change -----------------------------------------------------------------------------------------------------


def quiet(change: SettingChange) -> bool:
    """Return whether a setting runs as before and nobody typed another value: it was only recorded otherwise."""
    effects = change.old_effect, change.new_effect
    if any(one is None or not (one.known or one.state in NO_EFFECT) or one.contradicted for one in effects):
        return False
    before, after = change.typed
    retyped = before is not None and after is not None and not same(before, after)
    ends = [entry.until if entry is not None else None for entry in (change.old, change.new)]
    return not (_moved(change) or retyped or _changed(change) or ends[0] != ends[1])


def house(changes: Sequence[SettingChange], old: Plant | None, new: Plant | None) -> list[str]:
    """Return what a whole change does to the house in at most three sentences, what can hurt people first."""
    if old is None or new is None:
        return []
    loud = [change for change in changes if not quiet(change)]
    told = [_at_default(loud)]
    told += [_in_house(change, old, new) for change in sorted(loud, key=lambda one: _rank(one, new))]
    return [_sentence(text) + "." for text in dict.fromkeys(told) if text][:SENTENCES]


def _rank(change: SettingChange, new: Plant) -> tuple[bool, int]:
    classes = classes_of(change, new)
    return asked_alike(change), min((HARM.index(name) for name in classes if name in HARM), default=len(HARM))


def _at_default(changes: Sequence[SettingChange]) -> str:
    """Return how many settings are at the control's default that somebody had set, where a board explains it."""
    count = sum(
        change.old is not None and change.old.typed is not None
        and change.new is not None and change.new.left == DEFAULT
        for change in changes
    )  # fmt: skip
    return f"{count} settings run at the control's default and not as they were set" if count >= BOARD else ""


def _changed(change: SettingChange) -> bool:
    return change.new_effect is not None and change.new_effect.changed


def _in_house(change: SettingChange, old: Plant, new: Plant) -> str:
    effect, entry, title = change.new_effect, change.new, SETTINGS[change.name].title
    if entry is not None and entry.typed is not None and effect is not None:
        asked = new.show(change.name, entry.typed)
        if effect.contradicted and entry.read_back is not None:
            return f"{title} is set to {asked} and reads back {new.show(change.name, entry.read_back)}"
        if effect.changed and change.name not in LINE:
            return f"{title} is set to {asked} and runs at {new.show(change.name, effect.effective)}"
        if not effect.known and effect.state not in NO_EFFECT:
            return f"{title} is set to {asked}; what it runs at is not known"
    if _moved(change):
        text = _moved_text(change, old, new)
        return f"{title}: {text}" if change.effective[1] is None else text
    return f"{title}: {text}" if (text := _unmoved(change, new)) else ""
