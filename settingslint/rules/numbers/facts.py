"""Rules of the numbers group about facts that are held against each other: powers, pressures, flows, lengths, signs."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final, NamedTuple

from settingslint.model.bounds import Range, plausible_range
from settingslint.model.effect import TOLERANCE, same
from settingslint.model.values import title_of
from settingslint.physics.water import density, specific_heat
from settingslint.rules.base import (
    ASK,
    DAMAGE,
    DANGER,
    LIKELY,
    OUTAGE,
    PROVEN,
    RECORD,
    DoesNotApply,
    Drafts,
    Missing,
    Quantity,
    Remedy,
    Threshold,
    celsius_of,
    found,
    watts_of,
)
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.units import M_PER_FOOT, PA_PER_BAR, PA_PER_PSI, Celsius, Kind, System, kelvin, to_si
from settingslint.vocabulary.settings import SETTINGS
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE

POWER_FACTORS: Final[dict[str, float]] = {
    "thousands": 1000.0, "kW and Btu/h": 3412.14, "W and Btu/h": 3.41214, "boiler horsepower and Btu/h": 33475.0,
    "kW and thousands of Btu/h": 293.07,
}  # fmt: skip
"""Ratios that mix-ups of power units leave behind."""

PRESSURES: Final[dict[str, float]] = {
    "psi": PA_PER_PSI, "bar": PA_PER_BAR, "kPa": 1000.0, "mbar": 100.0, "inches of water": 249.08891,
}  # fmt: skip
"""Units of pressure, Pa (NIST SP 811, appendix B.8; inch of water at 4 C)."""
OWN_PRESSURE: Final[dict[System, str]] = {"us": "psi", "metric": "bar"}
FLOWS: Final[dict[str, float]] = {"gpm": 0.0630902, "L/s": 1.0, "L/min": 1 / 60, "m3/h": 1 / 3.6}
"""Units of flow, L/s."""

RATED, OUTPUT = "boiler.input_maximum", "boiler.output_maximum"
SIGN: Final = Threshold(
    "lost_minus", kelvin(3), Kind.DIFFERENCE, COMMON_PRACTICE,
    "distance from zero within which no lost minus is looked for",
    kelvin(1), kelvin(10), "common practice, no source: 10 F below zero is cold in most places", looser="down",
)  # fmt: skip


def _mixed_up(ratio: float, low: float, high: float) -> str | None:
    """Return which mix-up of power units leaves a ratio behind, where the right one lies between low and high."""
    for name, factor in POWER_FACTORS.items():
        if low <= ratio * factor <= high or low <= ratio / factor <= high:
            return name
    return None


class Mixed(NamedTuple):
    """A power beside the one that it is compared with, W, with words for both and the units that are mixed up."""

    name: str
    what: str
    value: float
    reference: float
    words: str
    units: str


def _pairs(plant: Plant) -> Iterator[tuple[Mixed, float, float]]:
    """Yield the recorded powers beside plausible ones, with the range of their ratio."""
    rated, output = (None if name in plant.doubts else plant.known(name) for name in (RATED, OUTPUT))
    references = [
        (RATED, "input", plant.known("size.input_maximum"), "control file's input", 0.7, 1.2),
        (
            "boiler.input_minimum", "low-fire input", plant.known("size.input_minimum"), "control file's low fire",
            0.5, 2.0,
        ),
        (OUTPUT, "output", rated, "input", 0.7, 1.15),
        ("gas.clocked_input", "clocked input", rated, "rated input", 0.4, 1.3),
        ("building.design_load", "design load", output, "output", 0.15, 2.0),
    ]  # fmt: skip
    for name, what, reference, words, low, high in references:
        value = plant.recorded(name)
        if isinstance(value, float) and isinstance(reference, float) and min(value, reference) > 0:
            yield Mixed(name, what, value, reference, words, ""), low, high


def mixed_powers(plant: Plant) -> tuple[Mixed, ...]:
    """Return the powers that differ from another by the ratio of two units."""
    found_: list[Mixed] = []
    for one, low, high in _pairs(plant):
        ratio = one.value / one.reference
        units = _mixed_up(ratio, low, high) if not low / 2 <= ratio <= high * 2 else None
        if units is not None:
            found_.append(one._replace(units=units))
    return tuple(found_)


@rule(
    "power-in-other-unit",
    severity=OUTAGE,
    cautions=("record",),
    source=ARITHMETIC,
    assumes="a load of the size of the boiler",
    trips="boiler.input_maximum = 118",
    passes="boiler.input_maximum = 118000",
)
def power_in_other_unit(plant: Plant) -> Drafts:
    """Two powers of one boiler differ by the ratio of two units: thousands, kW and Btu/h, boiler horsepower.

    Input on the plate against the control file's size, output and clocked input against the input, and the design load
    against the output.
    """
    for mixed in plant.once(mixed_powers):
        is_load = mixed.name == "building.design_load"
        yield found(
            mixed.name,
            f"{mixed.what} {plant.show(Kind.POWER, mixed.value)}, {mixed.words}"
            f" {plant.show(Kind.POWER, mixed.reference)}: {mixed.units} mixed up",
            {"recorded": watts_of(mixed.value), mixed.words: watts_of(mixed.reference)},
            "read the plate or the calculation again and record it in the file's unit",
            severity=RECORD if is_load else None,
            certainty=LIKELY if is_load else None,
        )
    if not list(_pairs(plant)):
        plant.value("boiler.input_maximum")
        plant.value("boiler.output_maximum")


@rule(
    "input-called-output",
    severity=OUTAGE,
    certainty=LIKELY,
    needs=("boiler.input_maximum",),
    cautions=("record",),
    source=ARITHMETIC,
    assumes="the plate carries no derating",
    trips="boiler.input_maximum = 108000, boiler.output_maximum = 99000",
    passes="boiler.input_maximum = 118000, boiler.output_maximum = 108000",
)
def input_called_output(plant: Plant) -> Drafts:
    """What is recorded as the input looks like the output, or the two are swapped.

    The recorded input is 0.8 to 0.98 of the input that the control file states for the size, or the output is above
    the input. Above 2,000 ft (610 m) the first is left out: a plate may be derated there.
    """
    value, output = plant.number("boiler.input_maximum"), plant.known("boiler.output_maximum")
    stated = plant.known("size.input_maximum")
    if isinstance(output, float) and output > value + TOLERANCE and plant.word("gas.heating_value_basis") == "gross":
        yield found(
            "boiler.output_maximum",
            f"output {plant.show(Kind.POWER, output)} is above input {plant.show(Kind.POWER, value)}: swapped",
            {"input": watts_of(value), "output": watts_of(output)},
            "read the plate again",
            certainty=PROVEN,
        )
    if not isinstance(stated, float):
        if not isinstance(output, float):
            plant.value("boiler.output_maximum")
        return
    if 0.8 <= value / stated <= 0.98 and plant.number("site.elevation") <= 610:
        yield found(
            "boiler.input_maximum",
            f"input {plant.show(Kind.POWER, value)}, control file's input {plant.show(Kind.POWER, stated)}:"
            " looks like the output",
            {"recorded": watts_of(value), "stated": watts_of(stated)},
            "read input and output on the plate again",
        )


@rule(
    "heating-value-basis-unsaid",
    severity=RECORD,
    certainty=ASK,
    cautions=("record",),
    source="gross is about a tenth above net for natural gas: common practice, no source",
    trips="boiler.efficiency = 1.04",
    passes='gas.heating_value_basis = "net"',
)
def heating_value_basis_unsaid(plant: Plant) -> Drafts:
    """An input or an efficiency is recorded without its heating value basis, gross or net.

    For natural gas the two differ by about a tenth. An efficiency above 1 on the gross value can't be.
    """
    efficiency, basis = plant.known("boiler.efficiency"), plant.known("gas.heating_value_basis")
    if efficiency is None and plant.known("gas.clocked_input") is None:
        raise DoesNotApply("nothing depends on the heating value")
    if isinstance(efficiency, float) and efficiency > 1 + TOLERANCE and basis != "net":
        yield found(
            "boiler.efficiency",
            f"efficiency {plant.show('boiler.efficiency')} is more than the gross heating value can give",
            {"efficiency": Quantity(efficiency, Kind.RATIO)},
            "record the heating value basis, and the efficiency on the same basis as the input",
            certainty=PROVEN,
        )
    elif basis is None and plant.known("gas.clocked_input") is not None:
        yield found(
            "gas.clocked_input",
            f"clocked input {plant.show('gas.clocked_input')}: gross or net heating value?",
            remedy="record the heating value basis that it was calculated with",
        )


PRESSURE_NAMES: Final = ("low_pressure_cutout", "high_pressure_alarm", "water.relief_pressure")


def _pressures(plant: Plant) -> Iterator[tuple[str, float, Range]]:
    """Yield the recorded pressures, Pa, with their plausible range."""
    for name in PRESSURE_NAMES:
        value = plant.typed(name) if name in SETTINGS else plant.recorded(name)
        own = plausible_range(name)
        if isinstance(value, float) and own is not None:
            yield name, value, own


def mixed_pressures(plant: Plant) -> tuple[tuple[str, float, tuple[str, ...]], ...]:
    """Return the pressures that are plausible only in other units: name, Pa, and those units."""
    own = OWN_PRESSURE[plant.system]
    found_ = []
    for name, value, span in _pressures(plant):
        if span.holds(value):
            continue
        shown = value / PRESSURES[own]
        units = tuple(unit for unit, factor in PRESSURES.items() if unit != own and span.holds(shown * factor))
        if units:
            found_.append((name, value, units))
    return tuple(found_)


@rule(
    "pressure-in-other-unit",
    severity=DANGER,
    cautions=("limit", "record"),
    source=COMMON_PRACTICE,
    trips="water.relief_pressure = 3",
    passes="water.relief_pressure = 30",
)
def pressure_in_other_unit(plant: Plant) -> Drafts:
    """A pressure is plausible only in another unit: psi, bar, kPa, mbar or inches of water."""
    if not list(_pressures(plant)):
        raise DoesNotApply("no pressure is recorded")
    own = OWN_PRESSURE[plant.system]
    for name, value, units in plant.once(mixed_pressures):
        shown = value / PRESSURES[own]
        meant = shown * PRESSURES[units[0]]
        yield found(
            name,
            f"{title_of(name)} {shown:g} {own} is not plausible, {shown:g} {units[0]} is"
            f" ({plant.show(Kind.PRESSURE, meant)})",
            {"recorded": Quantity(value, Kind.PRESSURE)},
            "read the plate or the display again and record it in the file's unit",
        )


@rule(
    "flow-in-other-unit",
    severity=OUTAGE,
    certainty=LIKELY,
    needs=("boiler.minimum_flow", "boiler.output_maximum", "boiler.maximum_difference"),
    cautions=("pump", "record"),
    source=ARITHMETIC,
    assumes="a minimum flow of about what the output needs at the maximum difference",
    trips="boiler.minimum_flow = 0.2",
    passes="boiler.minimum_flow = 3.5",
)
def flow_in_other_unit(plant: Plant) -> Drafts:
    """The boiler's minimum flow is far from what its output needs, by the ratio of two units.

    flow = output/(density x specific heat x maximum difference); gpm, L/s, L/min and m3/h differ by 15.9, 60, 3.6
    and 4.4.
    """
    flow, output = plant.number("boiler.minimum_flow"), plant.number("boiler.output_maximum")
    middle, difference = Celsius(60.0), plant.difference("boiler.maximum_difference")
    if output <= 0 or difference <= 0:
        raise Missing("boiler.output_maximum" if output <= 0 else "boiler.maximum_difference", "it is not above 0")
    expected = output / (density(middle) / 1000 * specific_heat(middle) * difference)
    if flow <= 0 or 1 / 6 <= flow / expected <= 6:
        return
    own = "gpm" if plant.system == "us" else "L/s"
    readings = {unit: flow * factor / FLOWS[own] for unit, factor in FLOWS.items() if unit != own}
    unit = min(readings, key=lambda one: abs(math.log(readings[one] / expected)))
    if not 1 / 3 <= readings[unit] / expected <= 3:
        return
    yield found(
        "boiler.minimum_flow",
        f"minimum flow {plant.show('boiler.minimum_flow')}, the output needs about"
        f" {plant.show(Kind.FLOW, expected)}: it looks like {unit}",
        {"recorded": Quantity(flow, Kind.FLOW), "expected": Quantity(expected, Kind.FLOW)},
        "read the maker's papers again and record it in the file's unit",
    )


LENGTHS: Final = {"elevation_setting": "site.elevation", "vent_length_setting": "vent.equivalent_length"}


@rule(
    "length-in-other-unit",
    severity=DANGER,
    cautions=("firing", "record"),
    source="1 m = 3.281 ft (NIST SP 811)",
    trips="settings.elevation_setting = 183",
    passes="settings.elevation_setting = 600",
)
def length_in_other_unit(plant: Plant) -> Drafts:
    """Elevation or vent length in the control: feet and metres were mixed up."""
    pairs = [(name, typed) for name in LENGTHS if isinstance(typed := plant.typed(name), float) and typed > 0]
    if not pairs:
        raise DoesNotApply("the control takes no length")
    for name, typed in pairs:
        real = plant.number(LENGTHS[name])
        if real <= 0 or not any(abs(typed / real / factor - 1) <= 0.05 for factor in (M_PER_FOOT, 1 / M_PER_FOOT)):
            continue
        yield found(
            name,
            f"{title_of(name)} {plant.show(name, typed)}, recorded {plant.show(LENGTHS[name])}: feet and metres"
            " mixed up",
            {"set": Quantity(typed, Kind.LENGTH), "recorded": Quantity(real, Kind.LENGTH)},
            "have a licensed gas technician look up which unit the control takes, and correct it",
        )


@rule(
    "minus-lost",
    severity=OUTAGE,
    certainty=LIKELY,
    needs=("site.design_outdoor",),
    cautions=("record", "heating"),
    source=ARITHMETIC,
    assumes="the sign is all that differs",
    thresholds=(SIGN,),
    trips=('site.design_outdoor = -10, settings.reset_cold_outdoor = 10, control.control.reset_style = "two points"'),
    passes="settings.reset_cold_outdoor = -10",
)
def minus_lost(plant: Plant) -> Drafts:
    """A temperature below zero lost its minus: the reset line's cold end, or the coldest outdoor temperature.

    The cold end, where it is the design outdoor temperature without its sign; the coldest outdoor temperature, where it
    is warmer than the design day and would be colder with a minus.
    """
    zero = to_si(0.0, Kind.POINT, plant.system)
    design, margin = plant.point("site.design_outdoor"), plant.threshold(SIGN)
    cold, coldest = plant.typed("reset_cold_outdoor"), plant.known("site.coldest")
    half = 0.5 / 1.8 if plant.system == "us" else 0.5
    if isinstance(cold, float) and cold > zero + margin and abs((cold - zero) + (design - zero)) <= half + TOLERANCE:
        meant = zero - (cold - zero)
        yield found(
            "reset_cold_outdoor",
            f"reset cold end {plant.show('reset_cold_outdoor', cold)}, design day"
            f" {plant.show('site.design_outdoor')}: the minus is lost",
            {"cold end": celsius_of(cold), "design day": celsius_of(design)},
            Remedy("enter it with its minus", {"reset_cold_outdoor": meant}),
        )
    if isinstance(coldest, float) and coldest > design + TOLERANCE and not same(coldest, design):
        mirrored = zero - (coldest - zero)
        if mirrored <= design + TOLERANCE:
            yield found(
                "site.coldest",
                f"coldest outdoor {plant.show('site.coldest')}, design day {plant.show('site.design_outdoor')}:"
                " the minus is lost",
                {"coldest": celsius_of(coldest), "design day": celsius_of(design)},
                "record it with its minus",
                severity=DAMAGE,
                cautions=("freeze",),
            )


RULES: Final[tuple[Rule, ...]] = (
    power_in_other_unit,
    input_called_output,
    heating_value_basis_unsaid,
    pressure_in_other_unit,
    flow_in_other_unit,
    length_in_other_unit,
    minus_lost,
)
