# ruff: noqa: E501
"""The boiler outranks the control file: observed, then read back, then typed and treated. Every figure is invented."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from settingslint.model.control_file import control_from
from settingslint.model.effect import CANT_BE, EFFECTIVE, IGNORED, PROVISIONAL, READ_BACK, UNKNOWN, Effect, same
from settingslint.model.instead import instead, running
from settingslint.model.profile import profile_from
from settingslint.model.treatment import resolve
from settingslint.units import Kind, from_si, to_si
from settingslint.vocabulary.settings import OFF, SETTINGS
from tests.model.test_treatment import control_of, effects, profile_of, row, shown
from tests.strategies import Data, plants, source_of

EXACT = 'read_back = "exact"'
ECHO = 'read_back = "as typed"'
LIMIT = 'access = "factory"\ndefault = 208'
POINT = row("heating_setpoint", more=f'range = {{low = 80, high = 190, outside = "moved to the end"}}\n{EXACT}')


def one(rows: str, recorded: str, **profile: Any) -> Effect:
    """Return what the setting that is recorded last comes to."""
    return effects(rows, recorded, **profile)[recorded.rpartition("\n")[2].partition(" ")[0]]


def us(values: tuple[Any, ...], name: str) -> list[float]:
    return [round(from_si(value, SETTINGS[name].kind, "us"), 6) for value in values]


def kinds(effect: Effect) -> list[str]:
    return [reason.kind for reason in effect.reasons]


@pytest.mark.parametrize("recorded", ["value = 208", "value = 215", 'left = "default"'])
def test_a_limit_that_only_the_factory_sets_runs_at_what_was_read_back(recorded: str) -> None:
    effect = one(row("high_limit", more=f"{LIMIT}\n{EXACT}"), f"high_limit = {{ {recorded}, read_back = 215 }}")
    assert (shown(effect), effect.state, kinds(effect)) == (215, EFFECTIVE, [READ_BACK, CANT_BE])
    assert same(effect.stored, to_si(215, Kind.POINT, "us"))
    assert "208" not in effect.reasons[1].text and not effect.at_default


def test_a_set_point_runs_at_what_was_read_back() -> None:
    effect = one(POINT, "heating_setpoint = { value = 170, read_back = 168 }")
    assert (shown(effect), effect.state, kinds(effect)) == (168, EFFECTIVE, [READ_BACK])
    assert effect.contradicted and effect.changed
    assert effect.reasons[0].text == (
        "Typed 170 F, read back 168 F. What the boiler shows counts, not the control file."
    )


@pytest.mark.parametrize(
    ("display", "typed", "back", "expected"),
    [
        (ECHO, 195, 195, 190),  # shows what was typed: the file says what it runs at
        (ECHO, 195, 190, 190),
        (EXACT, 195, 190, 190),  # as the file leads to expect
        (EXACT, 170, 170, 170),
    ],
)
def test_what_the_control_file_explains_stays_as_the_file_says(
    display: str, typed: int, back: int, expected: int
) -> None:
    rows = row("heating_setpoint", more=f'range = {{low = 80, high = 190, outside = "moved to the end"}}\n{display}')
    effect = one(rows, f"heating_setpoint = {{ value = {typed}, read_back = {back} }}")
    assert shown(effect) == expected and not effect.contradicted and effect.candidates == ()


def test_a_documented_treatment_that_is_hidden_explains_what_was_read_back() -> None:
    hidden = row("heating_setpoint", more=f'range = {{high = 190, outside = "shown but moved to the end"}}\n{EXACT}')
    assert shown(one(hidden, "heating_setpoint = { value = 195, read_back = 195 }")) == 190
    band = row("heating_maximum_rate", "{does = 'ignore', low = 91, high = 99, becomes = 100}")
    assert shown(one(band, "heating_maximum_rate = { value = 95, read_back = 95 }")) == 100
    added = row("heating_differential", "{does = 'add', amount = 10}")
    assert shown(one(added, "heating_differential = { value = 20, read_back = 20 }")) == 30
    assert shown(one(added, "heating_differential = { value = 20, read_back = 30 }")) == 30  # shows what it runs at
    lost = row("boost_step", more="default = 5\nlost_on = ['power cycle']\n" + EXACT)
    gone = one(lost, "boost_step = { value = 8, read_back = 8 }", plant="since = ['power cycle']")
    assert shown(gone) == 5 and not gone.contradicted  # it was read before
    needs = row("reset", more=f"needs = [{{accessory = 'outdoor_sensor', otherwise = 'ignored'}}]\n{EXACT}")
    facts = "[accessories]\noutdoor_sensor = false"
    ignored = one(needs, "reset = { value = true, read_back = false }", facts=facts)
    assert ignored.state == IGNORED and not ignored.contradicted


@pytest.mark.parametrize(
    ("rows", "recorded", "either"),
    [
        (row("high_limit", more=LIMIT), "high_limit = { value = 215, read_back = 215 }", [208, 215]),
        (row("heating_setpoint"), "heating_setpoint = { value = 170, read_back = 168 }", [170, 168]),
        (row("heating_setpoint", more=ECHO), "heating_setpoint = { value = 170, read_back = 168 }", [170, 168]),
        (row("heating_setpoint", more=f'range = {{high = 190, outside = "moved to the end"}}\n{ECHO}'),
         "heating_setpoint = { value = 170, read_back = 195 }", [170, 190]),
        (row("heating_setpoint", more='read_back = "not readable"'),
         "heating_setpoint = { value = 170, read_back = 168 }", [170, 168]),
    ],
)  # fmt: skip
def test_where_neither_is_known_both_are_candidates(rows: str, recorded: str, either: list[float]) -> None:
    effect = one(rows, recorded)
    assert (effect.state, effect.effective, effect.stored) == (UNKNOWN, None, None)
    assert us(effect.candidates, effect.setting) == either
    assert effect.reasons[-1].kind == READ_BACK and effect.reasons[-1].text.endswith(
        "which of them is true is not known."
    )


@pytest.mark.parametrize(("typed", "back", "apart"), [(62, 62.2, False), (62, 62.5, True)])
def test_the_rounding_of_a_display_is_no_contradiction(typed: float, back: float, apart: bool) -> None:
    """62 C is 143.6 F, which a control that counts in whole F keeps as 144 F and shows as 62.2 C."""
    control = control_of(row("tank_setpoint", more=EXACT), "metric")
    profile = profile_of(f"tank_setpoint = {{ value = {typed}, read_back = {back} }}", units="metric")
    assert resolve(control, profile)["tank_setpoint"].contradicted is apart


@pytest.mark.parametrize(("back", "apart"), [(96, True), (97, False), (98, True)])
def test_what_is_shown_in_other_units_than_the_control_file_s(back: int, apart: bool) -> None:
    """206 F is 96.7 C."""
    profile = profile_of(f'high_limit = {{ left = "default", read_back = {back} }}', units="metric")
    control = control_of(row("high_limit", more=f'access = "factory"\ndefault = 206\n{EXACT}'))
    assert resolve(control, profile)["high_limit"].contradicted is apart


@pytest.mark.parametrize(("back", "apart"), [(30.5, False), (30.7, True)])
def test_a_length_is_the_same_where_it_is_shown_the_same(back: float, apart: bool) -> None:
    """100 ft is 30.48 m."""
    profile = profile_of(f"vent_length_setting = {{ value = 30.481, read_back = {back} }}", units="metric")
    control = control_of(row("vent_length_setting", more=f'access = "factory"\ndefault = 100\n{EXACT}'))
    assert resolve(control, profile)["vent_length_setting"].contradicted is apart


def test_where_both_come_to_the_same_that_is_known() -> None:
    cap = row("reset_hot_supply", "{does = 'cap', by = 'heating_setpoint'}")
    read = "heating_setpoint = 160\nreset_hot_supply = { value = 180, read_back = 175 }"
    effect = effects(POINT + cap, read)["reset_hot_supply"]
    assert shown(effect) == 160 and effect.contradicted


def test_the_default_that_a_need_leaves_does_not_outrank_the_boiler() -> None:
    more = f"default = 120\nneeds = [{{accessory = 'tank_sensor', otherwise = 'default'}}]\n{EXACT}"
    facts = "[accessories]\ntank_sensor = false"
    effect = one(row("tank_setpoint", more=more), "tank_setpoint = { value = 150, read_back = 150 }", facts=facts)
    assert shown(effect) == 150 and effect.contradicted


def test_what_was_read_back_is_lost_as_well() -> None:
    lost = row("boost_step", more="default = 5\nlost_on = ['power cycle']\n" + EXACT)
    recorded = 'boost_step = { left = "default", read_back = 8 }'
    assert shown(one(lost, recorded)) == 8
    assert shown(one(lost, recorded, plant="since = ['power cycle']")) == 5
    more = f"default = 8\nlost_on = ['power cycle']\n{EXACT}"
    band = row("pump_overrun", "{does = 'ignore', low = 7, high = 9, becomes = 10}", more)
    recorded = 'pump_overrun = { left = "default", read_back = 6 }'
    assert shown(one(band, recorded, plant="since = ['power cycle']")) == 10  # what the default comes to


def test_what_the_control_refused_runs_at_what_was_read_back() -> None:
    rows = row("heating_setpoint", more='range = {low = 80, high = 190, outside = "refused"}')
    assert shown(one(rows, "heating_setpoint = { value = 195, read_back = 150 }")) == 150
    unknown = one("[setting.heating_setpoint]", "heating_setpoint = { value = 170, read_back = 168 }")
    assert (unknown.state, unknown.candidates) == (UNKNOWN, ())  # how it treats anything is not said


def test_what_follows_from_other_settings_counts_for_what_was_read_back() -> None:
    cap = row("reset_hot_supply", "{does = 'cap', by = 'heating_setpoint'}", EXACT)
    read = "heating_setpoint = { value = 170, read_back = 168 }\nreset_hot_supply = { value = 150, read_back = 180 }"
    effect = effects(POINT + cap, read)["reset_hot_supply"]
    assert shown(effect) == 168 and kinds(effect) == [READ_BACK, "cap"]
    assert effect.reasons[1].text == "Read back 180 F. The heating set point caps it; it runs at 168 F."
    off = row("warm_weather_shutdown", "{does = 'off when', equals = 80}", EXACT)
    assert one(off, "warm_weather_shutdown = { value = 60, read_back = 80 }").effective == OFF


FIRST = row("maximum_fan_speed", "{does = 'at most until first firing', amount = 4000}", f"unit = 'rpm'\n{EXACT}")


@pytest.mark.parametrize(
    ("rows", "recorded", "plant", "why"),
    [
        (row("pump_overrun", more=f"range = {{low = 1, high = 15}}\n{EXACT}"), "pump_overrun = { value = 9, read_back = 16 }", "", "it takes 15 min at most"),
        (row("pump_overrun", more=f"range = {{low = 2, high = 15}}\n{EXACT}"), "pump_overrun = { value = 9, read_back = 1 }", "", "it takes 2 min at least"),
        (row("pump_overrun", more=f"range = {{low = 1, high = 15}}\n{EXACT}"), "pump_overrun = { value = 9, read_back = 15 }", "", ""),
        (row("pump_overrun", more=f"step = 5\n{EXACT}"), "pump_overrun = { value = 10, read_back = 12 }", "", "the nearest that it keeps is 10 min"),
        (row("pump_overrun", more=f"step = 5\n{EXACT}"), "pump_overrun = { value = 10, read_back = 15 }", "", ""),
        (row("pump_overrun", more=f"step = 5\ndefault = 12\n{EXACT}"), "pump_overrun = { value = 10, read_back = 12 }", "", ""),
        (row("pump_overrun", more=f"range = {{low = 1, high = 12}}\nstep = 5\n{EXACT}"), "pump_overrun = { value = 6, read_back = 12 }", "", ""),
        (row("pump_overrun", "{does = 'ignore', low = 7, high = 9, becomes = 10}", EXACT), "pump_overrun = { value = 6, read_back = 9 }", "", "it ignores 7 min to 9 min"),
        (row("pump_overrun", "{does = 'ignore', low = 7, high = 9, becomes = 10}", EXACT), "pump_overrun = { value = 6, read_back = 10 }", "", ""),
        (row("pump_overrun", more=f'access = "factory"\ndefault = 5\n{EXACT}'), "pump_overrun = { value = 5, read_back = 6 }", "", "only the factory sets it, and it comes with 5 min"),
        (row("pump_overrun", more=f'access = "factory"\n{EXACT}'), "pump_overrun = { value = 5, read_back = 6 }", "", ""),
        (row("pump_overrun", more=f"range = {{low = 1, high = 15}}\n{ECHO}"), "pump_overrun = { value = 9, read_back = 16 }", "", ""),
        (FIRST, "maximum_fan_speed = { value = 3900, read_back = 4001 }", "first_fired = false", "before the first firing it allows less"),
        (FIRST, "maximum_fan_speed = { value = 3900, read_back = 3950 }", "first_fired = false", ""),
        (FIRST, "maximum_fan_speed = { value = 3900, read_back = 4001 }", "first_fired = true", ""),
        (row("maximum_fan_speed", more=f"unit = 'rpm'\nstep = 50\n{EXACT}"), "maximum_fan_speed = { value = 3900, read_back = 4010 }", "", "it is between its steps"),
        (row("maximum_fan_speed", more=f"unit = 'rpm'\nrange = {{high = 5000}}\n{EXACT}"), "maximum_fan_speed = { value = 3900, read_back = 5001 }", "", "it takes no such value"),
        (row("maximum_fan_speed", "{does = 'ignore', low = 4000, high = 4100, becomes = 5000}", f"unit = 'rpm'\n{EXACT}"), "maximum_fan_speed = { value = 3900, read_back = 4000 }", "", "it is in a band that it ignores"),
    ],
)  # fmt: skip
def test_what_can_not_be_by_the_control_file(rows: str, recorded: str, plant: str, why: str) -> None:
    effect = one(rows, recorded, plant=plant)
    said = [reason.text for reason in effect.reasons if reason.kind == CANT_BE]
    assert len(said) == bool(why) and all(text.endswith(f"; by the control file {why}.") for text in said)
    if EXACT in rows:
        assert shown(effect) == float(recorded.rpartition(" = ")[2].partition(" ")[0])


def test_before_the_first_firing_it_stays_provisional_at_what_was_read_back() -> None:
    effect = one(FIRST, "maximum_fan_speed = { value = 3900, read_back = 4001 }", plant="first_fired = false")
    assert (effect.effective, effect.state) == (4001, PROVISIONAL)


def test_what_was_observed_counts_whatever_else_is_said() -> None:
    rows = row("high_limit", more=LIMIT) + row("heating_setpoint", "{does = 'cap', by = 'high_limit'}")
    control, profile = (
        control_of(rows),
        profile_of("high_limit = { value = 215, read_back = 215 }\nheating_setpoint = 212"),
    )
    before = resolve(control, profile)
    assert before["high_limit"].candidates and before["heating_setpoint"].state == UNKNOWN
    for seen, capped in ((208, 208), (215, 212)):
        changed, after, moved = running(control, profile, before, {"high_limit": to_si(seen, Kind.POINT, "us")})
        assert (shown(after["high_limit"]), after["high_limit"].state) == (seen, EFFECTIVE)
        assert after["high_limit"].candidates == () and CANT_BE in kinds(after["high_limit"])
        assert shown(after["heating_setpoint"]) == capped and moved == {"high_limit", "heating_setpoint"}
        assert changed.settings["high_limit"].read_back == profile.settings["high_limit"].read_back
        assert after == resolve(replace(control), changed)
    _, after, _ = running(control, profile, before, {"tank_setpoint": 60.0})  # neither described nor recorded
    assert after["tank_setpoint"].effective == 60.0


def test_what_is_typed_anew_has_not_been_read_back() -> None:
    control, profile = control_of(POINT), profile_of("heating_setpoint = { value = 170, read_back = 168 }")
    _, after, _ = instead(
        control, profile, resolve(control, profile), {"heating_setpoint": to_si(160, Kind.POINT, "us")}
    )
    assert shown(after["heating_setpoint"]) == 160 and not after["heating_setpoint"].contradicted


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(plants(), st.data())
def test_what_was_kept_is_never_that_of_another_reading(plant: tuple[Data, Data], data: st.DataObject) -> None:
    control, profile = control_from(source_of(plant[0])), profile_from(source_of(plant[1]))
    numbers = sorted(name for name, entry in profile.settings.items() if isinstance(entry.typed, float))
    if not numbers:
        return
    for back, seen in ((None, None), (50.0, None), (51.0, None), (50.0, 40.0), (None, None)):
        name = data.draw(st.sampled_from(numbers))
        entry = profile.settings[name]._replace(read_back=back, observed=seen)
        changed = replace(profile, settings={**profile.settings, name: entry})
        found = resolve(control, changed)
        assert found == resolve(replace(control), changed)
        assert seen is None or found[name].effective == seen
        for effect in found.values():
            assert (effect.state == UNKNOWN and not effect.at_default) or not effect.candidates
