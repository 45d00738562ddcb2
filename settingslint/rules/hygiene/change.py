"""Rules of the hygiene group about how the store came to be where it is; they need the history."""

from __future__ import annotations

import re
from typing import Final

from settingslint.rules.base import DANGER, LIKELY, Drafts, celsius_of, found
from settingslint.rules.hygiene.tap import BOTH, TANK
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.units import Kelvin, Kind
from settingslint.vocabulary.sources import COMMON_PRACTICE

MOVED: Final = Kelvin(0.25)
"""A store moved by less was only written in another unit: half of a step of 1 F."""
_TAP: Final = r"\b(?:tap|basin|bath|shower|sink|water)"
COMPLAINT: Final = re.compile(rf"scald|\bburn(?:s|t|ed)?\b|{_TAP}.*too hot|too hot.*{_TAP}")
"""Words of a complaint about hot taps; a burner and a hot room are something else."""
SAMPLE: Final = re.compile(r"legionella|positive (?:\w+ ){0,2}sample|samples?:? (?:\w+ ){0,2}positive")
"""Words of a sample in which something grew."""


def _valve_older(plant: Plant) -> bool:
    tested = plant.known("hot_water.mixing_valve_tested")
    return tested is None or plant.day("hot_water.mixing_valve_tested") < plant.day("visit.on")


def _moved(plant: Plant, up: bool, words: re.Pattern[str], says: str) -> Drafts:
    before = plant.before().typed.get("tank_setpoint")
    now = plant.point("tank_setpoint")
    why = plant.word("visit.why").casefold()
    if not isinstance(before, float) or not words.search(why):
        return
    if (now - before if up else before - now) < MOVED or not _valve_older(plant):
        return
    yield found(
        "tank_setpoint",
        f"the store went from {plant.show(Kind.POINT, before)} to {plant.show(Kind.POINT, now)} {says}, and the"
        " tempering valve was not tested since",
        {"before": celsius_of(before), "now": celsius_of(now)},
        "test the tempering valve at the taps; then decide about the store with the holder of the plan",
    )


@rule(
    "store-lowered-after-scald-complaint",
    severity=DANGER,
    certainty=LIKELY,
    needs=("tank_setpoint", "visit.why", "visit.on"),
    only_if=TANK,
    cautions=BOTH,
    source=COMMON_PRACTICE,
    assumes="the reason of the visit is the reason of the change",
    trips='visit.why = "tenant reports scald at basin"',
    passes='visit.why = "autumn service"',
    history=("in which the store was hotter", ""),
)
def store_lowered_after_scald_complaint(plant: Plant) -> Drafts:
    """A scald complaint was answered by lowering the store, not by testing the tempering valve."""
    return _moved(plant, False, COMPLAINT, "after a complaint about scalding")


@rule(
    "store-raised-without-valve-test",
    severity=DANGER,
    certainty=LIKELY,
    needs=("tank_setpoint", "visit.why", "visit.on"),
    only_if=TANK,
    cautions=BOTH,
    source=COMMON_PRACTICE,
    assumes="the reason of the visit is the reason of the change",
    trips='visit.why = "positive legionella sample"',
    passes='visit.why = "autumn service"',
    history=("in which the store was cooler", ""),
)
def store_raised_without_valve_test(plant: Plant) -> Drafts:
    """The store was raised after a positive sample, and the tempering valve was not tested since."""
    return _moved(plant, True, SAMPLE, "after a sample")


RULES: Final[tuple[Rule, ...]] = (store_lowered_after_scald_complaint, store_raised_without_valve_test)
