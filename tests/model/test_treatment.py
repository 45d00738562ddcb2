"""From typed to effective: every treatment, every precondition, every state, and the sentence for each.

Single figures marked `common practice, no source` are what practitioners state of controls in the field; the rest are
invented. The arithmetic of every expected value can be done by hand: F to C by (F - 32) / 1.8, differences by / 1.8.
"""

from __future__ import annotations

import copy
import inspect
import itertools
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings

from settingslint.model import treatment
from settingslint.model.control import Control
from settingslint.model.control_file import control_from
from settingslint.model.effect import (
    EFFECTIVE,
    IGNORED,
    NOT_APPLICABLE,
    NOT_RECORDED,
    PROVISIONAL,
    UNKNOWN,
    Effect,
    same,
)
from settingslint.model.profile import Profile, profile_from
from settingslint.model.source import parse
from settingslint.model.treatment import resolve
from settingslint.model.validate import check_schema
from settingslint.units import Kind, System, from_si
from settingslint.vocabulary.settings import OFF, SETTINGS
from tests.strategies import Data, plants, source_of


def control_of(rows: str, units: System = "us") -> Control:
    text = f'format = 1\nunits = "{units}"\n[control]\nname = "made-up"\nreset_style = "one number"\n'
    sizes = "".join(f"[size.{size}]\n" for size in ("small", "large"))
    source = parse(f"{text}{sizes}{rows}".encode(), "made-up.toml")
    check_schema(source, "control")
    return control_from(source)


def profile_of(recorded: str, units: System = "us", plant: str = "", facts: str = "") -> Profile:
    head = f'format = 1\nunits = "{units}"\n[plant]\nname = "a"\nsite = "b"\ncontrol = "made-up"\n{plant}\n{facts}\n'
    source = parse(f"{head}[settings]\n{recorded}\n".encode(), "a.toml")
    check_schema(source, "profile")
    return profile_from(source)


def effects(rows: str, recorded: str, **profile: Any) -> dict[str, Effect]:
    return resolve(control_of(rows), profile_of(recorded, **profile))


def shown(effect: Effect, units: System = "us") -> Any:
    """Return the effective value as the file would state it."""
    value = effect.effective
    if isinstance(value, float):
        return round(from_si(value, SETTINGS[effect.setting].kind, units), 6)
    return value


def row(name: str, treatments: str = "", more: str = "") -> str:
    return f"[setting.{name}]\ntreatments = [{treatments}]\n{more}\n"


BAND = row("heating_maximum_rate", "{does = 'ignore', low = 91, high = 99, becomes = 100}", "range = {high = 100}")


# -- ten cases that a practitioner would try first -----------------------------------------------------------------


def test_1_a_value_in_an_ignored_band() -> None:
    """A derate just below full input has no effect: common practice, no source."""
    effect = effects(BAND, "heating_maximum_rate = 95")["heating_maximum_rate"]
    assert (shown(effect), effect.state, effect.typed, effect.stored) == (100, EFFECTIVE, 95, 95)
    assert [(reason.kind, reason.text) for reason in effect.reasons] == [
        ("ignored band", "Typed 95 %. This control ignores 91 to 99 %; it runs at 100 %.")
    ]
    assert effect.band == (91, 99)
    assert effect.changed


def test_2_a_value_beyond_the_end_of_the_range() -> None:
    rows = row("hot_water_boiler_setpoint", more='range = {low = 80, high = 190, outside = "moved to the end"}')
    effect = effects(rows, "hot_water_boiler_setpoint = 195")["hot_water_boiler_setpoint"]
    assert shown(effect) == 190  # common practice, no source
    assert same(effect.effective, (190 - 32) / 1.8)
    assert same(effect.stored, effect.effective)
    assert effect.reasons[0].text == "Typed 195 F. The range is 80 to 190 F; this control keeps 190 F."


def test_3_capped_by_another_setting() -> None:
    rows = row("heating_setpoint") + row("reset_hot_supply", "{does = 'cap', by = 'heating_setpoint'}")
    effect = effects(rows, "heating_setpoint = 160\nreset_hot_supply = 180")["reset_hot_supply"]
    assert shown(effect) == 160
    assert same(effect.stored, (180 - 32) / 1.8)  # the display still shows what was typed
    assert effect.reasons[0].text == "Typed 180 F. The heating set point caps it; it runs at 160 F."


def test_4_shown_but_ignored_without_the_accessory() -> None:
    rows = row("reset", more='needs = [{accessory = "outdoor_sensor", otherwise = "ignored"}]')
    facts = "[accessories]\noutdoor_sensor = false"
    effect = effects(rows, "reset = true", facts=facts)["reset"]
    assert (effect.state, effect.effective, effect.stored) == (IGNORED, None, True)
    assert effect.reasons[0].text == "Typed on. This control shows it and ignores it: it needs outdoor sensor."


def test_5_an_amount_is_added_to_a_difference_without_the_32() -> None:
    rows = row("heating_differential", "{does = 'add', amount = 10}")
    effect = effects(rows, "heating_differential = 20")["heating_differential"]
    assert shown(effect) == 30  # common practice, no source: a fixed 10 F beside the one that is typed
    assert same(effect.effective, 30 / 1.8)
    assert effect.reasons[0].text == "Typed 20 F. This control adds 10 F; it runs at 30 F."


def test_6_rounded_to_the_step() -> None:
    effect = effects(row("tank_setpoint", more="step = 2"), "tank_setpoint = 143")["tank_setpoint"]
    assert shown(effect) == 144
    assert effect.reasons[0].text == "Typed 143 F. This control goes in steps of 2 F; it keeps 144 F."


def test_7_shown_but_ignored_with_another_method() -> None:
    rows = row("hot_water_method") + row(
        "hygiene_cycle", more='needs = [{setting = "hot_water_method", is = "tank sensor", otherwise = "ignored"}]'
    )
    effect = effects(rows, 'hot_water_method = "tank thermostat"\nhygiene_cycle = true')["hygiene_cycle"]
    assert (effect.state, effect.effective) == (IGNORED, None)
    assert effect.reasons[0].text.endswith("it needs hot-water method: tank sensor.")


FIRST = row("maximum_fan_speed", "{does = 'at most until first firing', amount = 4100}", 'unit = "rpm"')


def test_8_provisional_before_the_first_firing() -> None:
    effect = effects(FIRST, "maximum_fan_speed = 4600", plant="first_fired = false")["maximum_fan_speed"]
    assert (effect.state, effect.effective, effect.stored, effect.typed) == (PROVISIONAL, 4100, 4100, 4600)
    assert effect.reasons[0].text == (
        "Typed 4,600 rpm. Until the burner has fired once this control shows and allows 4,100 rpm."
    )
    assert effect.known


def test_9_lost_at_a_power_cycle() -> None:
    rows = row("heating_setpoint", more='default = 138\nlost_on = ["power cycle"]')
    effect = effects(rows, "heating_setpoint = 151", plant='since = ["power cycle"]')["heating_setpoint"]
    assert (shown(effect), effect.at_default) == (138, True)
    assert effect.reasons[0].text == "Typed 151 F. Lost since (power cycle); it is back at 138 F."


BY_SIZE = row("minimum_fan_speed", more='unit = "rpm"\ndefault = {small = 1150, large = 1350}')


def test_10_a_default_by_size_where_the_size_is_not_known() -> None:
    effect = effects(BY_SIZE, 'minimum_fan_speed = {left = "default"}')["minimum_fan_speed"]
    assert (effect.state, effect.effective, effect.known) == (UNKNOWN, None, False)
    assert effect.reasons[0].text == (
        "The default of minimum fan speed depends on the size (small, large); the profile does not say the size."
    )


# -- each treatment at its edges -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "becomes"), [(90.9, 90.9), (91, 100), (99, 100), (99.1, 99.1), (100, 100), (90, 90), (95, 100)]
)
def test_band(typed: float, becomes: float) -> None:
    assert shown(effects(BAND, f"heating_maximum_rate = {typed}")["heating_maximum_rate"]) == becomes


def test_what_a_band_becomes_is_unknown_where_the_control_file_does_not_say() -> None:
    rows = row("heating_maximum_rate", "{does='ignore', low=91, high=99}")
    effect = effects(rows, "heating_maximum_rate = 95")["heating_maximum_rate"]
    assert (effect.state, effect.effective, effect.band) == (UNKNOWN, None, (91.0, 99.0))
    assert effect.reasons[-1].text.endswith("what it runs at instead is not known.")
    assert shown(effects(rows, "heating_maximum_rate = 90")["heating_maximum_rate"]) == 90


def test_only_the_first_band_that_holds_the_value_counts() -> None:
    rows = row(
        "heating_maximum_rate",
        "{does='ignore', low=10, high=20, becomes=35}, {does='ignore', low=15, high=25, becomes=35}",
    )
    effect = effects(rows, "heating_maximum_rate = 17")["heating_maximum_rate"]
    assert (shown(effect), len(effect.reasons)) == (35, 1)


OUTSIDE = {
    "moved to the end": (EFFECTIVE, 82, 82, "this control keeps 82 F."),
    "shown but moved to the end": (EFFECTIVE, 82, 79, "this control shows 79 F and runs at 82 F."),
    "refused": (UNKNOWN, None, None, "refuses the rest; it keeps what it had before."),
    "unknown": (UNKNOWN, None, 79, "what this control does outside it is not known."),
}


@pytest.mark.parametrize("outside", OUTSIDE)
def test_outside_the_range(outside: str) -> None:
    state, runs, stored, words = OUTSIDE[outside]
    rows = row("heating_setpoint", more=f'range = {{low = 82, high = 188, outside = "{outside}"}}')
    effect = effects(rows, "heating_setpoint = 79")["heating_setpoint"]
    assert (effect.state, shown(effect)) == (state, runs)
    assert same(effect.stored, None if stored is None else (stored - 32) / 1.8)
    assert effect.reasons[0].text.endswith(words)
    for inside in (82, 188, 120):
        effect = effects(rows, f"heating_setpoint = {inside}")["heating_setpoint"]
        assert (shown(effect), effect.reasons, effect.state) == (inside, (), EFFECTIVE)
    just_outside = effects(rows, "heating_setpoint = 188.1")["heating_setpoint"]
    assert shown(just_outside) == (188 if state == EFFECTIVE else None)


def test_a_range_without_a_word_for_what_lies_outside_is_unknown() -> None:
    effect = effects(row("heating_setpoint", more="range = {low = 82}"), "heating_setpoint = 79")["heating_setpoint"]
    assert (effect.state, effect.effective) == (UNKNOWN, None)
    assert "The range is 82 F and more;" in effect.reasons[0].text
    effect = effects(row("heating_setpoint", more="range = {high = 82}"), "heating_setpoint = 83")["heating_setpoint"]
    assert "The range is 82 F and less;" in effect.reasons[0].text


@pytest.mark.parametrize(
    ("bounds", "step", "typed", "kept"),
    [
        ("low = 90, high = 180", 2, 142, 142),
        ("low = 90, high = 180", 2, 143, 144),  # halves up
        ("low = 90, high = 180", 2, 141, 142),
        ("low = 90, high = 180", 2, 142.9, 142),
        ("low = 91, high = 180", 2, 142, 143),  # counted from the low end
        ("low = 90, high = 180", 4, 180, 178),  # never beyond the high end
        ("high = 180", 5, 142, 140),  # counted from 0 F, not from 0 C
        ("high = 180", 5, 143, 145),
    ],
)
def test_step(bounds: str, step: int, typed: float, kept: float) -> None:
    rows = row("heating_setpoint", more=f"range = {{{bounds}}}\nstep = {step}")
    assert shown(effects(rows, f"heating_setpoint = {typed}")["heating_setpoint"]) == kept


@pytest.mark.parametrize(("does", "typed", "runs"), [
    ("cap", 150.1, 150), ("cap", 150, 150), ("cap", 149.9, 149.9), ("floor", 149.9, 150), ("floor", 150, 150),
    ("floor", 150.1, 150.1), ("off when", 150, OFF), ("off when", 150.1, 150.1), ("off when", 149.9, 149.9),
])  # fmt: skip
def test_by_another_setting(does: str, typed: float, runs: Any) -> None:
    rows = row("heating_setpoint") + row("reset_endpoint", f"{{does = '{does}', by = 'heating_setpoint'}}")
    effect = effects(rows, f"heating_setpoint = 150\nreset_endpoint = {typed}")["reset_endpoint"]
    assert shown(effect) == runs


def test_reset_is_off_where_its_end_equals_the_set_point() -> None:
    """Also where the cap makes it equal, in whichever order the file lists them. Common practice, no source."""
    both = ["{does = 'off when', by = 'heating_setpoint'}", "{does = 'cap', by = 'heating_setpoint'}"]
    for listed in (both, both[::-1]):
        rows = row("heating_setpoint") + row("reset_endpoint", ", ".join(listed))
        effect = effects(rows, "heating_setpoint = 126\nreset_endpoint = 171")["reset_endpoint"]
        assert [reason.kind for reason in effect.reasons] == ["cap", "off when equal"]
        assert effect.effective == OFF
        assert effect.reasons[1].text == "That equals the heating set point: on this control that means off."


def test_the_floor_wins_where_cap_and_floor_cross() -> None:
    cross = "{does = 'floor', by = 'minimum_supply'}, {does = 'cap', by = 'maximum_supply'}"
    rows = row("minimum_supply") + row("maximum_supply") + row("reset_hot_supply", cross)
    recorded = "minimum_supply = 130\nmaximum_supply = 120\nreset_hot_supply = 125"
    assert shown(effects(rows, recorded)["reset_hot_supply"]) == 130


@pytest.mark.parametrize("does", ["cap", "floor", "off when"])
@pytest.mark.parametrize(("other", "state"), [
    ("", UNKNOWN),  # not recorded
    ("maximum_supply = {left = 'not reachable'}", UNKNOWN),
    ("maximum_supply = {left = 'not applicable'}", EFFECTIVE),
    ("maximum_supply = 'off'", EFFECTIVE),
])  # fmt: skip
def test_another_setting_that_is_unknown_off_or_does_not_apply(does: str, other: str, state: str) -> None:
    rows = row("maximum_supply") + row("reset_hot_supply", f"{{does = '{does}', by = 'maximum_supply'}}")
    effect = effects(rows, f"{other}\nreset_hot_supply = 125")["reset_hot_supply"]
    assert (effect.state, shown(effect)) == (state, 125 if state == EFFECTIVE else None)
    if state == UNKNOWN:
        assert effect.reasons[0].text.endswith("the maximum supply temperature, which is not known.")


def test_a_cap_goes_by_the_effective_value_of_the_other() -> None:
    outside = 'range = {low = 70, high = 140, outside = "moved to the end"}'
    rows = row("heating_setpoint", more=outside) + row("reset_hot_supply", "{does = 'cap', by = 'heating_setpoint'}")
    assert shown(effects(rows, "heating_setpoint = 180\nreset_hot_supply = 170")["reset_hot_supply"]) == 140


def test_a_special_value_means_off_wherever_it_lies() -> None:
    more = 'range = {low = 1, high = 24, outside = "refused"}\nstep = 1\ndefault = 0'
    rows = row("keep_warm", "{does = 'off when', equals = 0}", more)
    effect = effects(rows, "keep_warm = 0")["keep_warm"]
    assert (effect.effective, effect.state) == (OFF, EFFECTIVE)
    assert effect.reasons[0].text == "Typed 0 h. On this control 0 h means off."
    assert shown(effects(rows, "keep_warm = 1")["keep_warm"]) == 1
    assert effects(rows, "keep_warm = 'off'")["keep_warm"].effective == OFF
    assert effects(rows, "keep_warm = {left = 'default'}")["keep_warm"].effective == OFF
    assert effects(rows, "keep_warm = 0.9")["keep_warm"].state == UNKNOWN


@pytest.mark.parametrize(
    ("fired", "typed", "state", "runs"),
    [
        ("first_fired = false", 4101, PROVISIONAL, 4100),
        ("first_fired = false", 4100, PROVISIONAL, 4100),
        ("first_fired = false", 4000, PROVISIONAL, 4000),
        ("first_fired = true", 4600, EFFECTIVE, 4600),
        ("first_fired = 2026-02-03", 4600, EFFECTIVE, 4600),
        ("", 4600, UNKNOWN, None),
        ("", 4000, EFFECTIVE, 4000),  # the same before and after
    ],
)
def test_first_firing(fired: str, typed: int, state: str, runs: float | None) -> None:
    effect = effects(FIRST, f"maximum_fan_speed = {typed}", plant=fired)["maximum_fan_speed"]
    assert (effect.state, effect.effective) == (state, runs)


# -- preconditions -------------------------------------------------------------------------------------------------

OTHERWISE = {
    "off": (EFFECTIVE, OFF, "It stays off: it needs "),
    "ignored": (IGNORED, None, "This control shows it and ignores it: it needs "),
    "default": (EFFECTIVE, 6, "It runs at its default 6 h: it needs "),
    "not applicable": (NOT_APPLICABLE, None, "It does not apply: it needs "),
}


@pytest.mark.parametrize("otherwise", OTHERWISE)
@pytest.mark.parametrize(
    ("need", "met", "unmet", "unknown"),
    [
        (
            "accessory = 'tank_sensor'",
            "[accessories]\ntank_sensor = true",
            "[accessories]\ntank_sensor = false",
            "[accessories]\noutdoor_sensor = true",
        ),
        (
            "fact = 'hot_water.kind', is = 'plate'",
            "[hot_water]\nkind = 'plate'",
            "[hot_water]\nkind = {value = 'tank', from = 'plate'}",
            "",
        ),
        (
            "fact = 'hot_water.kind', is = ['plate', 'none']",
            "[hot_water]\nkind = 'none'",
            "[hot_water]\nkind = 'tank'",
            "",
        ),
    ],
)
def test_needs(otherwise: str, need: str, met: str, unmet: str, unknown: str) -> None:
    rows = row("keep_warm", more=f"default = 6\nneeds = [{{{need}, otherwise = '{otherwise}'}}]")
    state, runs, words = OTHERWISE[otherwise]
    effect = effects(rows, "keep_warm = 9", facts=unmet)["keep_warm"]
    assert (effect.state, shown(effect)) == (state, runs)
    assert effect.reasons[0].text.startswith(f"Typed 9 h. {words}")
    effect = effects(rows, "keep_warm = 9", facts=met)["keep_warm"]
    assert (effect.state, shown(effect), effect.reasons) == (EFFECTIVE, 9, ())
    effect = effects(rows, "keep_warm = 9", facts=unknown)["keep_warm"]
    assert (effect.state, effect.effective) == (UNKNOWN, None)
    assert effect.reasons[0].text.endswith("whether that is so is not known.")


def test_a_need_with_a_number_is_in_the_units_of_its_file() -> None:
    rows = row("keep_warm", more="needs = [{fact = 'building.indoor_design', is = 68, otherwise = 'not applicable'}]")
    facts = "[building]\nindoor_design = 20"
    assert effects(rows, "keep_warm = 9", units="metric", facts=facts)["keep_warm"].state == EFFECTIVE
    assert effects(rows, "keep_warm = 9", units="us", facts=facts)["keep_warm"].state == NOT_APPLICABLE


def test_a_flag_that_stays_off_is_false_and_not_a_word() -> None:
    rows = row("reset", more="needs = [{accessory = 'outdoor_sensor', otherwise = 'off'}]")
    effect = effects(rows, "reset = true", facts="[accessories]\noutdoor_sensor = false")["reset"]
    assert effect.effective is False


@pytest.mark.parametrize("state", ["ignored", "not applicable"])
def test_a_needed_setting_without_effect_does_not_do(state: str) -> None:
    rows = row("reset", more=f"needs = [{{accessory = 'outdoor_sensor', otherwise = '{state}'}}]") + row(
        "reset_endpoint", more="needs = [{setting = 'reset', is = true, otherwise = 'not applicable'}]"
    )
    facts = "[accessories]\noutdoor_sensor = false"
    effect = effects(rows, "reset = true\nreset_endpoint = 88", facts=facts)["reset_endpoint"]
    assert effect.state == NOT_APPLICABLE


# -- what is recorded, and defaults --------------------------------------------------------------------------------

PLAIN = row("heating_setpoint", more="default = 138")


@pytest.mark.parametrize(
    ("recorded", "state", "runs", "at_default"),
    [
        ("heating_setpoint = 151", EFFECTIVE, 151, False),
        ("heating_setpoint = {value = 151}", EFFECTIVE, 151, False),
        ("heating_setpoint = {left = 'default'}", EFFECTIVE, 138, True),
        ("heating_setpoint = {left = 'default', value = 138}", EFFECTIVE, 138, True),
        ("heating_setpoint = {left = 'default', value = 141}", EFFECTIVE, 141, True),
        ("heating_setpoint = {left = 'not reachable'}", UNKNOWN, None, False),
        ("heating_setpoint = {left = 'not applicable'}", NOT_APPLICABLE, None, False),
        ("", NOT_RECORDED, None, False),
    ],
)
def test_recorded(recorded: str, state: str, runs: float | None, at_default: bool) -> None:
    effect = effects(PLAIN, recorded)["heating_setpoint"]
    assert (effect.state, shown(effect), effect.at_default) == (state, runs, at_default)


def test_a_default_that_was_seen_is_believed_and_the_difference_told() -> None:
    effect = effects(PLAIN, "heating_setpoint = {left = 'default', value = 141}")["heating_setpoint"]
    assert effect.reasons[0].text == "Left at its default, which was seen as 141 F. The control file states 138 F."


def test_a_default_goes_through_what_the_control_does_to_values() -> None:
    rows = row("heating_differential", "{does = 'add', amount = 9}", "default = 15")
    effect = effects(rows, "heating_differential = {left = 'default'}")["heating_differential"]
    assert shown(effect) == 24
    assert effect.reasons[0].text == "The default is 15 F. This control adds 9 F; it runs at 24 F."
    lost = row("heating_differential", "{does = 'add', amount = 9}", 'default = 15\nlost_on = ["update"]')
    effect = effects(lost, "heating_differential = 20", plant='since = ["update"]')["heating_differential"]
    assert shown(effect) == 24
    assert [reason.kind for reason in effect.reasons] == ["added", "lost", "added"]


@pytest.mark.parametrize(
    ("size", "runs"), [('size = "small"', 1150), ('size = "large"', 1350), ('size = "huge"', None), ("", None)]
)
def test_default_by_size(size: str, runs: float | None) -> None:
    effect = effects(BY_SIZE, 'minimum_fan_speed = {left = "default"}', plant=size)["minimum_fan_speed"]
    assert (effect.effective, effect.known) == (runs, runs is not None)


def test_an_unknown_default_by_size_does_not_spoil_what_was_typed() -> None:
    assert effects(BY_SIZE, "minimum_fan_speed = 1200")["minimum_fan_speed"].effective == 1200


FACTORY = row("ignition_fan_speed", more='access = "factory"\ndefault = {small = 2600}\nunit = "rpm"')


def test_only_the_factory_sets_it() -> None:
    effect = effects(FACTORY, "ignition_fan_speed = 2500", plant='size = "small"')["ignition_fan_speed"]
    assert (effect.effective, effect.stored, effect.typed, effect.at_default) == (2600, 2600, 2500, True)
    assert effect.reasons[0].text == (
        "Typed 2,500 rpm. Only the factory sets ignition fan speed; it stays at 2,600 rpm."
    )
    effect = effects(FACTORY, "ignition_fan_speed = 2600", plant='size = "small"')["ignition_fan_speed"]
    assert (effect.effective, effect.reasons) == (2600, ())
    effect = effects(FACTORY, "ignition_fan_speed = 2500")["ignition_fan_speed"]
    assert (effect.state, effect.effective) == (UNKNOWN, None)


@pytest.mark.parametrize("access", ["user", "installer", "service"])
def test_other_access_takes_what_is_typed(access: str) -> None:
    rows = row("heating_setpoint", more=f'access = "{access}"\ndefault = 138')
    assert shown(effects(rows, "heating_setpoint = 151")["heating_setpoint"]) == 151


@pytest.mark.parametrize("event", ["power cycle", "new board", "size change", "update"])
def test_lost_on(event: str) -> None:
    rows = row("heating_setpoint", more=f'default = 138\nlost_on = ["{event}"]')
    others = [one for one in ("power cycle", "new board", "size change", "update") if one != event]
    effect = effects(rows, "heating_setpoint = 151", plant=f"since = {others}")["heating_setpoint"]
    assert (shown(effect), effect.at_default) == (151, False)
    effect = effects(rows, "heating_setpoint = 151", plant=f"since = ['{event}']")["heating_setpoint"]
    assert (shown(effect), effect.at_default) == (138, True)


def test_lost_and_nobody_knows_the_default() -> None:
    rows = row("heating_setpoint", more='lost_on = ["update"]')
    effect = effects(rows, "heating_setpoint = 151", plant="since = ['update']")["heating_setpoint"]
    assert (effect.state, effect.effective) == (UNKNOWN, None)
    assert effect.reasons[0].text == "Typed 151 F. Lost since (update); the default is not known."


def test_a_refused_value_is_known_again_after_a_power_cycle() -> None:
    rows = row(
        "heating_setpoint", more='default = 138\nlost_on = ["power cycle"]\nrange = {high = 170, outside = "refused"}'
    )
    recorded = "heating_setpoint = 180"
    assert effects(rows, recorded)["heating_setpoint"].effective is None
    assert shown(effects(rows, recorded, plant='since = ["power cycle"]')["heating_setpoint"]) == 138


@pytest.mark.parametrize("recorded", ["heating_setpoint = 151", "heating_setpoint = {left = 'default'}", ""])
def test_a_control_file_that_does_not_state_the_treatments_leaves_all_unknown(recorded: str) -> None:
    effect = effects("[setting.heating_setpoint]\ndefault = 138\n", recorded)["heating_setpoint"]
    assert (effect.state, effect.effective, effect.known, effect.changed) == (UNKNOWN, None, False, False)
    assert effect.reasons[0].text == "The control file made-up does not say how it treats heating set point."


def test_a_setting_that_the_control_file_lacks_is_unknown() -> None:
    effect = effects(PLAIN, "tank_setpoint = 131")["tank_setpoint"]
    assert (effect.state, effect.effective) == (UNKNOWN, None)
    assert effect.reasons[0].text == "The control file made-up does not describe tank set point."


@pytest.mark.parametrize(
    ("rows", "recorded", "value"),
    [
        (row("reset"), "reset = true", True),
        (row("control_sensor"), "control_sensor = 'return'", "return"),
        (row("size_setting"), "size_setting = '12'", "12"),
        (row("warm_weather_shutdown"), "warm_weather_shutdown = 'off'", OFF),
    ],
)
def test_flags_words_texts_and_off_pass_through(rows: str, recorded: str, value: Any) -> None:
    name = recorded.split()[0]
    effect = effects(rows, recorded)[name]
    assert (effect.effective, effect.stored, effect.state, effect.reasons) == (value, value, EFFECTIVE, ())


# -- units ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("control", "profile"), [("us", "us"), ("us", "metric"), ("metric", "us"), ("metric", "metric")]
)
def test_control_and_profile_may_be_in_different_units(control: System, profile: System) -> None:
    """77 C is 170.6 F and 86 C is 186.8 F; 6 K is 10.8 F."""
    high, typed = {"us": 170.6, "metric": 77}, {"us": 186.8, "metric": 86}
    amount, difference = {"us": 10.8, "metric": 6}, {"us": 18, "metric": 10}
    rows = row("heating_setpoint", more=f'range = {{high = {high[control]}, outside = "moved to the end"}}') + row(
        "heating_differential", f"{{does = 'add', amount = {amount[control]}}}"
    )
    recorded = f"heating_setpoint = {typed[profile]}\nheating_differential = {difference[profile]}"
    found = resolve(control_of(rows, control), profile_of(recorded, profile))
    assert same(found["heating_setpoint"].effective, 77.0)
    assert same(found["heating_differential"].effective, 16.0)
    asked = {
        "us": "Typed 187 F. The range is 171 F and less",
        "metric": "Typed 86 C. The range is 77 C",
    }
    assert found["heating_setpoint"].reasons[0].text.startswith(asked[profile])


# -- the order of the steps ----------------------------------------------------------------------------------------

ALL = """
[setting.hot_water_method]
treatments = []
[setting.minimum_supply]
treatments = []
[setting.maximum_supply]
treatments = []
[setting.heating_setpoint]
default = 100
lost_on = ["update"]
range = { low = 60, high = 180, outside = "moved to the end" }
needs = [{ setting = "hot_water_method", is = "tank sensor", otherwise = "ignored" }]
treatments = [
  { does = "at most until first firing", amount = 150 },
  { does = "floor", by = "minimum_supply" },
  { does = "cap", by = "maximum_supply" },
  { does = "ignore", low = 170, high = 180, becomes = 180 },
  { does = "add", amount = -5 },
]
"""
OTHERS = "hot_water_method = 'tank sensor'\nmaximum_supply = 165\nminimum_supply = 160\n"


def test_the_steps_go_in_one_order_whatever_the_order_in_the_file() -> None:
    plant = "first_fired = false\nsince = ['update']"
    effect = effects(ALL, f"{OTHERS}heating_setpoint = 200", plant=plant)["heating_setpoint"]
    kinds = [reason.kind for reason in effect.reasons]
    # 200 -> 180 -> 175 -> 180 -> 165 -> 150, lost: 100 -> 95 -> 160 -> 150
    assert kinds == ["range", "added", "ignored band", "cap", "provisional", "lost", "added", "floor", "provisional"]
    assert (shown(effect), effect.state) == (150, PROVISIONAL)


IN_ORDER = {
    "range, then added": ("{does='add', amount=7}", "range = {high=60, outside='moved to the end'}", 90, 67),
    "step, then added": ("{does='add', amount=7}", "step = 5", 52, 57),
    "added, then band": ("{does='ignore', low=30, high=40, becomes=50}, {does='add', amount=10}", "", 25, 50),
    "band, then special value": ("{does='off when', equals=0}, {does='ignore', low=1, high=9, becomes=0}", "", 5, OFF),
    "band, then cap": (
        "{does='cap', by='pump_minimum_speed'}, {does='ignore', low=60, high=69, becomes=70}", "", 65, 55,
    ),
    "cap, then provisional": (
        "{does='at most until first firing', amount=52}, {does='cap', by='pump_minimum_speed'}", "", 80, 52,
    ),
}  # fmt: skip


@pytest.mark.parametrize("steps", IN_ORDER)
def test_each_step_works_on_what_the_step_before_left(steps: str) -> None:
    treatments, more, typed, runs = IN_ORDER[steps]
    rows = row("pump_minimum_speed") + row("heating_maximum_rate", treatments, more)
    recorded = f"pump_minimum_speed = 55\nheating_maximum_rate = {typed}"
    assert shown(effects(rows, recorded, plant="first_fired = false")["heating_maximum_rate"]) == runs


def test_access_comes_before_what_it_needs() -> None:
    rows = row(
        "ignition_fan_speed",
        more='access = "factory"\ndefault = 2600\nneeds = [{accessory = "bus_module", otherwise = "not applicable"}]',
    )
    facts = "[accessories]\nbus_module = false"
    effect = effects(rows, "ignition_fan_speed = 2500", facts=facts)["ignition_fan_speed"]
    assert [reason.kind for reason in effect.reasons] == ["factory only", "not applicable"]
    assert effect.effective is None


def test_what_it_needs_comes_before_the_range() -> None:
    recorded = "hot_water_method = 'none'\nheating_setpoint = 200"
    effect = effects(ALL, recorded)["heating_setpoint"]
    assert [reason.kind for reason in effect.reasons] == ["ignored"]


def test_the_documented_order_is_the_order_of_the_code() -> None:
    doc = inspect.getdoc(treatment) or ""
    steps = ["access", "preconditions", "acceptance", "transformation", "bands", "special", "other settings", "state",
             "persistence"]  # fmt: skip
    places = [doc.index(f"{number}. {step}") for number, step in enumerate(steps, 1)]
    assert places == sorted(places)


# -- for any control and profile -----------------------------------------------------------------------------------


def read(control: Data, profile: Data) -> tuple[Control, Profile]:
    sources = source_of(control), source_of(profile)
    check_schema(sources[0], "control")
    check_schema(sources[1], "profile")
    return control_from(sources[0]), profile_from(sources[1])


ANY = settings(max_examples=200, deadline=None, suppress_health_check=list(HealthCheck))


@ANY
@given(plants())
def test_resolve_is_total_and_pure(plant: tuple[Data, Data]) -> None:
    control, profile = read(*plant)
    before = copy.deepcopy((control.rows, profile.settings, profile.facts))
    found = resolve(control, profile)
    assert found == resolve(control, profile)
    assert before == (control.rows, profile.settings, profile.facts)
    assert set(found) == {*control.rows, *profile.settings}
    for name, effect in found.items():
        assert effect.setting == name
        assert effect.state in (EFFECTIVE, IGNORED, NOT_APPLICABLE, PROVISIONAL, UNKNOWN, NOT_RECORDED)
        assert (effect.effective is not None) == (effect.state in (EFFECTIVE, PROVISIONAL)), effect
        if effect.effective is None or effect.changed:
            assert effect.reasons, effect  # nothing becomes something else without a sentence
        for reason in effect.reasons:
            assert reason.text.endswith(".")
            assert "None" not in reason.text
        described = control.rows.get(name)
        if effect.known and not (described is not None and described.treatments is not None):
            pytest.fail(f"{name} is known, though nobody says how it is treated")


@ANY
@given(plants())
def test_the_order_in_the_files_does_not_matter(plant: tuple[Data, Data]) -> None:
    control, profile = plant
    turned: tuple[Data, Data] = (
        {**control, "setting": dict(reversed(control["setting"].items()))},
        {**profile, "settings": dict(reversed(profile["settings"].items()))},
    )
    assert resolve(*read(control, profile)) == resolve(*read(*turned))


@ANY
@given(plants())
def test_a_setting_without_treatments_and_needs_keeps_what_is_typed_inside_its_range(plant: tuple[Data, Data]) -> None:
    control, profile = read(*plant)
    for name, effect in resolve(control, profile).items():
        described, entry = control.rows.get(name), profile.settings.get(name)
        if described is None or described.treatments != () or described.needs or described.lost_on or entry is None:
            continue
        if described.access == "factory" or described.step is not None or entry.left is not None:
            continue
        if entry.read_back is not None:
            continue
        if isinstance(entry.typed, float) and not (
            (described.low is None or described.low <= entry.typed)
            and (described.high is None or entry.typed <= described.high)
        ):
            continue
        assert same(effect.effective, entry.typed)


def test_a_long_chain_is_no_trouble() -> None:
    """Every setting needs the one before it, and the last is resolved first."""
    chain: list[str] = []
    for before, name in itertools.pairwise(SETTINGS):
        setting = SETTINGS[before]
        word = f"'{setting.words[0]}'" if setting.words else "'a'"
        wanted = {Kind.FLAG: "true", Kind.WORD: word, Kind.TEXT: word}.get(setting.kind, "7")
        needed = f"needs = [{{setting = '{before}', is = {wanted}, otherwise = 'not applicable'}}]"
        chain.append(row(name, more=needed))
    rows = "".join(reversed(chain)) + row("heating_enabled")
    found = effects(rows, "heating_enabled = false")
    assert len(found) == len(SETTINGS) > 90
    assert {effect.state for name, effect in found.items() if name != "heating_enabled"} == {NOT_APPLICABLE}
