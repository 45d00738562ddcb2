"""No finding gives a figure to set for firing or a limit: its remedy never names one, whatever is recorded."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any, Final

import pytest

from settingslint.checking.audit import audit
from settingslint.model.values import NUMERIC, Value, kind_of
from settingslint.rules import all_rules, by_group
from settingslint.rules.base import DANGER, RESTORE_FIRING, RESTORE_LIMIT, Drafts, Finding, Remedy, Severity, found
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.units import System, from_si, show, to_si
from settingslint.vocabulary.settings import FIRING, LICENSED, LIMITS, SETTINGS
from tests.rules.examples import example_of
from tests.rules.kit import AS_OF, DEFAULTS, finding, make_plant
from tests.rules.tables import module_of_tests, topics

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


# what the control file states ----------------------------------------------------------------------------------------

FIGURE: Final = re.compile(r"(?<![\w.])\d[\d,]*(?:\.\d+)?")
GROUPS: Final = ("firing", "limits")
TOPICS: Final = [topic for topic in topics() if topic.partition(".")[0] in GROUPS]


def tripping() -> Iterator[tuple[Rule, Plant]]:
    """Yield every rule of the two groups with every plant that is known to trip it."""
    rules = {one.name: one for group in GROUPS for one in by_group()[group]}
    for one in rules.values():
        if any(one.history):  # a file alone does not trip it
            continue
        example = example_of(one, trips=True)
        yield one, make_plant(example.profile, control=example.control, style=example.style)
    for name, answer, changes, more in (case for topic in TOPICS for case in module_of_tests(topic).CASES):
        if answer == "found" and name in rules:
            yield rules[name], make_plant(changes, **more)


Named = tuple[str, Value | None]


def makers(plant: Plant) -> Iterator[Named]:
    """Yield what the control file states of firing and of limits: defaults, ranges, fan speeds and inputs of sizes."""
    for name, row in plant.control.rows.items():
        if name in FIRING or name in LIMITS:
            yield from ((name, one) for one in (row.default, row.low, row.high, *row.default_by_size.values()))
            yield from ((name, one.amount) for one in row.treatments or ())
    for size in plant.control.sizes.values():
        yield from (("maximum_fan_speed", one) for one in (size.fan_at_minimum, size.fan_at_maximum))
        yield from (("boiler.input_maximum", one) for one in (size.input_minimum, size.input_maximum))
    yield "ignition_trials", plant.profile.fact_value("boiler.manufacturer_retries")


def obeyed(plant: Plant, at: str) -> Iterator[Named]:
    """Yield what the profile records itself, and what the boiler obeys at the place of the finding."""
    for name, entry in plant.profile.settings.items():
        yield from ((name, one) for one in (entry.typed, entry.read_back, entry.then))
    yield from ((name, fact.value) for name, fact in plant.facts.items())
    effect = plant.effects.get(at)
    if effect is not None:
        yield at, effect.effective
        yield from ((at, one) for one in effect.band or ())


def si(values: Iterator[Named]) -> set[float]:
    """Return the numbers among values, SI."""
    return {round(value, 6) for _, value in values if isinstance(value, float)}


def printed(values: Iterator[Named]) -> set[float]:
    """Return the numbers among values as both unit systems print them: whole and to three decimals."""
    systems: tuple[System, System] = ("us", "metric")
    shown = [
        from_si(value, kind_of(name), system)
        for name, value in values
        if isinstance(value, float)
        for system in systems
    ]
    return {round(one, digits) for one in shown for digits in range(4)}


def told(one: Finding) -> list[float]:
    """Return every number in a finding's texts."""
    texts = [one.message, one.remedy.text if one.remedy else ""]
    return [float(number.replace(",", "")) for text in texts for number in FIGURE.findall(text)]


def test_no_rule_of_firing_or_limits_gives_a_figure() -> None:
    looked = set()
    for one, plant in tripping():
        findings = audit(plant, [one]).findings
        assert findings, one.name
        for each in findings:
            assert not (printed(makers(plant)) - printed(obeyed(plant, each.at))) & set(told(each)), each
            numbers = {round(number.value, 6) for number in each.numbers.values()}
            assert not (si(makers(plant)) - si(obeyed(plant, each.at))) & numbers, each
            assert each.remedy is not None
            assert not LICENSED & set(each.remedy.set), each
            looked.add(one.name)
    assert looked == {one.name for group in GROUPS for one in by_group()[group]}


def test_no_remedy_of_firing_sets_anything() -> None:
    for name, answer, changes, more in (
        case for topic in ("firing.range", "firing.site") for case in module_of_tests(topic).CASES
    ):
        if answer == "found":
            remedy = finding(name, changes, **more).remedy
            assert remedy is not None
            assert remedy.set == {}, name


def test_a_limit_or_a_firing_setting_never_gets_a_figure() -> None:
    """Every finding of the limits group, whichever case of its tables trips it."""
    looked_at = set()
    for topic in (topic for topic in TOPICS if topic.startswith("limits.")):
        for _, answer, changes, more in module_of_tests(topic).CASES:
            if answer != "found":
                continue
            for one in audit(make_plant(changes, **more), by_group()["limits"]).findings:
                assert one.remedy is not None
                assert not LICENSED & set(one.remedy.set)
                if one.at in LICENSED:
                    looked_at.add(one.rule)
                    assert one.remedy.set == {}
                    assert not re.search(r"\d", one.remedy.text)
                    assert "recommend" not in one.message
    assert len(looked_at) == 11


def test_a_figure_would_be_noticed() -> None:
    @rule("chatty", severity=Severity.DANGER, cautions=("firing",), source="a rule for tests")
    def chatty(plant: Plant) -> Iterator[Any]:
        """It gives the maker's figure."""
        yield found(
            "maximum_fan_speed", f"put it back to {plant.show('maximum_fan_speed', 6100.0)}", {}, "by the maker"
        )

    plant = make_plant({"settings.maximum_fan_speed": 6000})
    one = audit(plant, [chatty]).findings[0]
    assert (printed(makers(plant)) - printed(obeyed(plant, one.at))) & set(told(one)) == {6100.0}
