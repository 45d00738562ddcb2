"""A plant with assumed facts keeps them in every plant that is made of it."""

from __future__ import annotations

from settingslint.units import Kind
from tests.rules.kit import make_plant

ROOM, BALANCE = "building.indoor_design", "building.balance_point"


def test_what_is_assumed_stays_where_other_values_are_tried() -> None:
    thin = make_plant(drop=[ROOM, BALANCE])
    assumed = thin.assuming({ROOM: 20.0}).assuming({BALANCE: 16.0})
    for made in (assumed, assumed.instead({"heating_setpoint": 60.0}), assumed.running({"heating_setpoint": 60.0})):
        assert made.point(ROOM) == 20.0 and made.point(BALANCE) == 16.0
        assert made.facts[ROOM].value == 20.0
    assert assumed.instead({ROOM: 22.0}).point(ROOM) == 22.0
    later = assumed.assuming({"heating_differential": 8.0})
    assert later.show(Kind.POINT, later.point(ROOM)) == "68 F" and ROOM in later.facts
    assert not thin.instead({"heating_setpoint": 60.0}).known(ROOM)
