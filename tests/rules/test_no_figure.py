"""No finding gives a figure to set for firing or a limit: its remedy never names one, whatever is recorded."""

from __future__ import annotations

import random
import re
from datetime import date, timedelta
from typing import Any, Final

import pytest

from settingslint.checking.audit import audit
from settingslint.model.values import NUMERIC
from settingslint.rules import all_rules
from settingslint.rules.base import DANGER, RESTORE_FIRING, RESTORE_LIMIT, Drafts, Remedy, found
from settingslint.rules.plant import Plant
from settingslint.rules.rule import rule
from settingslint.units import show, to_si
from settingslint.vocabulary.settings import FIRING, LICENSED, SETTINGS
from tests.rules.kit import AS_OF, DEFAULTS, make_plant

ROUNDS: Final = 60
NUMBERS: Final = sorted(name for name in LICENSED if SETTINGS[name].kind in NUMERIC)
NUMBER: Final = re.compile(r"\d[\d,]*(?:\.\d+)?")


def odd(chance: random.Random, name: str) -> float:
    """Return a number that nothing else in a plant has, in or around the range of a setting."""
    row = SETTINGS[name]
    low, high = row.low if row.low is not None else 0, row.high if row.high is not None else 9000
    return round(chance.uniform(low, high), 3) + 0.0007


def recorded(chance: random.Random, name: str) -> tuple[Any, list[float]]:
    """Return a setting as a file may have it, and the numbers in it."""
    typed, then, back = (odd(chance, name) for _ in range(3))
    day = date(2026, 1, 1) + timedelta(days=chance.randrange(365))
    one: dict[str, Any] = {"value": typed, "on": day.isoformat()}
    if chance.random() < 0.5:
        one |= {"until": (day + timedelta(days=chance.randrange(1, 60))).isoformat(), "then": then}
    if chance.random() < 0.5:
        one["read_back"] = back
    return one, [typed, then, back]


@pytest.mark.parametrize("seed", range(ROUNDS))
def test_no_remedy_names_what_is_recorded_or_delivered(seed: int) -> None:
    chance = random.Random(seed)
    chosen = chance.sample(NUMBERS, chance.randrange(1, 6))
    values, figures = {}, []
    for name in chosen:
        values[f"settings.{name}"], numbers = recorded(chance, name)
        figures += [(name, one) for one in numbers]
    figures += [(name, DEFAULTS[name]) for name in chosen if name in DEFAULTS]
    plant = make_plant(values)
    findings = audit(plant, all_rules()).findings
    for one in findings:
        if one.remedy is None:
            continue
        assert not LICENSED & set(one.remedy.set), one
        if one.at in LICENSED:
            assert not NUMBER.search(one.remedy.text), one
        said = {text.replace(",", "") for text in NUMBER.findall(one.remedy.text)}
        for name, figure in figures:
            shown = show(to_si(figure, SETTINGS[name].kind, plant.system), SETTINGS[name].kind, plant.system)
            whole = rf"(?<![\d.,]){re.escape(shown)}(?![\d])"
            assert f"{figure:g}" not in said and not re.search(whole, one.remedy.text), (one.rule, one.remedy.text)
    assert [one for one in findings if one.at in chosen]


@pytest.mark.parametrize("name", sorted(LICENSED))
@pytest.mark.parametrize("remedy", [Remedy("put back 6300"), Remedy("put it back", {"*": 1.0}), Remedy("put it back")])
def test_the_mechanism_lets_no_figure_through(name: str, remedy: Remedy) -> None:
    """Whatever a rule says: for the setting itself, and from a finding at another setting."""
    values = {name: 1.0} if remedy.set else {}
    own = Remedy(remedy.text, values)

    @rule("careless", severity=DANGER, cautions=(), source="none")
    def careless(plant: Plant) -> Drafts:
        """Says too much."""
        yield found(name, "wrong", {}, own)
        yield found("tank_setpoint", "wrong too", {}, Remedy("lower both", values))

    here, beside = sorted(audit(make_plant(), [careless]).findings, key=lambda one: one.at != name)
    words = RESTORE_FIRING if name in FIRING else RESTORE_LIMIT
    assert here.remedy is not None and beside.remedy is not None
    assert here.remedy.text == (words if values or "6300" in remedy.text else remedy.text)
    assert here.remedy.set == {} and beside.remedy.set == {}
    assert beside.remedy.text == (words if values else "lower both")


def test_an_overdue_limit_is_not_put_back_to_a_figure() -> None:
    late = {"value": 200, "on": "2026-04-01", "until": "2026-05-01", "then": 207, "watched_by": "duty engineer"}
    result = audit(make_plant({"settings.high_limit": late}), all_rules())
    one = next(each for each in result.findings if each.rule == "temporary-change-overdue")
    assert one.remedy is not None and one.remedy.text == RESTORE_LIMIT
    assert "207" not in one.message and str((AS_OF - date(2026, 5, 1)).days) in one.message
