"""An effect that is found again is the one that the steps would give now, whatever they ask on the way to it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from settingslint.model import kept, treatment
from settingslint.model.control import Control
from settingslint.model.control_file import control_from
from settingslint.model.profile import Fact, Profile, profile_from
from settingslint.model.treatment import resolve, resolve_again
from tests.model.test_treatment import control_of, profile_of
from tests.strategies import Data, plants, source_of

ROWS = """
[setting.heating_setpoint]
range = { low = 80, high = 190, outside = "moved to the end" }
treatments = []
[setting.hot_water_boiler_setpoint]
treatments = [{ does = "cap", by = "heating_setpoint" }]
"""
RECORDED = "heating_setpoint = 150\nhot_water_boiler_setpoint = 170"
MANY = settings(max_examples=100, deadline=None, suppress_health_check=list(HealthCheck))


def fresh(control: Control) -> Control:
    """Return a control that has been asked about nothing yet."""
    return replace(control)


def with_fact(profile: Profile, name: str, value: float) -> Profile:
    return replace(profile, facts={**profile.facts, name: Fact(value)})


@MANY
@given(st.lists(plants(), min_size=2, max_size=5))
def test_one_control_for_many_plants_gives_what_a_control_of_its_own_gives(many: list[tuple[Data, Data]]) -> None:
    controls = [control_from(source_of(control)) for control, _ in many]
    profiles = [profile_from(source_of(profile)) for _, profile in many]
    for control in controls[:2]:
        for profile in [*profiles, *profiles]:
            assert resolve(control, profile) == resolve(fresh(control), profile)


def test_what_was_worked_out_once_is_found_again() -> None:
    control = control_of(ROWS)
    one, other = (resolve(control, profile_of(RECORDED))["hot_water_boiler_setpoint"] for _ in range(2))
    assert one is other


@pytest.mark.parametrize("what", ["a fact", "another setting", "the serial"])
def test_a_step_that_asks_one_more_thing_never_gets_a_stale_effect(what: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The step is put in at the end: nothing but the step itself says what it asks."""
    real = treatment._Setting.persistence

    def serial(known: treatment._Known, _: str) -> str | None:
        return known.profile.serial

    def persistence(self: treatment._Setting) -> None:
        real(self)
        if self.row.name == "hot_water_boiler_setpoint":
            question, name = more
            self.say("more", f"{self.ask(question, name)}")

    more: tuple[Callable[[Any, str], Any], str] = {
        "a fact": (treatment._Known.fact, "site.elevation"),
        "another setting": (treatment._Known.runs_at, "tank_setpoint"),
        "the serial": (serial, ""),
    }[what]
    monkeypatch.setattr(treatment._Setting, "persistence", persistence)
    control = control_of(ROWS + "[setting.tank_setpoint]\ntreatments = []\n")
    seen = set()
    for number in (1.0, 2.0, 3.0):
        profile = profile_of(f"{RECORDED}\ntank_setpoint = {120 + number}", plant=f"serial = 'K-{number}'")
        profile = with_fact(profile, "site.elevation", number)
        effect = resolve(control, profile)["hot_water_boiler_setpoint"]
        assert effect == resolve(fresh(control), profile)["hot_water_boiler_setpoint"]
        seen.add(effect.reasons)
        if more[1]:
            entries = profile_of("tank_setpoint = 139").settings
            changed = replace(with_fact(profile, "site.elevation", 9.0), settings={**profile.settings, **entries})
            again = resolve_again(control, changed, resolve(control, profile), [more[1]])
            assert again["hot_water_boiler_setpoint"] == resolve(fresh(control), changed)["hot_water_boiler_setpoint"]
    assert len(seen) == 3


def test_more_effects_than_are_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(kept, "MOST", 3)
    control, profiles = control_of(ROWS), [profile_of(f"heating_setpoint = {typed}") for typed in range(100, 110)]
    first = resolve(control, profiles[0])["heating_setpoint"]
    for profile in [*profiles, *profiles]:
        assert resolve(control, profile) == resolve(fresh(control), profile)
    again = resolve(control, profiles[0])["heating_setpoint"]
    assert again == first and again is not first


def test_yes_and_one_are_two_answers() -> None:
    """No schema lets both stand at one place; the tree does not rely on it."""
    control = control_of(ROWS)
    profile = profile_of("heating_setpoint = 150")
    entry = profile.settings["heating_setpoint"]
    for typed in (1.0, True):
        changed = replace(profile, settings={"heating_setpoint": entry._replace(typed=typed)})
        assert resolve(control, changed)["heating_setpoint"].typed is typed
