# ruff: noqa: E501
"""Whether readings prove what was changed, at its boundaries. All margins are common practice, no source.

Dates count from the check on 2026-11-25 and from the visit and the readings on 2026-10-06.
"""

from __future__ import annotations

from typing import Any, Final

from settingslint.rules.base import Certainty
from settingslint.rules.plant import Context
from settingslint.vocabulary.settings import FIRING
from tests.rules.earlier import earlier, past
from tests.rules.kit import AS_OF, METRIC, finding
from tests.rules.tables import Cases, boundaries, edge

PROOF: Final = "firing-change-without-combustion-proof"
NO_FIRING: Final = [f"settings.{name}" for name in FIRING]
MAKERS: Final = {"settings.maximum_fan_speed": 6100}
OLD: Final = {"combustion.high.on": "2026-10-05", "combustion.low.on": "2026-10-05"}
WAS: Final = {"heating_maximum_rate": 90}


def typed(day: str, value: float = 6000) -> dict[str, Any]:
    return {"settings.maximum_fan_speed": {"value": value, "on": day}}


CASES: Final[Cases] = [
    (PROOF, "clear", typed("2026-10-06"), {}),
    (PROOF, "found", typed("2026-10-07"), {}),
    (PROOF, "found", {**typed("2026-10-06"), "combustion.low.on": "2026-10-05"}, {}),
    (PROOF, "found", {**typed("2026-10-06"), "combustion.high.on": "2026-10-05"}, {}),
    (PROOF, "found", typed("2026-10-06"), {"drop": ["combustion.low"]}),
    (PROOF, "found", typed("2026-10-06"), {"drop": ["combustion.high"]}),
    (PROOF, "found", typed("2026-10-07"), METRIC),
    # dated though it equals the default: somebody typed it
    (PROOF, "found", typed("2026-10-07", 6100), {}),
    # the newest change counts
    (PROOF, "found", {**typed("2026-10-07"), "settings.minimum_fan_speed": {"value": 1300, "on": "2026-10-01"}}, {}),
    (PROOF, "found", {**typed("2026-10-01"), "settings.minimum_fan_speed": {"value": 1300, "on": "2026-10-07"}}, {}),
    (PROOF, "not checked", {}, {"drop": NO_FIRING}),
    (PROOF, "does not apply", MAKERS, {"drop": NO_FIRING}),
    # a default that nobody changed is no change, whatever the readings
    (PROOF, "does not apply", {"settings.maximum_fan_speed": {"left": "default"}}, {"drop": [*NO_FIRING, "combustion"]}),
    (PROOF, "does not apply", {"settings.maximum_fan_speed": {"left": "not reachable"}}, {"drop": [*NO_FIRING, "combustion"]}),
    # no date and no history: a reading of the visit's day proves it, an older one leaves it open, none at all does not
    (PROOF, "clear", {}, {}),
    (PROOF, "not checked", OLD, {}),
    (PROOF, "not checked", {"combustion.low.on": "2026-10-05"}, {}),
    (PROOF, "not checked", {"combustion.high.on": "2026-10-05"}, {}),
    (PROOF, "not checked", {}, {"drop": ["visit.on"]}),
    (PROOF, "found", {}, {"drop": ["combustion"]}),
    # a date from before the boiler, or of a day after which by the history it was another, proves nothing
    (PROOF, "not checked", {**typed("1969-01-01"), **OLD}, {}),
    (PROOF, "not checked", {**typed("2023-01-01"), **OLD}, {}),
    (PROOF, "found", {**typed("2025-01-01"), **OLD}, past(earlier("2026-03-01", {"maximum_fan_speed": 6100}))),
    (PROOF, "clear", {**typed("2026-03-02"), **OLD}, past(earlier("2026-03-01", {**WAS, "maximum_fan_speed": 6100}))),
    # without a default nothing says that it was changed at all
    (PROOF, "not checked", {"settings.fuel_setting": "natural gas"}, {"drop": [*NO_FIRING, "combustion"]}),
    (PROOF, "not checked", {"settings.fuel_setting": "natural gas", **OLD}, {"drop": NO_FIRING}),
    (PROOF, "clear", {"settings.fuel_setting": "natural gas"}, {"drop": NO_FIRING}),
    # by the history: changed at the visit, at an earlier one, or never
    (PROOF, "found", OLD, past(earlier("2026-03-01", {"heating_maximum_rate": 95}))),
    (PROOF, "clear", {}, past(earlier("2026-03-01", {"heating_maximum_rate": 95}))),
    (PROOF, "clear", OLD, past(earlier("2026-03-01", {"heating_maximum_rate": 95}), earlier("2026-10-05", WAS))),
    (PROOF, "found", OLD, past(earlier("2026-03-01", {"heating_maximum_rate": 95}), earlier("2026-10-06", WAS))),
    (PROOF, "clear", OLD, past(earlier("2026-03-01", WAS), earlier("2026-10-06", WAS))),
    (PROOF, "not checked", OLD, past(earlier("2026-10-06", WAS))),
    (PROOF, "clear", OLD, past(earlier("2026-03-01"), earlier("2026-10-05", WAS))),
    (PROOF, "not checked", OLD, past(earlier("2026-03-01"), earlier("2026-10-06", WAS))),
    (PROOF, "not checked", OLD, past(earlier("2026-03-01"))),
    # put back to the default is a change as well
    (PROOF, "found", {**OLD, "settings.heating_maximum_rate": {"left": "default"}}, past(earlier("2026-03-01", WAS))),
    # another gas or another vent material
    (PROOF, "found", {**OLD, **MAKERS}, {"drop": NO_FIRING, **past(earlier("2026-03-01", facts={"gas.fuel": "propane"}))}),
    (PROOF, "found", {**OLD, **MAKERS}, {"drop": NO_FIRING, **past(earlier("2026-03-01", facts={"vent.material": "pvc"}))}),
    (PROOF, "does not apply", {**OLD, **MAKERS}, {"drop": NO_FIRING, **past(earlier("2026-03-01", facts={"gas.fuel": "natural gas"}))}),
    (PROOF, "clear", MAKERS, {"drop": NO_FIRING, **past(earlier("2026-03-01", facts={"gas.fuel": "propane"}))}),
    *edge("combustion-reading-missing-or-old", {}, "combustion.low.on", "2025-10-21", "2025-10-20"),
    ("combustion-reading-missing-or-old", "found", {"combustion.high.on": "2025-10-20"}, {}),
    ("combustion-reading-missing-or-old", "clear", {"combustion.low.on": "2026-11-25"}, {}),
    ("combustion-reading-missing-or-old", "not checked", {"combustion.low.on": "2026-11-26"}, {}),
    ("combustion-reading-missing-or-old", "found", {}, {"drop": ["combustion.low"]}),
    ("combustion-reading-missing-or-old", "found", {}, {"drop": ["combustion.high"]}),
    *edge("combustion-reading-missing-or-old", {}, "plant.first_fired", "2026-10-06", "2026-10-07"),
    ("combustion-reading-missing-or-old", "clear", {"plant.first_fired": True}, {}),
    ("combustion-reading-missing-or-old", "found", {"plant.first_fired": True}, {"drop": ["combustion.low"]}),
    ("combustion-reading-missing-or-old", "does not apply", {"plant.first_fired": False}, {"drop": ["combustion", "counters"]}),
    ("combustion-reading-missing-or-old", "not checked", {"plant.first_fired": False}, {"drop": ["combustion"]}),
    ("combustion-reading-missing-or-old", "not checked", {}, {"drop": ["plant.first_fired", "combustion"]}),
    ("combustion-reading-missing-or-old", "clear", {}, {"context": Context(AS_OF, {"combustion_reading_days": 50.0})}),
    ("combustion-reading-missing-or-old", "found", {}, {"context": Context(AS_OF, {"combustion_reading_days": 49.0})}),
]  # fmt: skip
test_boundaries = boundaries(CASES)


def test_which_change_is_named_and_what_it_lacks() -> None:
    one = finding(PROOF, {**typed("2026-10-08"), "settings.minimum_fan_speed": {"value": 1300, "on": "2026-10-07"}})
    assert one.at == "maximum_fan_speed"
    assert one.certainty is Certainty.PROVEN
    assert one.message == "maximum fan speed changed on 2026-10-08, combustion last read on 2026-10-06"
    older = finding(PROOF, {**typed("2026-10-08"), "combustion.low.on": "2026-10-01"})
    assert older.message.endswith("combustion last read on 2026-10-01")
    low = finding(PROOF, typed("2026-10-06"), drop=["combustion.low"])
    assert low.message.endswith(", no combustion reading at low fire")
    undated = finding(PROOF, drop=["combustion"])
    assert undated.at == "heating_maximum_rate"
    assert undated.message.endswith("is not at default: was combustion read since?")
    gas = finding(
        PROOF, {**OLD, **MAKERS}, drop=NO_FIRING, **past(earlier("2026-03-01", facts={"gas.fuel": "propane"}))
    )
    assert gas.at == "gas.fuel"
    assert "on 2026-10-06" in gas.message


def test_each_fault_of_a_reading_is_said_in_its_words() -> None:
    name = "combustion-reading-missing-or-old"
    assert finding(name, drop=["combustion.high"]).message == "combustion readings: none at high fire"
    both = finding(name, {"plant.first_fired": "2026-11-01"})
    assert both.message.count("before the first firing") == 2
    assert both.at == "combustion.high.on"
    old = finding(name, {"combustion.low.on": "2025-10-06"})
    assert old.at == "combustion.low.on"
    assert old.message.endswith("low fire 415 days old")
