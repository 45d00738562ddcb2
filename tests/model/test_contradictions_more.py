"""Control files that can't both be so, or that say what nobody could obey: refused, with the places of both."""

from __future__ import annotations

from typing import Final

import pytest

from settingslint.model.control import Control
from settingslint.model.control_file import control_from
from settingslint.model.source import parse
from settingslint.model.validate import check_schema
from settingslint.model.values import Unreadable

HEAD: Final = 'format = 1\nunits = "{system}"\n[control]\nname = "mine"\nreset_style = "none"\n'
LINES: Final = HEAD.count("\n")


def control(rows: str, system: str = "us") -> Control:
    """Return the control of a file that has these settings."""
    source = parse((HEAD.replace("{system}", system) + rows).encode(), "mine.toml")
    check_schema(source, "control")
    return control_from(source)


def refused(rows: str, system: str = "us") -> list[tuple[int, str]]:
    """Return lines, counted from the first setting, and messages; nothing where the file is taken."""
    try:
        control(rows, system)
    except Unreadable as unread:
        return [(one.line - LINES, one.message) for one in unread.problems]
    return []


RATE: Final = '[setting.heating_maximum_rate]\nunit = "% of input"\nrange = { low = 30, high = 100 }\n'
SUPPLY: Final = "[setting.heating_setpoint]\nrange = { low = 80, high = 180 }\n"


def treated(*treatments: str, row: str = RATE) -> str:
    """Return a setting with treatments, each on a line of its own, from the fifth line on."""
    lines = "".join(f"  {{ does = {one} }},\n" for one in treatments)
    return f"{row}treatments = [\n{lines}]\n"


OVERLAP: Final = "two ignored bands overlap and become two values"


@pytest.mark.parametrize(
    ("first", "second", "says"),
    [
        # the same range, one inside the other either way round, only an end in common, one unknown
        ('"ignore", low = 40, high = 60, becomes = 70', '"ignore", low = 40, high = 60, becomes = 35', OVERLAP),
        ('"ignore", low = 40, high = 80, becomes = 90', '"ignore", low = 50, high = 60, becomes = 95', OVERLAP),
        ('"ignore", low = 50, high = 60, becomes = 90', '"ignore", low = 40, high = 80, becomes = 95', OVERLAP),
        ('"ignore", low = 40, high = 55, becomes = 90', '"ignore", low = 50, high = 80, becomes = 95', OVERLAP),
        ('"ignore", low = 40, high = 55, becomes = 90', '"ignore", low = 55, high = 60, becomes = 80', OVERLAP),
        ('"ignore", low = 40, high = 60, becomes = 70', '"ignore", low = 50, high = 65', OVERLAP),
        ('"ignore", low = 40, high = 60', '"ignore", low = 50, high = 65, becomes = 70', OVERLAP),
        ('"ignore", low = 40, high = 45, becomes = 60', '"ignore", low = 55, high = 65, becomes = 70', "in the other"),
        ('"ignore", low = 55, high = 65, becomes = 70', '"ignore", low = 40, high = 45, becomes = 65', "in the other"),
        ('"add", amount = 5', '"add", amount = 3', "add is given twice, with two numbers"),
        ('"add", amount = 5', '"add", amount = 5', "add is given twice;"),
        ('"off when", equals = 0', '"off when", equals = 0', "off when is given twice"),
        ('"ignore", low = 40, high = 60, becomes = 70', '"ignore", low = 40, high = 60, becomes = 70', "given twice"),
        (
            '"at most until first firing", amount = 40', '"at most until first firing", amount = 60',
            "first firing is given twice, with two numbers",
        ),
        ('"ignore", low = 40, high = 60, becomes = 70', '"off when", equals = 50', "is ignored before"),
        ('"off when", equals = 40', '"ignore", low = 40, high = 60, becomes = 70', "is ignored before"),
    ],
)  # fmt: skip
def test_two_treatments_that_can_not_both_be_so(first: str, second: str, says: str) -> None:
    [(line, message)] = refused(treated(first, second))
    assert (line, message.startswith("heating_maximum_rate: ")) == (6, True)
    assert says in message
    assert message.endswith(f"; the other is at {LINES + 5}:3")


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ('"ignore", low = 40, high = 60, becomes = 70', '"ignore", low = 50, high = 65, becomes = 70'),
        ('"ignore", low = 40, high = 60', '"ignore", low = 50, high = 65'),
        ('"ignore", low = 40, high = 50, becomes = 70', '"ignore", low = 51, high = 65, becomes = 90'),
        ('"off when", equals = 0', '"off when", equals = 30'),
        ('"ignore", low = 40, high = 60, becomes = 30', '"off when", equals = 30'),
        ('"ignore", low = 40, high = 60, becomes = 60', '"off when", equals = 60'),
        ('"add", amount = 5', '"at most until first firing", amount = 40'),
        ('"off when", equals = 61', '"ignore", low = 40, high = 60, becomes = 70'),
    ],
)
def test_two_treatments_that_can(first: str, second: str) -> None:
    assert refused(treated(first, second)) == []


@pytest.mark.parametrize(
    ("treatment", "says"),
    [
        ('"ignore", low = 30, high = 100, becomes = 100', "the band is the whole range"),
        ('"ignore", low = 30, high = 100', "the band is the whole range"),
        ('"ignore", low = 40, high = 60, becomes = 50', "becomes a value inside it"),
        ('"add", amount = 71', "adds more than the whole range"),
        ('"add", amount = -71', "adds more than the whole range"),
        ('"at most until first firing", amount = 29', "is outside the range"),
        ('"at most until first firing", amount = 101', "is outside the range"),
        ('"add", amount = 5, low = 40', "add goes by amount, not by low"),
        ('"add", amount = 5, high = 40', "add goes by amount, not by high"),
        ('"ignore", low = 40, high = 60, amount = 5', "ignore goes by low and high and becomes, not by amount"),
        ('"off when", equals = 0, becomes = 5', "off when goes by equals and by, not by becomes"),
        ('"at most until first firing", amount = 40, equals = 3', "not by equals"),
    ],
)
def test_a_treatment_that_can_not_be(treatment: str, says: str) -> None:
    [(line, message)] = refused(treated(treatment))
    assert line == 5 and says in message


@pytest.mark.parametrize(
    "treatment",
    [
        '"ignore", low = 31, high = 100, becomes = 30',
        '"ignore", low = 40, high = 60, becomes = 60',
        '"add", amount = 70',
        '"at most until first firing", amount = 30',
        '"at most until first firing", amount = 100',
    ],
)
def test_a_treatment_at_the_edge_of_what_can_be(treatment: str) -> None:
    assert refused(treated(treatment)) == []


def limits(low: int, high: int) -> str:
    """Return a floor whose range begins at `low`, and a cap whose range ends at `high`."""
    return (
        f"[setting.minimum_supply]\nrange = {{ low = {low}, high = {low + 10} }}\n"
        f"[setting.maximum_supply]\nrange = {{ low = {high - 10}, high = {high} }}\n"
    )


CAP, FLOOR = '"cap", by = "maximum_supply"', '"floor", by = "minimum_supply"'


@pytest.mark.parametrize(
    ("low", "high", "treatments", "says"),
    [
        (130, 120, (CAP, FLOOR), "the cap by maximum_supply ends below where the floor by minimum_supply begins"),
        (130, 120, (FLOOR, CAP), "the cap by maximum_supply ends below where the floor by minimum_supply begins"),
        (70, 180, (CAP, '"floor", by = "maximum_supply"'), "cap and floor are both maximum_supply"),
        (70, 79, (CAP,), "cap by maximum_supply, which ends below where this one's range begins"),
        (181, 190, (FLOOR,), "floor by minimum_supply, which begins above where this one's range ends"),
    ],
)
def test_caps_and_floors_that_cross(low: int, high: int, treatments: tuple[str, ...], says: str) -> None:
    [(line, message)] = refused(treated(*treatments, row=SUPPLY) + limits(low, high))
    assert says in message and line == 3 + len(treatments)


@pytest.mark.parametrize(("low", "high", "treatments"), [(120, 120, (CAP, FLOOR)), (80, 80, (CAP,)), (70, 180, (CAP,))])
def test_caps_and_floors_that_meet(low: int, high: int, treatments: tuple[str, ...]) -> None:
    assert refused(treated(*treatments, row=SUPPLY) + limits(low, high)) == []
    unknown = "[setting.minimum_supply]\n[setting.maximum_supply]\n"
    assert refused(treated(*treatments, row=SUPPLY) + unknown) == []


def test_a_cap_in_another_unit() -> None:
    other = '[setting.hot_water_maximum_rate]\nunit = "% of fan speed"\n'
    rows = treated('"cap", by = "hot_water_maximum_rate"')
    [(line, message)] = refused(rows + other)
    assert line == 5 and "one is in % of input, the other in % of fan speed" in message
    assert refused(rows + other.replace("fan speed", "input")) == []
    assert refused(rows + other.replace('unit = "% of fan speed"\n', "")) == []


@pytest.mark.parametrize(
    ("setting", "unit", "system", "says"),
    [
        ("heating_setpoint", "C", "us", "in a us file it is in F"),
        ("heating_setpoint", "F", "metric", "in a metric file it is in C"),
        ("heating_setpoint", "K", "metric", "in a metric file it is in C"),
        ("heating_setpoint", "rpm", "us", "it is in F"),
        ("heating_setpoint", "\\u001bc", "us", "it is in F"),
        ("heating_differential", "C", "metric", "in a metric file it is in K"),
        ("priority_time_limit", "h", "us", "in a us file it is in min"),
        ("heating_maximum_rate", "kW", "metric", "it is % of something"),
        ("maximum_fan_speed", "F", "us", "it is not a unit of a fan speed"),
        ("maximum_fan_speed", "°C", "us", "it is not a unit of a fan speed"),
        ("maximum_fan_speed", " psi ", "us", "it is not a unit of a fan speed"),
        ("maximum_fan_speed", "\\u200b", "us", "there is no word in it"),
        ("maximum_fan_speed", " ", "us", "there is no word in it"),
        ("ignition_trials", "min", "us", "it is not a unit of a count"),
        ("ignition_trials", "%", "us", "it is not a unit of a count"),
        ("freeze_protection", "F", "us", "a flag has none"),
        ("hot_water_method", "F", "us", "a word has none"),
    ],
)
def test_a_unit_of_another_kind(setting: str, unit: str, system: str, says: str) -> None:
    [(line, message)] = refused(f'[setting.{setting}]\nunit = "{unit}"\n', system)
    assert line == 2 and message.startswith(f"{setting}: the unit ") and says in message


@pytest.mark.parametrize(
    ("setting", "unit", "kept"),
    [
        ("heating_setpoint", "F", None),
        ("heating_differential", "F", None),
        ("heating_maximum_rate", "% of input", "% of input"),
        ("heating_maximum_rate", "per cent of fan speed", "per cent of fan speed"),
        ("maximum_fan_speed", "rpm", "rpm"),
        ("maximum_fan_speed", "Hz", "Hz"),
        ("maximum_fan_speed", "%", "%"),
        ("ignition_trials", "trials", "trials"),
    ],
)
def test_a_unit_of_the_kind_is_taken_and_shown_only_where_the_kind_has_none(
    setting: str, unit: str, kept: str | None
) -> None:
    assert control(f'[setting.{setting}]\nunit = "{unit}"\n').rows[setting].unit == kept


@pytest.mark.parametrize(("step", "fine"), [(69, True), (70, True), (71, False), (1000, False)])
def test_a_step_larger_than_the_range(step: float, fine: bool) -> None:
    expected = [] if fine else [(4, "heating_maximum_rate: the step is larger than the range")]
    assert refused(f"{RATE}step = {step}\n") == expected
    assert refused(f'[setting.heating_maximum_rate]\nunit = "%"\nrange = {{ low = 30 }}\nstep = {step}\n') == []


def test_a_step_of_one_fahrenheit_in_a_range_of_one() -> None:
    assert refused("[setting.heating_setpoint]\nrange = { low = 139, high = 140 }\nstep = 1\n") == []


@pytest.mark.parametrize(
    ("first", "second", "says"),
    [
        ('accessory = "bus_module", otherwise = "off"', 'accessory = "bus_module", otherwise = "default"',
         "needs bus_module is given twice: without it, off or default?"),
        ('accessory = "bus_module", otherwise = "off"', 'accessory = "bus_module", otherwise = "off"', "given twice;"),
        ('fact = "gas.fuel", is = "propane", otherwise = "off"',
         'fact = "gas.fuel", is = "natural gas", otherwise = "off"', "two values of gas.fuel that can't both be"),
        ('fact = "gas.fuel", is = ["propane", "natural gas"], otherwise = "off"',
         'fact = "gas.fuel", is = ["natural gas", "propane"], otherwise = "ignored"', "off or ignored?"),
        ('setting = "freeze_protection", is = true, otherwise = "off"',
         'setting = "freeze_protection", is = false, otherwise = "off"', "two values of freeze_protection"),
    ],
)  # fmt: skip
def test_two_needs_that_can_not_both_be_so(first: str, second: str, says: str) -> None:
    rows = (
        f"[setting.freeze_protection]\n[setting.heating_setpoint]\nneeds = [\n  {{ {first} }},\n  {{ {second} }},\n]\n"
    )
    [(line, message)] = refused(rows)
    assert line == 5 and says in message and message.endswith(f"the other is at {LINES + 4}:3")


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ('accessory = "bus_module", otherwise = "off"', 'accessory = "outdoor_sensor", otherwise = "default"'),
        ('fact = "gas.fuel", is = ["propane", "natural gas"], otherwise = "off"',
         'fact = "gas.fuel", is = "propane", otherwise = "off"'),
    ],
)  # fmt: skip
def test_two_needs_that_can(first: str, second: str) -> None:
    assert refused(f"[setting.heating_setpoint]\nneeds = [{{ {first} }}, {{ {second} }}]\n") == []
