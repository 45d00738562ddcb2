# ruff: noqa: E501
"""The outdoor sensor and what is done with it, at its boundaries. Margins are common practice, no source."""

from __future__ import annotations

from typing import Final

import pytest

from settingslint.units import Kelvin, kelvin
from tests.rules.kit import FLOOR, TWO, finding
from tests.rules.tables import Cases, boundaries, edge, remedies

LOSS: Final = {"settings.outdoor_sensor_loss": "set point", "emitter": [FLOOR]}

CASES: Final[Cases] = [
    ("reset-without-outdoor-sensor", "found", {"accessories.outdoor_sensor": False}, {}),
    ("reset-without-outdoor-sensor", "clear", {}, {}),
    ("reset-without-outdoor-sensor", "does not apply", {"accessories.outdoor_sensor": False, "settings.reset": False}, {}),
    ("reset-without-outdoor-sensor", "found", {"accessories.outdoor_sensor": False},
     {"drop": ["settings.reset"], "drop_control": ["setting.reset"], **TWO}),
    ("reset-without-outdoor-sensor", "found", {"accessories.outdoor_sensor": False, "settings.reset": {"left": "default"}},
     {"control": {"setting.reset.default": True}}),
    ("reset-without-outdoor-sensor", "does not apply", {"accessories.outdoor_sensor": False, "settings.reset": {"left": "default"}},
     {"control": {"setting.reset.default": False}}),
    ("reset-without-outdoor-sensor", "found", {"accessories.outdoor_sensor": False},
     {"control": {"setting.reset.needs": [{"accessory": "outdoor_sensor", "otherwise": "ignored"}]}}),
    ("reset-without-outdoor-sensor", "not checked", {}, {"drop": ["accessories.outdoor_sensor"]}),
    ("reset-without-outdoor-sensor", "does not apply", {"accessories.outdoor_sensor": False}, {"style": "none"}),
    ("outdoor-sensor-unused", "found", {"settings.reset": False}, {}),
    ("outdoor-sensor-unused", "clear", {}, {}),
    ("outdoor-sensor-unused", "clear", {"settings.reset": {"value": False, "why": "process load"}}, {}),
    ("outdoor-sensor-unused", "clear", {"settings.reset": False, "emitter": [{"kind": "air coil"}]}, {}),
    ("outdoor-sensor-unused", "clear", {"settings.reset": False, "boiler.tankless_coil": True}, {}),
    ("outdoor-sensor-unused", "does not apply", {"settings.reset": False, "accessories.outdoor_sensor": False}, {}),
    ("outdoor-sensor-unused", "does not apply", {}, {"style": "none"}),
    ("outdoor-sensor-unused", "not checked", {"settings.reset": False}, {"drop": ["emitter"]}),
    ("sensor-loss-stops-heat", "found", {"settings.outdoor_sensor_loss": "stop", "site.occupants": "vulnerable"}, {}),
    *edge("sensor-loss-stops-heat", {"site.occupants": "vacant"},
          "settings.outdoor_sensor_loss", "set point", "minimum"),
    ("sensor-loss-stops-heat", "clear", {"settings.outdoor_sensor_loss": "stop"}, {}),
    ("sensor-loss-stops-heat", "does not apply", {"settings.outdoor_sensor_loss": "stop", "site.occupants": "vacant", "settings.reset": False}, {}),
    ("sensor-loss-stops-heat", "not checked", {}, {"drop": ["settings.outdoor_sensor_loss"]}),
    *edge("sensor-loss-overheats-emitter", LOSS, "settings.heating_setpoint", 120, 120.1),
    ("sensor-loss-overheats-emitter", "clear", {**LOSS, "settings.outdoor_sensor_loss": "minimum"}, {}),
    ("sensor-loss-overheats-emitter", "does not apply", {**LOSS, "emitter": [{**FLOOR, "mixed": True}]}, {}),
    ("sensor-loss-overheats-emitter", "does not apply", {**LOSS, "settings.reset": False}, {}),
    ("sensor-loss-overheats-emitter", "not checked", {"emitter": [FLOOR]}, {"drop": ["settings.outdoor_sensor_loss"]}),
    *edge("outdoor-correction-large", {}, "settings.outdoor_correction", 3, 3.1),
    ("outdoor-correction-large", "found", {"settings.outdoor_correction": -3.1}, {}),
    ("outdoor-correction-large", "not checked", {}, {"drop": ["settings.outdoor_correction"]}),
    *edge("outdoor-correction-large", {}, "settings.outdoor_correction", 1.5, 2, metric=True),
    *edge("outdoor-averaging-unlike-building", {"building.mass": "light"}, "settings.outdoor_averaging", 6, 6.1),
    *edge("outdoor-averaging-unlike-building", {"building.mass": "heavy"}, "settings.outdoor_averaging", 12, 11),
    *edge("outdoor-averaging-unlike-building", {}, "settings.outdoor_averaging", 45, 46),
    ("outdoor-averaging-unlike-building", "does not apply", {"settings.outdoor_averaging": 46, "settings.reset": False}, {}),
    ("outdoor-averaging-unlike-building", "not checked", {}, {"drop": ["building.mass"]}),
]  # fmt: skip
test_boundaries = boundaries(CASES)

test_remedies = remedies([
    ("outdoor-sensor-unused", {"settings.reset": False}, {}, {"reset": True}),
    ("sensor-loss-stops-heat", {"settings.outdoor_sensor_loss": "stop", "site.occupants": "vulnerable"}, {},
     {"outdoor_sensor_loss": "fixed outdoor temperature"}),
    ("sensor-loss-overheats-emitter", LOSS, {}, {"outdoor_sensor_loss": "fixed outdoor temperature"}),
    ("outdoor-averaging-unlike-building", {"building.mass": "heavy"}, {}, {"outdoor_averaging": 12 * 3600.0}),
])  # fmt: skip


def test_what_a_correction_moves_can_be_checked_by_hand() -> None:
    # 88 F over 74 F: 1.189 F per F, times -6 F
    moved = finding("outdoor-correction-large", {"settings.outdoor_correction": 6})
    assert Kelvin(moved.numbers["supply moves"].value) == pytest.approx(kelvin(-7.135), abs=1e-3)


def test_what_the_control_does_without_its_sensor_is_said() -> None:
    lost = {"accessories.outdoor_sensor": False}
    assert "takes a fixed outdoor temperature" in finding("reset-without-outdoor-sensor", lost).message
    unknown = finding("reset-without-outdoor-sensor", lost, drop=["settings.outdoor_sensor_loss"])
    assert "not recorded" in unknown.message
