"""Rules: settings whose number only makes sense in another unit, scale or reading."""

from __future__ import annotations

from typing import Final

from settingslint.model.bounds import OTHER
from settingslint.model.values import title_of
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
from settingslint.units import Kind, from_si, show, to_si, unit_name
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
    own range; a finding is what is outside and would be inside in the other unit. As bad as its setting.
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
            f"{title_of(number.name)} {was} looks like the other unit"
            + ("" if barred(number.name) else f": {would} would be {now}"),
            proof_of(number),
            remedy_for(
                number.name, number.meant, f"read it again, and record the {fact_or_setting} in the file's unit"
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
    """A temperature difference was converted like a temperature, with the 32.

    20 K is 36 F of difference; with the 32 it becomes 68 F. A finding is a difference that is not plausible as it
    is recorded, and is without the 32.
    """
    for number in plant.once(odd_numbers):
        if number.how != WITH_32:
            continue
        meant = number.meant
        yield found(
            number.name,
            f"{title_of(number.name)} {plant.show(number.kind, number.value)} looks like "
            + ("a difference" if barred(number.name) else plant.show(number.kind, meant))
            + " converted with the 32",
            proof_of(number),
            remedy_for(number.name, number.meant, f"set it to {plant.show(number.kind, meant)}, if that was meant"),
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
            f"{title_of(number.name)} {plant.show(number.kind, number.value)} is not plausible"
            + (": another unit of time" if barred(number.name) else f", {plant.show(number.kind, number.meant)} is"),
            proof_of(number),
            remedy_for(number.name, number.meant, "read it again, and record the time in the file's unit"),
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
    """A number is the raw value of a bus: ten or a hundred times too large, or counted down from 65,536.

    Looked for only where no mix-up of units explains the number.
    """
    for number in plant.once(odd_numbers):
        if number.how != RAW:
            continue
        yield found(
            number.name,
            f"{title_of(number.name)} {plant.show(number.name, number.value)} looks like a raw bus value"
            + ("" if barred(number.name) else f" for {plant.show(number.name, number.meant)}"),
            proof_of(number),
            remedy_for(number.name, number.meant, "read the value at the boiler and record that"),
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
    """A read-back value differs from the typed one only by the control's rounding in the other unit.

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
            f"{title_of(name)} typed {plant.show(kind, typed)}, reads back {round(shown, 1):g}"
            f" {unit_name(kind, plant.system)}: rounding, no drift",
            {"typed": Quantity(typed, kind), "read back": Quantity(back, kind)},
            f"record it in the unit of the control: {show(to_si(kept, kind, other), kind, other)}",
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
    """The control file does not say what a firing rate is per cent of.

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
            f"{title_of(name)} {plant.show(Kind.PERCENT, typed)}: of input, fan speed or span, the file does not say",
            {"typed": Quantity(typed, Kind.PERCENT)},
            "write into the control file what it is per cent of, by the maker's papers",
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
