"""What an owner says is usual silences no danger, and a thin record of any shape is checked in a short time."""

from __future__ import annotations

import time
from typing import Any, Final

import pytest

from settingslint.checking.audit import Result, audit
from settingslint.rules import all_rules
from settingslint.rules.base import Certainty, Severity
from settingslint.rules.plant import Context
from settingslint.vocabulary.facts import EMITTER
from settingslint.vocabulary.plausible import Choice, Span, by_name
from tests.rules.kit import AS_OF, make_plant

HOT: Final[dict[str, Any]] = {"settings.tank_setpoint": 160, "hot_water.mixing_valve": False}
FACTS: Final = (
    "building", "site", "boiler", "hot_water", "water", "piping", "accessories", "counters", "gas", "vent",
    "combustion", "emitter",
)  # fmt: skip


def told(result: Result) -> dict[str, Certainty]:
    return {one.rule: one.certainty for one in result.findings if one.severity is Severity.DANGER}


def dangers(drop: list[str], *rows: Span | Choice, **changes: Any) -> dict[str, Certainty]:
    plant = make_plant({**HOT, **changes}, drop=drop, context=Context(AS_OF, usual=by_name(rows)))
    return told(audit(plant, all_rules()))


@pytest.mark.parametrize(
    "rows",
    [
        [Choice("hot_water.kind", "none", "test", {}, ("none",))],
        [Choice("hot_water.kind", "plate", "test", {}, ("plate",))],
        [Choice("hot_water.kind", "separate", "test", {}, ("separate",))],
        [Choice("hot_water.circulation_loop", False, "test", {}, (False,))],
        [Choice("hot_water.kind", "none", "test", {"plant.site": ("Mill Lane Hall",)}, ("none",))],
        [Choice("hot_water.kind", "tank", "test", {}, ("tank",)), Span("tank_setpoint", 120, 120, 120, "test")],
    ],
    ids=str,
)
def test_what_the_owner_says_is_usual_takes_no_danger_away(rows: list[Span | Choice]) -> None:
    for drop in (
        ["hot_water.kind"],
        ["hot_water"],
        ["hot_water", "settings.tank_setpoint"],
        ["hot_water.circulation_loop"],
    ):
        without = dangers(drop)
        assert without.keys() <= dangers(drop, *rows).keys(), drop


def test_but_it_still_decides_what_is_assumed_first() -> None:
    """A tank by the owner's word: then a hot one is likely, and the question is no longer whether there is one."""
    tank = Choice("hot_water.kind", "tank", "test", {}, ("tank",))
    plant = make_plant(HOT, drop=["hot_water.kind"], context=Context(AS_OF, usual=by_name([tank])))
    (one,) = (one for one in audit(plant, all_rules()).findings if one.rule == "hot-tank-without-mixing-valve")
    assert one.certainty is Certainty.LIKELY and one.assumed == ("hot_water.kind",)


@pytest.mark.parametrize("count", [20, 50])
def test_a_long_list_of_emitters_of_which_nothing_else_is_known(count: int) -> None:
    kinds = EMITTER["kind"].words
    emitters = [{"name": f"emitter {number}", "kind": kinds[number % len(kinds)]} for number in range(count)]
    began = time.process_time()
    result = audit(make_plant({"emitter": emitters}, drop=FACTS), all_rules())
    assert time.process_time() - began < 10
    assert not result.faults and told(result)


def test_a_control_file_that_describes_one_setting_only() -> None:
    from tests.rules.kit import CONTROL

    others = [f"setting.{name}" for name in CONTROL["setting"] if name != "heating_setpoint"]
    result = audit(make_plant(drop=FACTS, drop_control=others), all_rules())
    assert not result.faults and result.not_checked
