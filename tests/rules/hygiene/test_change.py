"""How the store came to be where it is, at its boundaries. Common practice, no source."""

from __future__ import annotations

from datetime import date
from typing import Any, Final

import pytest

from settingslint.rules.base import Certainty, Severity
from settingslint.rules.past import Left, Past
from settingslint.units import celsius
from tests.rules.hygiene.givens import BOTH, PLATE
from tests.rules.kit import METRIC, ask, finding, make_plant, rule_named
from tests.rules.tables import Cases, Said, boundaries, edge, sayings


def after(*stores: float | None) -> dict[str, Any]:
    """Return a history in which the store stood at these temperatures, degrees Fahrenheit, oldest first."""
    states = [
        Left(date(2024, 10, 1 + at), "R. Holm", "left", {} if store is None else {"tank_setpoint": celsius(store)}, {})
        for at, store in enumerate(stores)
    ]
    return {"past": Past(tuple(states))}


SCALDED: Final = {"visit.why": "Tenant reports SCALD at basin", "visit.on": "2026-10-06"}
SAMPLED: Final = {"visit.why": "positive sample", "visit.on": "2026-10-06"}
LOWERED: Final = "store-lowered-after-scald-complaint"
RAISED: Final = "store-raised-without-valve-test"

CASES: Final[Cases] = [
    # how the store came to be where it is; the valve was tested on 2026-09-20
    (LOWERED, "found", SCALDED, after(146)),
    (LOWERED, "found", {**SCALDED, "visit.why": "kitchen tap too hot"}, after(150)),
    (LOWERED, "found", {**SCALDED, "visit.why": "too hot at the shower"}, after(150)),
    (LOWERED, "found", {**SCALDED, "visit.why": "child burned"}, after(150)),
    (LOWERED, "clear", {**SCALDED, "visit.why": "burner cleaned; rooms too hot"}, after(150)),
    (LOWERED, "found", {**SCALDED, "settings.tank_setpoint": 62}, {**after(150), **METRIC}),
    (LOWERED, "clear", {**SCALDED, "visit.why": "autumn service"}, after(150)),
    (LOWERED, "clear", SCALDED, after(145)),
    (LOWERED, "clear", SCALDED, after(145.448)),
    (LOWERED, "found", SCALDED, after(145.452)),
    (LOWERED, "clear", SCALDED, after(140)),
    (LOWERED, "clear", SCALDED, after(150, 145)),
    (LOWERED, "found", SCALDED, after(140, 150)),
    (LOWERED, "clear", SCALDED, after(150, None)),
    (LOWERED, "does not apply", SCALDED, after()),
    (LOWERED, "clear", SCALDED, after(None)),
    *edge(LOWERED, SCALDED, "hot_water.mixing_valve_tested", "2026-10-06", "2026-10-05", **after(150)),
    (LOWERED, "found", SCALDED, {**after(150), "drop": ["hot_water.mixing_valve_tested"]}),
    (LOWERED, "does not apply", {**SCALDED, **PLATE}, after(150)),
    (LOWERED, "not checked", SCALDED, {}),
    (LOWERED, "not checked", {}, {**after(150), "drop": ["visit.why"]}),
    (LOWERED, "not checked", {"visit.why": "scald"}, {**after(150), "drop": ["visit.on"]}),
    (LOWERED, "not checked", SCALDED, {**after(150), "drop": ["settings.tank_setpoint"]}),
    (RAISED, "found", SAMPLED, after(144)),
    (RAISED, "found", {**SAMPLED, "visit.why": "Legionella"}, after(140)),
    (RAISED, "found", {**SAMPLED, "visit.why": "samples: two came positive"}, after(140)),
    (RAISED, "found", {**SAMPLED, "visit.why": "a positive cold water sample"}, after(140)),
    (RAISED, "found", {**SAMPLED, "visit.why": "water sample was positive"}, after(140)),
    (RAISED, "clear", {**SAMPLED, "visit.why": "flue gas sample; positive pressure test"}, after(140)),
    (RAISED, "found", {**SAMPLED, "settings.tank_setpoint": 63}, {**after(140), **METRIC}),
    (RAISED, "clear", {**SAMPLED, "visit.why": "autumn service"}, after(140)),
    (RAISED, "clear", SAMPLED, after(145)),
    (RAISED, "clear", SAMPLED, after(144.552)),
    (RAISED, "found", SAMPLED, after(144.548)),
    (RAISED, "clear", SAMPLED, after(150)),
    (RAISED, "clear", SAMPLED, after(140, 145)),
    *edge(RAISED, SAMPLED, "hot_water.mixing_valve_tested", "2026-10-06", "2026-10-05", **after(140)),
    (RAISED, "does not apply", {**SAMPLED, **PLATE}, after(140)),
    (RAISED, "not checked", SAMPLED, {}),
    (RAISED, "not checked", {}, {**after(140), "drop": ["visit.why"]}),
    (RAISED, "not checked", {"visit.why": "sample"}, {**after(140), "drop": ["visit.on"]}),
    (RAISED, "not checked", SAMPLED, {**after(140), "drop": ["settings.tank_setpoint"]}),
]  # fmt: skip
test_boundaries = boundaries(CASES)

SAID: Final[Said] = [
    (LOWERED, SCALDED, after(155),
     (Severity.DANGER, Certainty.LIKELY, "tank_setpoint", BOTH, {"before": celsius(155), "now": celsius(145)})),
    (RAISED, SAMPLED, after(135),
     (Severity.DANGER, Certainty.LIKELY, "tank_setpoint", BOTH, {"before": celsius(135), "now": celsius(145)})),
]  # fmt: skip
test_what_a_finding_says = sayings(SAID)


def test_a_moved_store_is_told_with_both_figures() -> None:
    one = finding(LOWERED, SCALDED, **after(155))
    assert "from 155 F to 145 F after a complaint about scalding" in one.message
    assert one.numbers["before"].value == pytest.approx(celsius(155))
    assert one.numbers["now"].value == pytest.approx(celsius(145))
    assert "from 140 F to 145 F after a sample" in finding(RAISED, SAMPLED, **after(140)).message
    # a last state that is the present one is passed over
    typed = {name: entry.typed for name, entry in make_plant().profile.settings.items() if entry.typed is not None}
    states = tuple(
        Left(date(2025, 1, 1), "R. Holm", "left", {**typed, **new}, {}) for new in ({"tank_setpoint": 70.0}, {})
    )
    assert ask(LOWERED, SCALDED, past=Past(states)) == "found"
    assert rule_named(LOWERED).certainty is rule_named(RAISED).certainty is Certainty.LIKELY
