"""Rules: settings whose number only makes sense in another unit, scale or reading."""

from __future__ import annotations

from typing import Final

from settingslint.model.bounds import OTHER
from settingslint.rules.base import (
    DAMAGE,
    DANGER,
    LIKELY,
    OUTAGE,
    PROVEN,
    RECORD,
    WASTE,
    DoesNotApply,
    Drafts,
    Missing,
    Quantity,
    found,
)
from settingslint.rules.numbers.odd import (
    DEGREES,
    OTHER_UNIT,
    RAW,
    TIME,
    WITH_32,
    barred,
    cautions_of,
    odd_numbers,
    proof_of,
    remedy_for,
    severity_of,
)
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.units import Kind, from_si, show, to_si
from settingslint.vocabulary.settings import SETTINGS
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE, CONTROL_FILE

RATES: Final = ("heating_maximum_rate", "hot_water_maximum_rate", "stage_on_rate", "stage_off_rate")
"""Settings in per cent that are a firing rate, which is counted in several ways."""


@rule(
    "typed-in-other-unit",
    severity=DANGER,
    cautions=("record",),
    source=(COMMON_PRACTICE, CONTROL_FILE),
    assumes="the number was read in the other unit",
    trips="settings.heating_setpoint = 58",
    passes="settings.heating_setpoint = 160",
)
def typed_in_other_unit(plant: Plant) -> Drafts:
    """A temperature is plausible only in the other unit: Fahrenheit in a Celsius file, or the reverse.

    Each temperature and difference is compared with the range in which it is plausible at all, and with the control's
    own range; a finding is what lies outside and would lie inside in the other unit. As bad as the setting it stands
    in.
    """
    other = OTHER[plant.system]
    for number in plant.once(odd_numbers):
        if number.how != OTHER_UNIT:
            continue
        was, would = show(number.value, number.kind, plant.system), show(number.meant, number.kind, other)
        now = plant.show(number.kind, number.meant)
        fact_or_setting = "setting" if number.name in SETTINGS else "fact"
        yield found(
            number.name,
            f"{was} makes no sense here"
            + ("" if barred(number.name) else f", {would} does ({now})")
            + ": it is in the other unit",
            proof_of(number),
            remedy_for(
                number.name, number.meant, f"look at the display and record the {fact_or_setting} with its unit"
            ),
            severity=severity_of(number.name),
            certainty=PROVEN if number.certain and number.name in SETTINGS else LIKELY,
            cautions=cautions_of(number.name),
        )


@rule(
    "difference-converted-with-32",
    severity=DAMAGE,
    cautions=("record",),
    source=ARITHMETIC,
    trips="settings.heating_differential = 68",
    passes="settings.heating_differential = 36",
)
def difference_converted_with_32(plant: Plant) -> Drafts:
    """A temperature difference was converted as if it were a point on the scale, with the 32.

    20 K is 36 F of difference; with the 32 it becomes 68 F. A finding is a difference that is not plausible as it
    stands and is when the 32 is taken back.
    """
    for number in plant.once(odd_numbers):
        if number.how != WITH_32:
            continue
        meant = number.meant
        yield found(
            number.name,
            f"{plant.show(number.kind, number.value)} of difference is "
            + ("a difference" if barred(number.name) else plant.show(number.kind, meant))
            + " converted with the 32 of a point on the scale",
            proof_of(number),
            remedy_for(number.name, number.meant, f"enter {plant.show(number.kind, meant)} where that was meant"),
            severity=WASTE if severity_of(number.name) is OUTAGE else severity_of(number.name),
            cautions=cautions_of(number.name),
        )


@rule(
    "time-in-other-unit",
    severity=DANGER,
    cautions=("record",),
    source=COMMON_PRACTICE,
    trips="settings.pump_overrun = 180",
    passes="settings.pump_overrun = 3",
)
def time_in_other_unit(plant: Plant) -> Drafts:
    """A time is plausible only in another unit: seconds typed for minutes, minutes for hours, or the reverse."""
    for number in plant.once(odd_numbers):
        if number.how != TIME:
            continue
        yield found(
            number.name,
            f"{plant.show(number.kind, number.value)} is not plausible"
            + ("" if barred(number.name) else f", {plant.show(number.kind, number.meant)} is")
            + ": seconds, minutes and hours are mixed",
            proof_of(number),
            remedy_for(number.name, number.meant, "look at the display and record the time in the unit of the file"),
            severity=severity_of(number.name),
            cautions=cautions_of(number.name),
        )


@rule(
    "raw-bus-value-recorded",
    severity=DANGER,
    certainty=LIKELY,
    cautions=("record", "remote"),
    source=ARITHMETIC,
    assumes="it was read from a bus",
    trips="settings.hot_water_maximum_rate = 950",
    passes="settings.hot_water_maximum_rate = 95",
)
def raw_bus_value_recorded(plant: Plant) -> Drafts:
    """A number is what a bus carries, ten or a hundred times the value, or a negative one counted down from 65,536.

    Looked for only where no mix-up of units explains the number.
    """
    for number in plant.once(odd_numbers):
        if number.how != RAW:
            continue
        yield found(
            number.name,
            f"{plant.show(number.name, number.value)} is not plausible; as a raw value it "
            + ("would be" if barred(number.name) else f"would be {plant.show(number.name, number.meant)}"),
            proof_of(number),
            remedy_for(number.name, number.meant, "read the value at the panel and record that"),
            severity=severity_of(number.name),
            cautions=cautions_of(number.name),
        )


@rule(
    "rounding-through-other-unit",
    severity=RECORD,
    certainty=LIKELY,
    cautions=("record",),
    source=ARITHMETIC,
    assumes="the control counts in whole degrees of the other unit",
    trips="settings.heating_setpoint = { value = 163, read_back = 163.4 }",
    passes="settings.heating_setpoint = { value = 163, read_back = 163 }",
)
def rounding_through_other_unit(plant: Plant) -> Drafts:
    """A read-back differs from what was typed by no more than the control's rounding in the other unit.

    62 C becomes 143.6 F, is kept as 144 F and comes back as 62.2 C: no drift.
    """
    other = OTHER[plant.system]
    for name, entry in plant.entries.items():
        kind, typed, back = SETTINGS[name].kind, plant.typed(name), entry.read_back
        if kind not in DEGREES or not isinstance(typed, float) or not isinstance(back, float):
            continue
        kept = float(round(from_si(typed, kind, other)))
        rounded = from_si(to_si(kept, kind, other), kind, plant.system)
        shown = from_si(back, kind, plant.system)
        if abs(back - typed) <= 0.01 or abs(shown - rounded) > 0.051:
            continue
        yield found(
            name,
            f"typed {plant.show(kind, typed)}, read back {round(shown, 1):g}: the control keeps"
            f" {show(to_si(kept, kind, other), kind, other)}; this is rounding and no drift",
            {"typed": Quantity(typed, kind), "read back": Quantity(back, kind)},
            "record in the unit that the control counts in",
        )


@rule(
    "percent-of-what",
    severity=OUTAGE,
    cautions=("record",),
    source=(CONTROL_FILE, COMMON_PRACTICE),
    trips='control.setting.heating_maximum_rate = { unit = "%" }',
    passes='control.setting.heating_maximum_rate = { unit = "% of input" }',
)
def percent_of_what(plant: Plant) -> Drafts:
    """A firing rate in per cent, and the control file does not say per cent of what.

    Of the input, of the fan speed, of the span between low and high fire, or of the output: at a turndown of 10,
    50 % of the span is 55 % of the input.
    """
    rates = [name for name in RATES if isinstance(plant.typed(name), float)]
    if not rates:
        raise DoesNotApply("no rate is recorded")
    for name in rates:
        row = plant.row(name)
        if row is None:
            yield Missing(name, f"the control file {plant.word('control.name')} does not describe it")
            continue
        if row.unit is not None and row.unit.strip(" %."):
            continue
        typed = plant.typed(name)
        assert isinstance(typed, float)
        yield found(
            name,
            f"{plant.show(Kind.PERCENT, typed)} of what? The control file names no unit; of the input, of the span and"
            " of the fan speed are three different fires",
            {"typed": Quantity(typed, Kind.PERCENT)},
            "take it from the maker's papers into the control file: unit = per cent of what",
            cautions=cautions_of(name),
        )


RULES: Final[tuple[Rule, ...]] = (
    typed_in_other_unit,
    difference_converted_with_32,
    percent_of_what,
    time_in_other_unit,
    raw_bus_value_recorded,
    rounding_through_other_unit,
)
