"""How the tank came to be where it is, at its boundaries. Common practice, no source."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any, Final

import pytest

from settingslint.checking.audit import audit
from settingslint.model.values import Value
from settingslint.rules.base import Certainty, Severity
from settingslint.rules.past import Left, Past
from settingslint.units import celsius
from tests.rules.hygiene.givens import BOTH, PLATE
from tests.rules.kit import METRIC, finding, make_plant, rule_named
from tests.rules.tables import Cases, Said, boundaries, edge, sayings


def state(on: str, tank: float | str | None, by: str = "R. Holm", kind: str = "left", **facts: Value) -> Left:
    """Return what a commit left: the tank set point, degrees Fahrenheit, and facts of the visit."""
    value = celsius(tank) if isinstance(tank, (int, float)) else tank
    told = {f"visit.{name}": fact for name, fact in facts.items()}
    return Left(date.fromisoformat(on), by, kind, {} if value is None else {"tank_setpoint": value}, told)


def after(*tanks: float | str | None) -> dict[str, Any]:
    """Return a history in which the tank set point was at these temperatures, degrees Fahrenheit, oldest first.

    No visit says what brought it about.
    """
    return {"past": Past(tuple(state(f"2024-10-{1 + at:02}", tank) for at, tank in enumerate(tanks)))}


def then(*states: Left) -> dict[str, Any]:
    return {"past": Past(states)}


SCALDED: Final = {"visit.occasion": "scald complaint", "visit.on": "2026-10-06"}
SAMPLED: Final = {"visit.occasion": "positive water sample", "visit.on": "2026-10-06"}
LATER: Final = {"visit.occasion": "routine", "visit.on": "2026-10-06"}
LOWERED: Final = "tank-lowered-after-scald-complaint"
RAISED: Final = "tank-raised-without-valve-test"
HOT: Final = state("2026-09-01", 155)
COOL: Final = state("2026-09-01", 135)
SCALD: Final = state("2026-09-21", 145, by="T. One", occasion="scald complaint")
SAMPLE: Final = state("2026-09-21", 145, by="T. One", occasion="positive water sample")
TESTED: Final = {"hot_water.mixing_valve_tested": date(2026, 9, 21)}

CASES: Final[Cases] = [
    # how the tank came to be where it is, 145 F today; the valve was tested on 2026-09-20
    (LOWERED, "found", SCALDED, after(146)),
    (LOWERED, "found", {**SCALDED, "settings.tank_setpoint": 62}, {**after(150), **METRIC}),
    *[(LOWERED, "clear", {**SCALDED, "visit.occasion": other}, after(150))
      for other in ("routine", "complaint", "positive water sample", "repair", "other")],
    (LOWERED, "clear", {**LATER, "visit.why": "tenant reports scald at basin"}, after(150)),
    (LOWERED, "clear", SCALDED, after(145)),
    (LOWERED, "clear", SCALDED, after(145.448)),
    (LOWERED, "found", SCALDED, after(145.452)),
    (LOWERED, "clear", SCALDED, after(140)),
    (LOWERED, "found", SCALDED, after(140, 150)),
    (LOWERED, "found", SCALDED, after(150, None)),
    (LOWERED, "does not apply", SCALDED, after()),
    (LOWERED, "clear", SCALDED, after(None)),
    (LOWERED, "clear", SCALDED, after("off")),
    *edge(LOWERED, SCALDED, "hot_water.mixing_valve_tested", "2026-10-06", "2026-10-05", **after(150)),
    (LOWERED, "found", SCALDED, {**after(150), "drop": ["hot_water.mixing_valve_tested"]}),
    (LOWERED, "does not apply", {**SCALDED, "hot_water.mixing_valve": False}, after(150)),
    (LOWERED, "does not apply", {**SCALDED, **PLATE}, after(150)),
    # on what occasion is asked where the tank was lowered, and only there
    (LOWERED, "not checked", {}, {**after(150), "drop": ["visit.occasion"]}),
    (LOWERED, "not checked", SCALDED, {**after(150, 145), "drop": ["hot_water.mixing_valve_tested"]}),
    (LOWERED, "clear", SCALDED, after(150, 145)),
    (LOWERED, "clear", {}, {**after(140), "drop": ["visit.occasion"]}),
    (LOWERED, "not checked", SCALDED, {}),
    (LOWERED, "not checked", SCALDED, {**after(150), "drop": ["settings.tank_setpoint"]}),
    # it stays through later visits until the valve is tested, on the day of the change or after it, or it is put back
    (LOWERED, "found", LATER, then(HOT, SCALD)),
    (LOWERED, "found", LATER, then(HOT, SCALD, state("2026-09-25", None, occasion="routine"))),
    (LOWERED, "found", {**LATER, "settings.tank_setpoint": 142}, then(HOT, SCALD)),
    (LOWERED, "clear", LATER, then(HOT, replace(SCALD, kind="as found"))),
    *edge(LOWERED, LATER, "hot_water.mixing_valve_tested", "2026-09-21", "2026-09-20", **then(HOT, SCALD)),
    (LOWERED, "clear", LATER, then(HOT, replace(SCALD, facts={**SCALD.facts, **TESTED}))),
    (LOWERED, "clear", LATER, then(HOT, SCALD, Left(date(2026, 9, 25), "R. Holm", "left", {}, TESTED))),
    *edge(LOWERED, LATER, "settings.tank_setpoint", 154.6, 154.5, **then(HOT, SCALD)),
    (LOWERED, "clear", {**LATER, "settings.tank_setpoint": 160}, then(HOT, SCALD)),
    (RAISED, "found", SAMPLED, after(144)),
    (RAISED, "found", {**SAMPLED, "settings.tank_setpoint": 63}, {**after(140), **METRIC}),
    *[(RAISED, "clear", {**SAMPLED, "visit.occasion": other}, after(140)) for other in ("routine", "scald complaint")],
    (RAISED, "clear", {**LATER, "visit.why": "positive legionella sample"}, after(140)),
    (RAISED, "clear", SAMPLED, after(145)),
    (RAISED, "clear", SAMPLED, after(144.552)),
    (RAISED, "found", SAMPLED, after(144.548)),
    (RAISED, "clear", SAMPLED, after(150)),
    *edge(RAISED, SAMPLED, "hot_water.mixing_valve_tested", "2026-10-06", "2026-10-05", **after(140)),
    (RAISED, "does not apply", {**SAMPLED, "hot_water.mixing_valve": False}, after(140)),
    (RAISED, "does not apply", {**SAMPLED, **PLATE}, after(140)),
    (RAISED, "not checked", {}, {**after(140), "drop": ["visit.occasion"]}),
    (RAISED, "not checked", SAMPLED, {**after(140, 145), "drop": ["hot_water.mixing_valve_tested"]}),
    (RAISED, "clear", SAMPLED, after(140, 145)),
    (RAISED, "clear", {}, {**after(150), "drop": ["visit.occasion"]}),
    (RAISED, "not checked", SAMPLED, {}),
    (RAISED, "not checked", SAMPLED, {**after(140), "drop": ["settings.tank_setpoint"]}),
    (RAISED, "found", LATER, then(COOL, SAMPLE)),
    *edge(RAISED, LATER, "hot_water.mixing_valve_tested", "2026-09-21", "2026-09-20", **then(COOL, SAMPLE)),
    *edge(RAISED, LATER, "settings.tank_setpoint", 135.4, 135.5, **then(COOL, SAMPLE)),
]  # fmt: skip
test_boundaries = boundaries(CASES)

SAID: Final[Said] = [
    (LOWERED, SCALDED, after(155),
     (Severity.DANGER, Certainty.LIKELY, "tank_setpoint", BOTH, {"before": celsius(155), "now": celsius(145)})),
    (RAISED, SAMPLED, after(135),
     (Severity.DANGER, Certainty.LIKELY, "tank_setpoint", BOTH, {"before": celsius(135), "now": celsius(145)})),
]  # fmt: skip
test_what_a_finding_says = sayings(SAID)


def test_a_finding_has_both_figures_and_the_day_and_person_of_the_change() -> None:
    said = "tank lowered from 155 F to 145 F after a scald complaint; valve not tested since"
    for tank in (145, 142):
        one = finding(LOWERED, {**LATER, "settings.tank_setpoint": tank}, **then(HOT, SCALD))
        assert one.headline == said
        assert one.remarks[0] == "changed on 2026-09-21 (T. One)"
    assert one.numbers["before"].value == pytest.approx(celsius(155))
    assert one.numbers["now"].value == pytest.approx(celsius(145))
    more = finding(RAISED, LATER, **then(COOL, SAMPLE))
    assert more.headline == "tank raised from 135 F to 145 F after a positive water sample; valve not tested since"
    assert more.remarks[0] == "changed on 2026-09-21 (T. One)"


def test_what_is_not_known_of_an_occasion_names_the_day_of_the_change() -> None:
    plant = make_plant(LATER, **then(HOT, replace(SCALD, facts={})))
    (lack,) = audit(plant, [rule_named(LOWERED)]).not_checked
    assert lack.needs == ("visit.occasion",)
    assert "tank set point was changed on 2026-09-21 (T. One)" in lack.why
