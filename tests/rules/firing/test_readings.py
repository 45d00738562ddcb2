# ruff: noqa: E501
"""Combustion readings at their boundaries.

Stoichiometry: CO2max 11.7 % for natural gas (methane), 13.8 % for propane: 5.0 % O2 leave 8.90 % and 10.50 % CO2.
42 ppm CO and 8.9 % CO2 are a ratio of 0.00047191. All margins are common practice, no source. Dates count from the
check on 2026-11-25 and from the visit and the readings on 2026-10-06.
"""

from __future__ import annotations

from typing import Any, Final

import pytest

from settingslint.checking.audit import audit
from settingslint.rules import by_group
from tests.rules.earlier import earlier, past
from tests.rules.kit import METRIC, finding, make_plant
from tests.rules.tables import Cases, boundaries, edge, lacking

PROPANE: Final = {"gas.fuel": "propane", "combustion.low.co2": 10.1}
AIR: Final = {"vent.outdoor_air": True, "site.coldest": 34, "site.hottest": 95}
HIGH: Final = {
    "combustion.high.on": "2025-10-07",
    "combustion.high.o2": 5.0,
    "combustion.high.co2": 8.9,
    "combustion.high.co": 42,
}
LOW: Final = {
    "combustion.low.on": "2025-10-07",
    "combustion.low.o2": 5.6,
    "combustion.low.co2": 8.6,
    "combustion.low.co": 18,
}


def read(day: str) -> dict[str, Any]:
    return past(earlier(day, facts={"combustion.high.on": day}))


CASES: Final[Cases] = [
    *edge("combustion-readings-disagree", {}, "combustion.high.co2", 9.4, 9.41),
    *edge("combustion-readings-disagree", {}, "combustion.high.co2", 8.41, 8.4),
    # 5.6 % O2 leave 8.565 %
    *edge("combustion-readings-disagree", {}, "combustion.low.co2", 9.06, 9.07),
    *edge("combustion-readings-disagree", PROPANE, "combustion.high.co2", 10.99, 11.0),
    ("combustion-readings-disagree", "found", {"combustion.high.co2": 9.41}, METRIC),
    # within half of the fourth decimal, and within 5 %
    *edge("combustion-readings-disagree", {}, "combustion.high.ratio", 0.0005218, 0.000522),
    *edge("combustion-readings-disagree", {"combustion.high.co": 420}, "combustion.high.ratio", 0.00496, 0.00497),
    *edge("combustion-readings-disagree", {"combustion.high.co": 420}, "combustion.high.ratio", 0.0045, 0.00449),
    ("combustion-readings-disagree", "found", {"combustion.high.ratio": 0}, {}),
    ("combustion-readings-disagree", "found", {"combustion.low.ratio": 0.0005}, {}),
    ("combustion-readings-disagree", "clear", {"combustion.high.co2": 0, "combustion.high.o2": 20.9, "combustion.high.ratio": 0.1}, {}),
    # 20.0 % O2 leave 0.50 %
    *edge("combustion-readings-disagree", {"combustion.high.co2": 0.5, "combustion.high.o2": 20.0},
          "combustion.high.ratio", 0.0084, 0.1),
    ("combustion-readings-disagree", "clear", {"combustion.high.ratio": 0.1}, {"drop": ["combustion.high.co"]}),
    *lacking("combustion-readings-disagree", {}, "gas.fuel", "combustion.high.o2", "combustion.high.co2",
              "combustion.low.o2"),
    ("combustion-readings-disagree", "not checked", {"combustion.low.o2": 21}, {}),
    # one end that lacks something does not hide the other
    ("combustion-readings-disagree", "found", {"combustion.low.co2": 9.5}, {"drop": ["combustion.high.o2"]}),
    ("analyser-on-wrong-fuel", "found", {"combustion.high.fuel": "propane"}, {}),
    *edge("analyser-on-wrong-fuel", {}, "combustion.low.fuel", "natural gas", "propane"),
    ("analyser-on-wrong-fuel", "found", {"gas.fuel": "propane"}, {}),
    *lacking("analyser-on-wrong-fuel", {}, "gas.fuel", "combustion.high.fuel", "combustion.low"),
    ("analyser-on-wrong-fuel", "found", {"combustion.low.fuel": "propane"}, {"drop": ["combustion.high"]}),
    *edge("analyser-calibration-old", {}, "combustion.high.analyser_calibrated", "2025-10-05", "2025-10-04"),
    *edge("analyser-calibration-old", {}, "combustion.low.analyser_calibrated", "2025-10-05", "2025-10-04"),
    *lacking("analyser-calibration-old", {}, "combustion.high.analyser_calibrated", "combustion.low"),
    ("analyser-calibration-old", "found", {"combustion.low.analyser_calibrated": "2025-10-04"}, {"drop": ["combustion.high"]}),
    ("combustion-readings-copied", "found", {}, past(earlier("2025-10-07", facts=HIGH))),
    ("combustion-readings-copied", "found", {}, past(earlier("2025-10-07", facts=LOW))),
    ("combustion-readings-copied", "found", {}, past(earlier("2024-10-07", facts=HIGH), earlier("2025-10-07"))),
    ("combustion-readings-copied", "clear", {}, past(earlier("2025-10-07", facts={**HIGH, "combustion.high.co": 43}))),
    ("combustion-readings-copied", "clear", {}, past(earlier("2025-10-07", facts={**HIGH, "combustion.high.o2": 5.1}))),
    ("combustion-readings-copied", "clear", {}, past(earlier("2025-10-07", facts={**HIGH, "combustion.high.co2": 8.8}))),
    # the same reading, still there
    ("combustion-readings-copied", "clear", {}, past(earlier("2026-10-06", facts={**HIGH, "combustion.high.on": "2026-10-06"}))),
    ("combustion-readings-copied", "clear", {}, past()),
    ("combustion-readings-copied", "not checked", {}, {}),
    *lacking("combustion-readings-copied", {}, "combustion.high.co", "combustion.low", **past()),
    ("combustion-readings-copied", "found", {}, {"drop": ["combustion.high"], **past(earlier("2025-10-07", facts=LOW))}),
    # 118,000 Btu/h at 6,100 rpm
    *edge("clocked-input-off", {}, "gas.clocked_input", 112100, 112099),
    *edge("clocked-input-off", {}, "gas.clocked_input", 123900, 123901),
    # 15,000 + 103,000 x 4,700/4,800 = 115,854 Btu/h at 6,000 rpm
    *edge("clocked-input-off", {"settings.maximum_fan_speed": 6000}, "gas.clocked_input", 110062, 110061),
    # without the control's figures the plate's count
    *edge("clocked-input-off", {"boiler.input_maximum": 100000},
          "gas.clocked_input", 95000, 94999, drop_control=["size"]),
    ("clocked-input-off", "found", {"boiler.input_maximum": 5000}, {"drop_control": ["size"]}),
    ("clocked-input-off", "not checked", {"boiler.input_maximum": 0}, {"drop_control": ["size"]}),
    *edge("clocked-input-off", {}, "gas.clocked_input", 32.86, 32.85, **METRIC),
    *lacking("clocked-input-off", {}, "gas.clocked_input", "gas.heating_value_basis"),
    ("clocked-input-off", "not checked", {}, {"drop": ["boiler.input_maximum"], "drop_control": ["size"]}),
    ("one-season-combustion", "found", AIR, {}),
    ("one-season-combustion", "clear", {**AIR, "site.coldest": 35}, {}),
    ("one-season-combustion", "does not apply", {**AIR, "vent.outdoor_air": False}, {}),
    *edge("one-season-combustion", {"vent.outdoor_air": True, "site.hottest": 35}, "site.coldest", 1.7, 1.6, **METRIC),
    # the halves of the year change with April and with October
    ("one-season-combustion", "clear", AIR, read("2026-04-01")),
    ("one-season-combustion", "found", AIR, read("2026-03-31")),
    ("one-season-combustion", "clear", AIR, read("2025-09-30")),
    ("one-season-combustion", "found", AIR, read("2025-10-01")),
    ("one-season-combustion", "clear", AIR, past(earlier("2025-01-01"), *read("2025-07-01")["past"].states, *read("2026-01-01")["past"].states)),
    ("one-season-combustion", "not checked", AIR, {"drop": ["combustion.high"]}),
    ("one-season-combustion", "not checked", {}, {"drop": ["vent.outdoor_air"]}),
    *lacking("one-season-combustion", {"vent.outdoor_air": True}, "site.coldest", "site.hottest"),
]  # fmt: skip
test_boundaries = boundaries(CASES)


def test_how_far_readings_are_apart() -> None:
    one = finding("combustion-readings-disagree", {"combustion.high.co2": 9.9})
    assert one.numbers["apart"].value == pytest.approx(0.999, abs=1e-3)
    assert "8.9" not in one.message
    ratio = finding("combustion-readings-disagree", {"combustion.high.ratio": 0.01})
    assert ratio.at == "combustion.high.ratio"
    assert ratio.numbers["from CO and CO2"].value == pytest.approx(42 / 89000)


@pytest.mark.parametrize("lacking", ["combustion.high.o2", "combustion.high.co2", "combustion.low.co2"])
def test_which_reading_is_missing(lacking: str) -> None:
    rules = [one for one in by_group()["firing"] if one.name == "combustion-readings-disagree"]
    assert audit(make_plant(drop=[lacking]), rules).not_checked[0].needs == (lacking,)


def test_how_far_the_clocked_input_is_off() -> None:
    one = finding("clocked-input-off", {"gas.clocked_input": 236000})
    assert one.numbers["off"].value == pytest.approx(1.0)
    assert "+100 %" in one.message
    assert "-20 %" in finding("clocked-input-off", {"gas.clocked_input": 94400}).message
    assert "gross" in one.message
