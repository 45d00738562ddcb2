"""Rules of the numbers group about facts that are held against each other: powers, pressures, flows, lengths, signs."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from settingslint.model.effect import TOLERANCE, same
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
from settingslint.units import M_PER_FOOT, PA_PER_BAR, PA_PER_PSI, Celsius, Kind, kelvin, to_si
from settingslint.vocabulary.settings import SETTINGS
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE

FACT_RANGES: Final[dict[str, tuple[float, float]]] = {
    "building.balance_point": (40, 85), "building.indoor_design": (45, 95), "site.design_outdoor": (-65, 60),
    "site.coldest": (-90, 60), "site.hottest": (60, 135), "site.insurer_minimum": (35, 75),
    "boiler.maximum_difference": (10, 120), "boiler.lowest_rated_part": (120, 400),
    "hot_water.cold_inlet": (32, 90), "hot_water.mixing_valve_setpoint": (90, 160), "hot_water.tank_rating": (120, 260),
    "emitter.design_supply": (75, 220), "emitter.design_return": (70, 210), "emitter.maximum_supply": (80, 400),
    "building.cooldown_time_constant": (3, 500), "building.setback_warm_up": (0.2, 24),
}  # fmt: skip
"""Facts and the range in which they are plausible at all, in US units: common practice, no source."""

POWER_FACTORS: Final[dict[str, float]] = {
    "thousands": 1000.0, "kW and Btu/h": 3412.14, "W and Btu/h": 3.41214, "boiler horsepower and Btu/h": 33475.0,
    "kW and thousands of Btu/h": 293.07,
}  # fmt: skip
"""Ratios that mix-ups of power units leave behind."""

PRESSURES: Final[dict[str, float]] = {
    "psi": PA_PER_PSI, "bar": PA_PER_BAR, "kPa": 1000.0, "mbar": 100.0, "inches of water": 249.08891,
}  # fmt: skip
"""Units of pressure, Pa (NIST SP 811, appendix B.8; inch of water at 4 C)."""
RELIEF: Final = (12.0, 160.0)
"""Relief valves of heating boilers, psi: common practice, no source."""

FLOWS: Final[dict[str, float]] = {"gpm": 0.0630902, "L/s": 1.0, "L/min": 1 / 60, "m3/h": 1 / 3.6}
"""Units of flow, L/s."""

SIGN: Final = Threshold(
    "lost_minus", kelvin(3), Kind.DIFFERENCE, COMMON_PRACTICE,
    "a temperature nearer to zero is not asked for its sign",
    kelvin(1), kelvin(10), "common practice, no source: 10 F below zero is cold in most places",
)  # fmt: skip


def _mixed_up(ratio: float, low: float, high: float) -> str | None:
    """Return which mix-up of power units leaves a ratio behind, where the right one lies between low and high."""
    for name, factor in POWER_FACTORS.items():
        if low <= ratio * factor <= high or low <= ratio / factor <= high:
            return name
    return None


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
    rated, output = plant.known("boiler.input_maximum"), plant.known("boiler.output_maximum")
    references = [
        ("boiler.input_maximum", plant.known("size.input_maximum"), "the control file's input", 0.7, 1.2),
        ("boiler.input_minimum", plant.known("size.input_minimum"), "the control file's low fire", 0.5, 2.0),
        ("boiler.output_maximum", rated, "the input", 0.7, 1.15),
        ("gas.clocked_input", rated, "the input", 0.4, 1.3),
        ("building.design_load", output, "the output", 0.15, 2.0),
    ]
    seen = False
    for name, reference, words, low, high in references:
        value = plant.known(name)
        if not isinstance(value, float) or not isinstance(reference, float) or min(value, reference) <= 0:
            continue
        seen = True
        ratio = value / reference
        mixed = _mixed_up(ratio, low, high) if not low / 2 <= ratio <= high * 2 else None
        if mixed is None:
            continue
        is_load = name == "building.design_load"
        yield found(
            name,
            f"{plant.show(Kind.POWER, value)} against {plant.show(Kind.POWER, reference)}, {words}: the ratio of"
            f" {mixed}",
            {"recorded": watts_of(value), words: watts_of(reference)},
            "read the plate or the calculation again and record it in the unit of the file",
            severity=RECORD if is_load else None,
            certainty=LIKELY if is_load else None,
        )
    if not seen:
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
            f"{plant.show(Kind.POWER, value)} is {value / stated:.0%} of the {plant.show(Kind.POWER, stated)} that the"
            " control file states for this size: it looks like the output",
            {"recorded": watts_of(value), "stated": watts_of(stated)},
            "read input and output off the plate",
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
    """An input or an efficiency is recorded without the basis of its heating value, gross or net.

    For natural gas the two differ by about a tenth. An efficiency above 1 on the gross value can't be.
    """
    efficiency, basis = plant.known("boiler.efficiency"), plant.known("gas.heating_value_basis")
    if efficiency is None and plant.known("gas.clocked_input") is None:
        raise DoesNotApply("nothing rests on the heating value")
    if isinstance(efficiency, float) and efficiency > 1 + TOLERANCE and basis != "net":
        yield found(
            "boiler.efficiency",
            f"efficiency {plant.show('boiler.efficiency')} is more than the gross heating value can give",
            {"efficiency": Quantity(efficiency, Kind.RATIO)},
            "record the basis of the heating value, and the efficiency on the same basis as the input",
            certainty=PROVEN,
        )
    elif basis is None and plant.known("gas.clocked_input") is not None:
        yield found(
            "gas.clocked_input",
            f"clocked input {plant.show('gas.clocked_input')}: gross or net?",
            remedy="record the basis of the heating value that it was worked out with",
        )


def _pressures(plant: Plant) -> Iterator[tuple[str, float, float, float]]:
    """Yield pressures with their plausible range: name, Pa, low and high in Pa."""
    for name in ("low_pressure_cutout", "high_pressure_alarm"):
        row, typed = SETTINGS[name], plant.typed(name)
        if isinstance(typed, float) and row.low is not None and row.high is not None:
            yield name, typed, to_si(row.low, row.kind, "us"), to_si(row.high, row.kind, "us")
    relief = plant.known("water.relief_pressure")
    if isinstance(relief, float):
        low, high = (to_si(bound, Kind.PRESSURE, "us") for bound in RELIEF)
        yield "water.relief_pressure", relief, low, high


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
    own = "psi" if plant.system == "us" else "bar"
    pressures = list(_pressures(plant))
    if not pressures:
        raise DoesNotApply("no pressure is recorded")
    for name, value, low, high in pressures:
        if low - TOLERANCE <= value <= high + TOLERANCE:
            continue
        shown = value / PRESSURES[own]
        units = [unit for unit, factor in PRESSURES.items() if unit != own and low <= shown * factor <= high]
        if not units:
            continue
        meant = shown * PRESSURES[units[0]]
        yield found(
            name,
            f"{shown:g} {own} is not plausible; {shown:g} {' or '.join(units)} is"
            f" ({plant.show(Kind.PRESSURE, meant)} for the first)",
            {"recorded": Quantity(value, Kind.PRESSURE)},
            "read the plate or the display again and record it in the unit of the file",
        )


@rule(
    "flow-in-other-unit",
    severity=OUTAGE,
    certainty=LIKELY,
    needs=("boiler.minimum_flow", "boiler.output_maximum", "boiler.maximum_difference"),
    cautions=("pump", "record"),
    source=ARITHMETIC,
    assumes="a least flow of about what the output needs at the largest difference",
    trips="boiler.minimum_flow = 0.2",
    passes="boiler.minimum_flow = 3.5",
)
def flow_in_other_unit(plant: Plant) -> Drafts:
    """The boiler's least flow is far from what its output and largest difference make it, by the ratio of two units.

    flow = output/(density x specific heat x difference); gpm, L/s, L/min and m3/h differ by 15.9, 60, 3.6 and 4.4.
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
        f"least flow {plant.show('boiler.minimum_flow')}; the output at the largest difference needs about"
        f" {plant.show(Kind.FLOW, expected)}: it looks like {unit}",
        {"recorded": Quantity(flow, Kind.FLOW), "expected": Quantity(expected, Kind.FLOW)},
        "read the maker's papers again and record it in the unit of the file",
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
    """Elevation or vent length in the control differs from the recorded fact by the ratio of feet and metres."""
    pairs = [(name, typed) for name in LENGTHS if isinstance(typed := plant.typed(name), float) and typed > 0]
    if not pairs:
        raise DoesNotApply("the control takes no length")
    for name, typed in pairs:
        real = plant.number(LENGTHS[name])
        if real <= 0 or not any(abs(typed / real / factor - 1) <= 0.05 for factor in (M_PER_FOOT, 1 / M_PER_FOOT)):
            continue
        yield found(
            name,
            f"{plant.show(name, typed)} here, {plant.show(LENGTHS[name])} recorded: the ratio of feet and metres",
            {"set": Quantity(typed, Kind.LENGTH), "recorded": Quantity(real, Kind.LENGTH)},
            "the licensed person looks up which unit the control takes, restores the maker's value, proves combustion",
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
    """A temperature below zero lost its minus: the line's cold end is the design outdoor temperature without its sign.

    Also the coldest outdoor temperature to be expected, where it is warmer than the design day and would be colder
    with a minus.
    """
    zero = to_si(0.0, Kind.POINT, plant.system)
    design, margin = plant.point("site.design_outdoor"), plant.threshold(SIGN)
    cold, coldest = plant.typed("reset_cold_outdoor"), plant.known("site.coldest")
    half = 0.5 / 1.8 if plant.system == "us" else 0.5
    if isinstance(cold, float) and cold > zero + margin and abs((cold - zero) + (design - zero)) <= half + TOLERANCE:
        meant = zero - (cold - zero)
        yield found(
            "reset_cold_outdoor",
            f"cold end {plant.show('reset_cold_outdoor', cold)}, design day {plant.show('site.design_outdoor')}: the"
            " minus is lost",
            {"cold end": celsius_of(cold), "design day": celsius_of(design)},
            Remedy("enter it with its minus", {"reset_cold_outdoor": meant}),
        )
    if isinstance(coldest, float) and coldest > design + TOLERANCE and not same(coldest, design):
        mirrored = zero - (coldest - zero)
        if mirrored <= design + TOLERANCE:
            yield found(
                "site.coldest",
                f"coldest {plant.show('site.coldest')} is warmer than the design day"
                f" {plant.show('site.design_outdoor')}: the minus is lost",
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
