"""Rules of the hygiene group about the circulation loop: too cool on its way back, standing still."""

from __future__ import annotations

from typing import Final

from settingslint.model.effect import TOLERANCE
from settingslint.physics import hygiene
from settingslint.rules.base import DANGER, LIKELY, Drafts, Missing, Quantity, Threshold, celsius_of, found, kelvin_of
from settingslint.rules.hygiene.tap import BOTH
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.units import Kelvin, Kind, celsius, kelvin
from settingslint.vocabulary.sources import COMMON_PRACTICE, HSE_HSG274

RETURN: Final = Threshold(
    "loop_return_minimum", hygiene.RETURN, Kind.POINT, HSE_HSG274, "least return of a loop",
    celsius(120), celsius(150), "CDC toolkit for potable water systems: circulated at 120 F and more", looser="down",
)  # fmt: skip
LOOP_DROP: Final = Threshold(
    "loop_drop_maximum", kelvin(9), Kind.DIFFERENCE, COMMON_PRACTICE, "largest drop from tank to loop return",
    kelvin(2), Kelvin(10.0), "HSE HSG274 part 2: stored at 60 C and back at 50 C is a drop of 10 K", looser="up",
)  # fmt: skip
STANDSTILL: Final = Threshold(
    "loop_standstill_maximum", 8 * 3600.0, Kind.HOURS, COMMON_PRACTICE, "longest standstill of the loop a day",
    3600.0, 8 * 3600.0, "DVGW W 551 (from memory): a circulation rests 8 h a day at most", looser="up",
)  # fmt: skip


@rule(
    "loop-return-too-cool",
    severity=DANGER,
    certainty=LIKELY,
    needs=("hot_water.return_measured", "hot_water.circulation_loop"),
    only_if={"hot_water.circulation_loop": (True,)},
    cautions=BOTH,
    source=HSE_HSG274,
    assumes="the reading stands for the whole loop",
    thresholds=(RETURN,),
    trips="hot_water.circulation_loop = true, hot_water.return_measured = 121",
    passes="hot_water.return_measured = 122",
)
def loop_return_too_cool(plant: Plant) -> Drafts:
    """The circulation loop comes back too cool.

    Compared: the measured return, with 50 C or the owner's own value.
    """
    measured, least = plant.point("hot_water.return_measured"), plant.threshold(RETURN)
    if measured < least - TOLERANCE:
        yield found(
            "hot_water.return_measured",
            f"the loop returns at {plant.show(Kind.POINT, measured)}; least {plant.show(Kind.POINT, least)}",
            {"return": celsius_of(measured), "least": celsius_of(least)},
            "balance the loop, look at pump and insulation; the holder of the water-safety plan first",
        )


@rule(
    "loop-drops-too-far",
    severity=DANGER,
    certainty=LIKELY,
    needs=("hot_water.return_measured", "tank_setpoint"),
    only_if={"hot_water.kind": ("tank",), "hot_water.circulation_loop": (True,)},
    cautions=BOTH,
    source=COMMON_PRACTICE,
    assumes="the store stood at its set point when the return was read",
    thresholds=(LOOP_DROP,),
    trips="hot_water.circulation_loop = true, hot_water.return_measured = 135",
    passes="hot_water.return_measured = 136",
)
def loop_drops_too_far(plant: Plant) -> Drafts:
    """Between the store and the loop's return too much is lost: somewhere the loop hardly moves.

    Drop = tank set point - measured return; about 5 K is usual. A return that was read before the set point was changed
    tells nothing.
    """
    drop = plant.point("tank_setpoint") - plant.point("hot_water.return_measured")
    entry = plant.entries.get("tank_setpoint")
    read, changed = plant.facts["hot_water.return_measured"].on, entry.on if entry else None
    if read is not None and changed is not None and read < changed:
        raise Missing("hot_water.return_measured", "the return was read before the tank set point was changed")
    if drop > plant.threshold(LOOP_DROP) + TOLERANCE:
        yield found(
            "hot_water.return_measured",
            f"the loop loses {plant.show(Kind.DIFFERENCE, drop)} between store and return",
            {"drop": kelvin_of(drop)},
            "balance the loop and look for a branch that stands still",
        )


@rule(
    "circulation-stopped-for-hours",
    severity=DANGER,
    certainty=LIKELY,
    needs=("recirculation", "hot_water.circulation_loop"),
    only_if={"hot_water.circulation_loop": (True,)},
    cautions=BOTH,
    source=COMMON_PRACTICE,
    assumes="the loop is long enough to cool into the growth range while it stands",
    thresholds=(STANDSTILL,),
    trips=(
        "hot_water.circulation_loop = true, hot_water.return_measured = 138, "
        'settings.recirculation = "scheduled", settings.recirculation_off_hours = 9'
    ),
    passes="settings.recirculation_off_hours = 8",
)
def circulation_stopped_for_hours(plant: Plant) -> Drafts:
    """The circulation loop is off, or stands still for many hours each day.

    German practice for large systems: no more than 8 hours a day (from memory; check the local rule).
    """
    mode = plant.word("recirculation")
    if mode == "off":
        yield found(
            "recirculation",
            "there is a circulation loop, and it is switched off",
            {},
            "the holder of the water-safety plan decides; a loop that stands is dead water",
        )
    elif mode == "scheduled":
        hours = plant.number("recirculation_off_hours")
        if hours > plant.threshold(STANDSTILL) + TOLERANCE:
            yield found(
                "recirculation_off_hours",
                f"the loop stands still {plant.show('recirculation_off_hours')} a day",
                {"standstill": Quantity(hours, Kind.HOURS)},
                "the holder of the water-safety plan decides how long it may stand",
            )


RULES: Final[tuple[Rule, ...]] = (
    loop_return_too_cool,
    loop_drops_too_far,
    circulation_stopped_for_hours,
)
