# ruff: noqa: E501
"""Starts and the water that spaces them, at their boundaries.

The kit's low fire gives 15,000 x 0.92 = 13,800 Btu/h; five gallons of water at 60 C take 77.9 kJ/K (IAPWS density,
specific heat of CoolProp), so the shortest cycle is 4 x 77.9 kJ/K x band / 4044 W = 77.1 s/K x band; 10 min want a band
of 7.79 K = 14.0 F, of which 6 F lie above the set point. Thresholds are common practice, no source.
"""

from __future__ import annotations

from typing import Final

import pytest

from settingslint.physics.weather import Hours
from settingslint.rules.plant import Context
from settingslint.units import celsius, kelvin
from tests.rules.kit import AS_OF, METRIC, ask, finding, make_plant
from tests.rules.tables import Cases, boundaries, edge, lacking, remedies, remedy_of

FIVE: Final = {"water.system_volume": 5}
FIVE_L: Final = {"water.system_volume": 18.927}
NO_REST: Final = {**FIVE, "settings.minimum_off_time": "off"}
TINY: Final = {"boiler.heat_exchanger": "low mass", "piping.smallest_zone": 4000, "water.system_volume": 8}

CASES: Final[Cases] = [
    # 13,800 Btu/h is half of 27,600 Btu/h
    *edge("low-fire-above-load-for-most-hours", {}, "building.design_load", 28000, 27000),
    ("low-fire-above-load-for-most-hours", "found", {"building.design_load": 10000}, {}),
    *lacking("low-fire-above-load-for-most-hours", {}, "building.design_load", "boiler.efficiency"),
    *edge("low-fire-above-load-for-most-hours", {}, "building.design_load", 8.3, 7.9, **METRIC),
    *edge("differential-too-narrow", NO_REST, "settings.heating_differential", 8.1, 8),
    # a rest of 4 min adds nothing at 8 F and above, where the water's own off time is longer
    ("differential-too-narrow", "found", {**FIVE, "settings.heating_differential": 8}, {}),
    ("differential-too-narrow", "clear", {**FIVE, "settings.heating_differential": 8, "settings.minimum_off_time": 8}, {}),
    ("differential-too-narrow", "not checked", {}, {"drop": ["water.system_volume"]}),
    ("differential-too-narrow", "not checked", {}, {"drop_control": ["setting.heating_overshoot"]}),
    ("differential-too-narrow", "clear", {}, {"drop_control": ["setting.heating_overshoot"], "control": {"control.overshoot": 10}}),
    *edge("differential-too-narrow", {**FIVE_L, "settings.minimum_off_time": "off"},
          "settings.heating_differential", 4.5, 4.4, **METRIC),
    *edge("rest-time-off", NO_REST, "settings.heating_differential", 8.1, 8),
    *edge("rest-time-off", {**FIVE, "settings.heating_differential": 8}, "settings.minimum_off_time", 1, 0),
    ("rest-time-off", "not checked", {}, {"drop": ["settings.minimum_off_time"]}),
    # 4044 W x rest / 77.9 kJ/K: 51.9 K/1000 s; band 24 F and 10 F more are 18.9 K: 364 s
    *edge("rest-time-lets-water-sag", FIVE, "settings.minimum_off_time", 6, 6.1),
    ("rest-time-lets-water-sag", "does not apply", {**FIVE, "settings.minimum_off_time": "off"}, {}),
    ("rest-time-lets-water-sag", "not checked", {}, {"drop": ["settings.minimum_off_time"]}),
    ("rest-time-lets-water-sag", "found", {**FIVE_L, "settings.minimum_off_time": 7}, METRIC),
    # 600 s x (13,800 - 4,000) Btu/h in a band of 13.3 K: 31.4 L = 8.3 gal
    ("small-zones-on-low-mass-boiler", "found", TINY, {}),
    ("small-zones-on-low-mass-boiler", "clear", {**TINY, "water.system_volume": 8.4}, {}),
    *edge("small-zones-on-low-mass-boiler", {**TINY, "water.system_volume": 4}, "piping.smallest_zone", 6900, 6899),
    ("small-zones-on-low-mass-boiler", "does not apply", {**TINY, "piping.topology": "buffer"}, {}),
    ("small-zones-on-low-mass-boiler", "does not apply", {**TINY, "boiler.heat_exchanger": "high mass"}, {}),
    ("small-zones-on-low-mass-boiler", "not checked", {"boiler.heat_exchanger": "low mass"}, {"drop": ["piping.smallest_zone"]}),
    # 1,500 burner hours: 9,000 starts are 6 an hour
    *edge("many-starts-for-burner-hours", {}, "counters.starts", 9000, 9001),
    ("many-starts-for-burner-hours", "does not apply", {"counters.burner_hours": 0}, {}),
    ("many-starts-for-burner-hours", "not checked", {}, {"drop": ["counters.starts"]}),
]  # fmt: skip
test_boundaries = boundaries(CASES)

test_remedies = remedies([
    ("differential-too-narrow", {**NO_REST, "settings.heating_differential": 4}, {},
     {"heating_differential": kelvin(9)}),
    ("rest-time-off", {**NO_REST, "settings.heating_differential": 4}, {}, {"minimum_off_time": 600.0}),
    ("rest-time-lets-water-sag", {**FIVE, "settings.minimum_off_time": 20}, {}, {"minimum_off_time": 300.0}),
])  # fmt: skip


def test_a_differential_that_can_t_go_wide_enough_gets_water_as_its_remedy() -> None:
    control = {"setting.heating_differential.range": {"low": 2, "high": 8}, "setting.heating_differential.default": 5}
    remedy = remedy_of("differential-too-narrow", {**NO_REST, "settings.heating_differential": 4}, control=control)
    assert remedy.set == {}
    assert "water" in remedy.text


def test_a_rest_stretches_the_cycle_at_every_load() -> None:
    # brute force over the load: off = max(C band/Q, rest), on = the heat lost in it at Qmin - Q
    from settingslint.rules.cycling.starts import shortest_cycle

    plant = make_plant({**FIVE, "settings.heating_differential": 4})
    low_fire, heat = 15000 * 0.92 * 0.29307107, 77_900 * 10 / 1.8
    for rest in (0.0, 100.0, 240.0, 600.0, 1500.0):
        cycles = []
        for step in range(1, 2000):
            load = low_fire * step / 2000
            off = max(heat / load, rest)
            cycles.append(off + load * off / (low_fire - load))
        assert shortest_cycle(plant, rest) == pytest.approx(min(cycles), rel=2e-3), rest


def test_figures_can_be_checked_by_hand() -> None:
    # 62 - 13,800/25,000 x 58 = 29.98 F
    one = finding("low-fire-above-load-for-most-hours", {"building.design_load": 25000})
    assert one.numbers["from outdoors"].value == pytest.approx(celsius(29.984), abs=1e-2)
    # 15 gallons, 10 F, 22,500 Btu/h: 8.33 x 15 x 10 x 4/22,500 h = 13.3 min, with water of 8.33 Btu/gal F
    changes = {
        "water.system_volume": 15, "settings.heating_differential": 4, "settings.minimum_off_time": "off",
        "boiler.efficiency": 1.0,
    }  # fmt: skip
    owner = Context(AS_OF, thresholds={"shortest_cycle": 3600.0})
    control = {"size.middle.input_minimum": 22500}
    time = finding("differential-too-narrow", changes, control=control, context=owner).numbers["shortest cycle"].value
    assert time / 60 == pytest.approx(13.3, rel=0.02)


def test_hours_of_a_weather_file_count() -> None:
    mild = Context(AS_OF, hours=Hours(((-5.0, 100), (12.0, 3000))))
    assert ask("low-fire-above-load-for-most-hours", {"building.design_load": 40000}, context=mild) == "found"
    assert ask("low-fire-above-load-for-most-hours", {"building.design_load": 40000}) == "clear"
