"""A plant with other values: settings typed anew or seen to run at a value, other facts, and what follows from them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from settingslint.model.control import Control
from settingslint.model.effect import Effect
from settingslint.model.profile import Entry, Fact, Profile
from settingslint.model.treatment import resolve_again
from settingslint.model.values import Value
from settingslint.vocabulary.settings import SETTINGS

TRIED = "tried"
"""The reason of a setting, and the source of a fact, that nobody recorded."""


def instead(
    control: Control, profile: Profile, effects: Mapping[str, Effect], values: Mapping[str, Value]
) -> tuple[Profile, Mapping[str, Effect], frozenset[str]]:
    """Return a profile with some settings and facts replaced, all its effects, and the names that moved. Pure.

    Args:
        control: the control's description.
        profile: the profile as it is.
        effects: its effects.
        values: what to put in place, SI: settings by name, facts by dotted name, `emitter[0].mixed` of an emitter that
            is recorded or that follows after those.
    """
    typed = {name: value for name, value in values.items() if name in SETTINGS}
    told = {name: value for name, value in values.items() if name not in SETTINGS}
    entries = {**profile.settings}
    for name, value in typed.items():
        entries[name] = Entry(name, value, why=TRIED, on=entries[name].on if name in entries else None)
    return _resolved(control, _with_facts(replace(profile, settings=entries), told), effects, values)


def running(
    control: Control, profile: Profile, effects: Mapping[str, Effect], values: Mapping[str, Value]
) -> tuple[Profile, Mapping[str, Effect], frozenset[str]]:
    """Return a profile in which some settings were seen to run at values, all its effects, and the names that moved.

    What is recorded of them stays: typed, read back, why. Pure; the arguments are those of `instead`, settings alone.
    """
    entries = {**profile.settings}
    for name, value in values.items():
        entries[name] = entries.get(name, Entry(name, None))._replace(observed=value)
    return _resolved(control, replace(profile, settings=entries), effects, values)


def _resolved(
    control: Control, changed: Profile, effects: Mapping[str, Effect], values: Mapping[str, Value]
) -> tuple[Profile, Mapping[str, Effect], frozenset[str]]:
    anew = resolve_again(control, changed, effects, values)
    moved = frozenset([*values, *[name for name, one in anew.items() if one is not effects.get(name)]])
    return changed, {**effects, **anew}, moved


def _with_facts(profile: Profile, told: Mapping[str, Value]) -> Profile:
    if not told:
        return profile
    facts, emitters = {**profile.facts}, [{**one} for one in profile.emitters]
    for name, value in told.items():
        table, bracket, rest = name.partition("[")
        if bracket and table == "emitter":
            place, _, short = rest.partition("].")
            if int(place) == len(emitters):
                emitters.append({})
            emitters[int(place)][short] = Fact(value, TRIED)
        else:
            facts[name] = Fact(value, TRIED)
    return replace(profile, facts=facts, emitters=tuple(emitters))
