"""Rules: boilers in a group and boilers led by a building automation, one boiler at a time."""

from __future__ import annotations

from typing import Final

from settingslint.model.effect import TOLERANCE
from settingslint.rules.base import (
    ASK,
    DAMAGE,
    LIKELY,
    OUTAGE,
    WASTE,
    DoesNotApply,
    Drafts,
    Missing,
    Quantity,
    Threshold,
    celsius_of,
    found,
    minutes_of,
)
from settingslint.rules.derived.line import reset_is_on
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.units import Kind, kelvin
from settingslint.vocabulary.settings import OFF
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE, CONTROL_FILE

CAUTION: Final = ("cascade",)
LEADER: Final = {"cascade_role": ("leader",)}
BY_TEMPERATURE: Final = {"external_signal": ("temperature",)}

SIGNAL_OFF: Final = Threshold(
    "signal_ends_apart", kelvin(2), Kind.DIFFERENCE, COMMON_PRACTICE,
    "how far the two ends of a signal may disagree about the supply",
    kelvin(0.5), kelvin(9), "common practice, no source: 9 F is another target", looser="up",
)  # fmt: skip


@rule(
    "cascade-without-system-sensor",
    severity=OUTAGE,
    needs=("accessories.system_sensor",),
    only_if=LEADER,
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    trips='settings.cascade_role = "leader", accessories.system_sensor = false',
    passes="accessories.system_sensor = true",
)
def cascade_without_system_sensor(plant: Plant) -> Drafts:
    """The leader has no sensor in the common supply: it stages by its own water and overshoots the others."""
    if not plant.flag("accessories.system_sensor"):
        yield found(
            "cascade_role",
            "leader of a group, and no sensor in the common supply",
            {},
            "fit and connect the sensor where the maker's piping drawing shows it",
        )


@rule(
    "staging-by-few-at-high-fire",
    severity=WASTE,
    certainty=LIKELY,
    needs=("stage_order", "boiler.condensing"),
    only_if=LEADER,
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    assumes="the return is cool enough to condense at low fire",
    trips='settings.cascade_role = "leader", settings.stage_order = "fewest"',
    passes='settings.stage_order = "most"',
)
def staging_by_few_at_high_fire(plant: Plant) -> Drafts:
    """Condensing boilers are staged few at high fire, where many at low fire would mostly cool the flue gas further.

    Until the load falls below the low fire of all together, many at low fire is the better order for most of them.
    """
    if plant.word("stage_order") == "fewest" and plant.flag("boiler.condensing"):
        yield found(
            "stage_order",
            "few boilers at high fire, though they are made to condense",
            {},
            "many at low fire, or write down why not",
        )


@rule(
    "stage-delay-shorter-than-loop",
    severity=WASTE,
    certainty=LIKELY,
    needs=("stage_on_delay", "water.system_volume", "piping.system_flow"),
    only_if=LEADER,
    cautions=CAUTION,
    source=ARITHMETIC,
    assumes="all of the recorded water goes round",
    trips='settings.cascade_role = "leader", settings.stage_on_delay = 10',
    passes="settings.stage_on_delay = 11",
)
def stage_delay_shorter_than_loop(plant: Plant) -> Drafts:
    """The next boiler starts before the water has been round once: the first one's heat has not been felt yet.

    Time round the loop = volume / flow. All on, then all off.
    """
    delay, flow = plant.number("stage_on_delay"), plant.number("piping.system_flow")
    if flow <= 0:
        raise Missing("piping.system_flow", "no flow in the loop is recorded")
    around = plant.number("water.system_volume") / flow
    if delay < around - TOLERANCE:
        yield found(
            "stage_on_delay",
            f"the next boiler comes after {plant.show('stage_on_delay')}; the water needs"
            f" {plant.show(Kind.MINUTES, around)} to go round",
            {"delay": minutes_of(delay), "once round": minutes_of(around)},
            "wait at least as long as the water takes",
        )


@rule(
    "rotation-off",
    severity=WASTE,
    needs=("rotation_interval",),
    only_if=LEADER,
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    trips='settings.cascade_role = "leader", settings.rotation_interval = "off"',
    passes="settings.rotation_interval = 96",
)
def rotation_off(plant: Plant) -> Drafts:
    """The first boiler never changes: one wears out, the others stand and may seize."""
    if plant.value("rotation_interval") == OFF:
        yield found("rotation_interval", "the boilers of the group never change places", {}, "let them change places")


def _stops(plant: Plant, name: str, what: str) -> Drafts:
    """Yield a question where the boiler stops without what leads it."""
    if plant.word(name) == "stop":
        yield found(
            name,
            f"it stops when the {what} is lost: who notices, and how soon?",
            {},
            "a local set point where the house can bear it, or an alarm that somebody answers",
        )


@rule(
    "no-heat-when-leader-is-lost",
    severity=DAMAGE,
    certainty=ASK,
    needs=("leader_loss",),
    only_if={"cascade_role": ("follower",)},
    cautions=("freeze", "cascade"),
    source=COMMON_PRACTICE,
    trips='settings.cascade_role = "follower", settings.leader_loss = "stop"',
    passes='settings.leader_loss = "local set point"',
)
def no_heat_when_leader_is_lost(plant: Plant) -> Drafts:
    """A follower stops when its leader or the wire to it fails: the house has no heat though a boiler could fire."""
    yield from _stops(plant, "leader_loss", "leader")


@rule(
    "no-heat-when-signal-is-lost",
    severity=DAMAGE,
    certainty=ASK,
    needs=("external_loss",),
    only_if={"external_signal": ("temperature", "firing rate")},
    cautions=("freeze", "cascade"),
    source=COMMON_PRACTICE,
    trips='settings.external_signal = "temperature", settings.external_loss = "stop"',
    passes='settings.external_loss = "local set point"',
)
def no_heat_when_signal_is_lost(plant: Plant) -> Drafts:
    """The boiler stops when the signal of the building automation fails."""
    yield from _stops(plant, "external_loss", "signal")


@rule(
    "signal-scaled-differently-at-its-ends",
    severity=OUTAGE,
    needs=("external_low", "external_high", "accessories.signal_low", "accessories.signal_high"),
    only_if=BY_TEMPERATURE,
    cautions=CAUTION,
    source=ARITHMETIC,
    thresholds=(SIGNAL_OFF,),
    trips=(
        'settings.external_signal = "temperature", settings.external_low = 80, settings.external_high = 177, '
        "accessories.signal_low = 80, accessories.signal_high = 180"
    ),
    passes="settings.external_high = 178",
)
def signal_scaled_differently_at_its_ends(plant: Plant) -> Drafts:
    """The building automation asks for one supply and the boiler makes another.

    What the ends of the signal mean there, against what they mean here; between them both are straight lines.
    """
    for end in ("low", "high"):
        here, there = plant.point(f"external_{end}"), plant.point(f"accessories.signal_{end}")
        if abs(here - there) > plant.threshold(SIGNAL_OFF) + TOLERANCE:
            yield found(
                f"external_{end}",
                f"at the {end} end of the signal the automation means {plant.show(Kind.POINT, there)}, the boiler"
                f" makes {plant.show(f'external_{end}')}",
                {"asked for": celsius_of(there), "made": celsius_of(here)},
                "give both ends the same scale, and try three points of it",
            )


@rule(
    "two-resets-in-series",
    severity=WASTE,
    certainty=ASK,
    only_if=BY_TEMPERATURE,
    cautions=("cascade", "heating"),
    source=(CONTROL_FILE, COMMON_PRACTICE),
    trips=(
        'control.control.second_reset = "lower of both", settings.external_signal = "temperature", '
        "settings.reset = true"
    ),
    passes="settings.reset = false",
)
def two_resets_in_series(plant: Plant) -> Drafts:
    """The building automation sends a supply temperature, and the boiler's own reset is on as well.

    The control file says what comes out: the lower of both, or both added.
    """
    if plant.reset_style == "none":
        raise DoesNotApply("this control has no line of its own")
    if not reset_is_on(plant):
        return
    does = plant.known("control.second_reset")
    if does is None:
        raise Missing(
            "external_signal", f"the control file {plant.word('control.name')} does not say what two resets make"
        )
    what = "the lower of both is run" if does == "lower of both" else "both are added"
    yield found(
        "external_signal",
        f"a supply comes from outside and the boiler's own reset is on: {what}. Is that meant?",
        {"lines": Quantity(2.0, Kind.COUNT)},
        "one of the two resets, not both",
    )


RULES: Final[tuple[Rule, ...]] = (
    cascade_without_system_sensor,
    staging_by_few_at_high_fire,
    stage_delay_shorter_than_loop,
    rotation_off,
    no_heat_when_leader_is_lost,
    no_heat_when_signal_is_lost,
    signal_scaled_differently_at_its_ends,
    two_resets_in_series,
)
