"""Rules of the firing group about the gas, the elevation, the vent and the size of this boiler on this site."""

from __future__ import annotations

from typing import Final

from settingslint.model.effect import SAID, TOLERANCE, same
from settingslint.rules.base import (
    ASK,
    DANGER,
    LIKELY,
    DoesNotApply,
    Drafts,
    Missing,
    Quantity,
    Threshold,
    found,
    watts_of,
)
from settingslint.rules.firing.record import CAUTION
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.units import Kind
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE, CONTROL_FILE, NFPA_54

RATING_ENDS: Final = Threshold(
    "elevation_counts_from", 2000 * 0.3048, Kind.LENGTH, NFPA_54, "elevation up to which the rated input holds",
    500 * 0.3048, 3000 * 0.3048, "NFPA 54: 4 % of input for each 1,000 ft; one step is within the 5 % of a plate",
)  # fmt: skip
ELEVATION_OFF: Final = Threshold(
    "elevation_setting_off", 1000 * 0.3048, Kind.LENGTH, COMMON_PRACTICE, "how far the elevation set may be off",
    200 * 0.3048, 2000 * 0.3048, "NFPA 54: 4 % of input for each 1,000 ft; twice that is another burner setting",
    looser="up",
)  # fmt: skip
VENT_OFF: Final = Threshold(
    "vent_length_off", 10 * 0.3048, Kind.LENGTH, COMMON_PRACTICE,
    "how far the vent length set may be off",
    2 * 0.3048, 25 * 0.3048, "common practice, no source: tables of vent lengths go in steps of 10 to 25 ft",
    looser="up",
)  # fmt: skip
INPUT_OFF: Final = Threshold(
    "plate_input_off", 0.05, Kind.RATIO, COMMON_PRACTICE, "share by which the input on the plate may differ",
    0.01, 0.1, "common practice, no source: a tenth of the input is another size", looser="up",
)  # fmt: skip


@rule(
    "fuel-setting-unlike-gas",
    severity=DANGER,
    needs=("fuel_setting", "gas.fuel"),
    cautions=CAUTION,
    source=ARITHMETIC,
    trips='gas.fuel = "propane"',
    passes='gas.fuel = "natural gas"',
)
def fuel_setting_unlike_gas(plant: Plant) -> Drafts:
    """The control is set to another gas than the one on site.

    A setting is no conversion: that takes parts, label and test.
    """
    if plant.word("fuel_setting") != plant.word("gas.fuel"):
        yield found(
            "fuel_setting",
            f"control set to {plant.show('fuel_setting')}, the gas on site is {plant.show('gas.fuel')}",
            {},
            "stop the boiler; have a licensed gas technician convert it, or set the gas on site",
        )


@rule(
    "elevation-not-set-or-counted-twice",
    severity=DANGER,
    needs=("elevation_setting", "site.elevation"),
    cautions=CAUTION,
    source=NFPA_54,
    thresholds=(RATING_ENDS, ELEVATION_OFF),
    trips="site.elevation = 2001, settings.elevation_setting = 0",
    passes="site.elevation = 2000",
)
def elevation_not_set_or_counted_twice(plant: Plant) -> Drafts:
    """The control is set to another elevation than the site's, or elevation is counted twice.

    Twice, where the control adapts by itself and was set as well. The rated input holds up to 2,000 ft; where the site
    or the setting is higher, the two may be 1,000 ft apart. Two readings of the rule on input against elevation are in
    use, and the listing governs.
    """
    height, told = plant.number("site.elevation"), plant.number("elevation_setting")
    edge = plant.threshold(RATING_ENDS) + TOLERANCE
    itself = plant.known("control.compensates_elevation")
    high, told_high = height > edge, told > edge
    apart = abs(told - height) > plant.threshold(ELEVATION_OFF) + TOLERANCE
    if itself is None and (high or told_high):
        raise Missing("elevation_setting", "the control file does not say whether it adapts to elevation by itself")
    if itself is True and told_high:
        yield found(
            "elevation_setting",
            f"control adapts to elevation by itself, and {plant.show('elevation_setting')} is set as well",
            {},
            "use one method, by the listing (licensed gas technician); prove high and low fire",
        )
    elif itself is False and apart and (high or told_high):
        yield found(
            "elevation_setting",
            f"site is at {plant.show('site.elevation')}, the control is set to {plant.show('elevation_setting')}",
            {},
            "set it by the listing (licensed gas technician); prove combustion at high and low fire",
        )


@rule(
    "high-site-without-derate",
    severity=DANGER,
    certainty=ASK,
    needs=("site.elevation",),
    cautions=CAUTION,
    source=NFPA_54,
    thresholds=(RATING_ENDS,),
    trips='site.elevation = 2001, settings.elevation_setting = { left = "not applicable" }',
    passes="site.elevation = 2000",
)
def high_site_without_derate(plant: Plant) -> Drafts:
    """The site is high, and the control can't allow for it: was the input checked?

    Above 2,000 ft, with a control that has no elevation setting and by its file does not adapt by itself.
    """
    itself = plant.known("control.compensates_elevation")
    if itself is True:
        raise DoesNotApply("the control adapts by itself")
    if plant.number("site.elevation") <= plant.threshold(RATING_ENDS) + TOLERANCE:
        return
    try:
        plant.value("elevation_setting")
    except DoesNotApply:
        pass
    except Missing as lack:
        if lack.kind != SAID:
            raise
    else:
        raise DoesNotApply("the control has an elevation setting")
    if itself is None:
        raise Missing("elevation_setting", "the control file does not say whether it adapts to elevation by itself")
    yield found(
        "site.elevation",
        f"site is at {plant.show('site.elevation')}, control can't allow for it: was the input checked?",
        {},
        "check it by the listing (licensed gas technician); prove combustion at high and low fire",
    )


@rule(
    "derated-though-control-adapts",
    severity=DANGER,
    certainty=ASK,
    needs=("site.elevation", "maximum_fan_speed"),
    cautions=CAUTION,
    source=NFPA_54,
    thresholds=(RATING_ENDS,),
    trips=("control.control.compensates_elevation = true, site.elevation = 2001, settings.maximum_fan_speed = 6099"),
    passes="settings.maximum_fan_speed = 6100",
)
def derated_though_control_adapts(plant: Plant) -> Drafts:
    """The control adapts to elevation by itself, and high fire was lowered as well: was elevation counted twice?

    Above 2,000 ft, where the maximum fan speed runs below the control's default for this size.
    """
    if plant.known("control.compensates_elevation") is not True:
        raise DoesNotApply("the control does not adapt by itself")
    if plant.number("site.elevation") <= plant.threshold(RATING_ENDS) + TOLERANCE:
        return
    default = plant.default("maximum_fan_speed")
    if isinstance(default, float) and plant.number("maximum_fan_speed") < default - TOLERANCE:
        yield found(
            "maximum_fan_speed",
            f"high fire lowered to {plant.show('maximum_fan_speed')}, yet the control adapts to elevation: counted"
            " twice?",
            {},
            "use one method, by the listing (licensed gas technician); prove high and low fire",
        )


@rule(
    "vent-length-setting-off",
    severity=DANGER,
    certainty=LIKELY,
    needs=("vent_length_setting", "vent.equivalent_length"),
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    assumes="the recorded equivalent length",
    thresholds=(VENT_OFF,),
    trips="settings.vent_length_setting = 51",
    passes="settings.vent_length_setting = 50",
)
def vent_length_setting_off(plant: Plant) -> Drafts:
    """The control is set to another vent length than the vent has.

    More than 10 ft apart.
    """
    told, is_ = plant.number("vent_length_setting"), plant.number("vent.equivalent_length")
    if abs(told - is_) > plant.threshold(VENT_OFF) + TOLERANCE:
        yield found(
            "vent_length_setting",
            f"vent length set to {plant.show('vent_length_setting')}, the vent is"
            f" {plant.show('vent.equivalent_length')} long",
            {},
            "set the vent that is there by the maker's papers (licensed gas technician)",
        )


@rule(
    "size-code-unlike-plate",
    severity=DANGER,
    needs=("boiler.size_on_plate",),
    cautions=(*CAUTION, "board"),
    source=ARITHMETIC,
    trips='settings.size_setting = "large"',
    passes='settings.size_setting = "middle"',
)
def size_code_unlike_plate(plant: Plant) -> Drafts:
    """The control, or this record, is set to another size than the rating plate says.

    After a control board was replaced the fan can turn too fast or too slowly for this burner. With a wrong size in the
    record every default and every fan speed is judged wrongly.
    """
    plate = plant.word("boiler.size_on_plate")
    recorded = plant.known("plant.size")
    if not isinstance(recorded, str):
        yield Missing("plant.size")
    elif _plain(recorded) != _plain(plate):
        yield found(
            "plant.size",
            f"record says size {recorded}, the rating plate says {plate}",
            {},
            "read the plate again before anything is set by this record",
        )
    if _plain(plant.word("size_setting")) != _plain(plate):
        yield found(
            "size_setting",
            f"control is set to size {plant.show('size_setting')}, the rating plate says {plate}",
            {},
            "stop the boiler; have a licensed gas technician identify it and set the right size",
        )


def _plain(text: str) -> str:
    return text.strip().casefold()


@rule(
    "plate-input-unlike-size",
    severity=DANGER,
    certainty=LIKELY,
    needs=("boiler.input_maximum",),
    cautions=(*CAUTION, "board"),
    source=CONTROL_FILE,
    assumes="the control file's inputs for this size",
    thresholds=(INPUT_OFF,),
    trips="boiler.input_maximum = 124000",
    passes="boiler.input_maximum = 123900",
)
def plate_input_unlike_size(plant: Plant) -> Drafts:
    """The input on the plate is not that of the size recorded for the control.

    Compared: the recorded rated input, with what the control file states for the size, within 5 %.
    """
    stated = plant.known("size.input_maximum")
    if not isinstance(stated, float) or not stated:
        raise Missing("plant.size", "the control file states no input for this size")
    rated = plant.number("boiler.input_maximum")
    off = rated / stated - 1
    if abs(off) > plant.threshold(INPUT_OFF) + TOLERANCE:
        yield found(
            "boiler.input_maximum",
            f"rated input {plant.show(Kind.POWER, rated)} is {off * 100:+,.0f} % against size"
            f" {plant.word('plant.size')} in the control file",
            {"rated": watts_of(rated), "off": Quantity(off, Kind.RATIO)},
            "read the plate again and identify the size; do not fire with a wrong size",
        )


@rule(
    "low-fire-changed-on-common-vent",
    severity=DANGER,
    certainty=ASK,
    needs=("vent.common", "minimum_fan_speed"),
    only_if={"vent.common": (True,)},
    cautions=(*CAUTION, "cascade"),
    source=COMMON_PRACTICE,
    trips="vent.common = true, vent.common_damper = true, settings.minimum_fan_speed = 1301",
    passes="settings.minimum_fan_speed = 1300",
)
def low_fire_changed_on_common_vent(plant: Plant) -> Drafts:
    """Low fire was changed on a vent that several boilers share."""
    if not same(plant.default("minimum_fan_speed"), plant.value("minimum_fan_speed")):
        yield found(
            "minimum_fan_speed",
            f"low fire at {plant.show('minimum_fan_speed')} is not the maker's: did the vent's designer agree?",
            {},
            "ask the vent's designer, or have a licensed gas technician restore the maker's value",
        )


@rule(
    "common-vent-without-damper-proof",
    severity=DANGER,
    certainty=ASK,
    needs=("vent.common", "vent.common_damper"),
    only_if={"vent.common": (True,)},
    cautions=(*CAUTION, "cascade"),
    source=COMMON_PRACTICE,
    trips="vent.common = true, vent.common_damper = false",
    passes="vent.common_damper = true",
)
def common_vent_without_damper_proof(plant: Plant) -> Drafts:
    """Several boilers share a vent, and nothing proves that an idle one is closed off."""
    if not plant.flag("vent.common_damper"):
        yield found(
            "vent.common_damper",
            "boilers share a vent and an idle one is not proved closed: where does flue gas go?",
            {},
            "fit a carbon monoxide alarm; ask the vent's designer and a licensed gas technician",
        )


RULES: Final[tuple[Rule, ...]] = (
    fuel_setting_unlike_gas,
    elevation_not_set_or_counted_twice,
    high_site_without_derate,
    derated_though_control_adapts,
    vent_length_setting_off,
    size_code_unlike_plate,
    plate_input_unlike_size,
    low_fire_changed_on_common_vent,
    common_vent_without_damper_proof,
)
