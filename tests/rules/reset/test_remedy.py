"""The line that is proposed instead of a wrong one: it can be typed, and its cold end lies where it belongs."""

from __future__ import annotations

import pytest

from settingslint.units import celsius
from tests.rules.kit import TWO, finding


def test_the_line_s_remedy_moves_a_cold_end_that_stands_far_off() -> None:
    changes = {"settings.reset_cold_outdoor": 20, "settings.reset_cool_supply": 125}
    remedy = finding("reset-line-far-above-need", changes, **TWO).remedy
    assert remedy is not None
    assert remedy.verified is True
    assert remedy.set["reset_cold_outdoor"] == pytest.approx(celsius(4))


def test_no_line_is_proposed_that_the_control_can_t_take() -> None:
    control = {"setting.reset_cool_supply.range": {"low": 60, "high": 80}}
    remedy = finding("reset-line-below-emitter-need", {"settings.reset_cool_supply": 70}, control=control, **TWO).remedy
    assert remedy is not None
    assert remedy.set == {}
