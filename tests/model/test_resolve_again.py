"""What is resolved again after a change, and what a plant keeps over it, is what resolving everything anew gives."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from settingslint.checking.audit import audit
from settingslint.checking.look import run
from settingslint.model.control_file import control_from
from settingslint.model.profile import profile_from
from settingslint.model.treatment import resolve, resolve_again
from settingslint.model.values import Value
from settingslint.rules import all_rules
from settingslint.rules.plant import Context, Plant
from tests.strategies import Data, plants, source_of

SLOW = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much]


@settings(max_examples=120, deadline=None, suppress_health_check=SLOW)
@given(plants(), plants(), st.data())
def test_resolved_again_is_resolved_anew(one: tuple[Data, Data], other: tuple[Data, Data], data: st.DataObject) -> None:
    control, profile = control_from(source_of(one[0])), profile_from(source_of(one[1]))
    entries = profile_from(source_of(other[1])).settings
    names = data.draw(st.lists(st.sampled_from(sorted(entries)), unique=True, max_size=4)) if entries else []
    changed = replace(profile, settings={**profile.settings, **{name: entries[name] for name in names}})
    before = resolve(control, profile)
    again = {**before, **resolve_again(control, changed, before, names)}
    assert again == resolve(control, changed) and list(again) == list(resolve(control, changed))


@settings(max_examples=25, deadline=None, suppress_health_check=SLOW)
@given(plants(), plants(), st.data())
def test_what_a_plant_keeps_over_a_change_is_what_a_new_plant_has(
    one: tuple[Data, Data], other: tuple[Data, Data], data: st.DataObject
) -> None:
    """Every rule says the same of a changed copy, after all rules have been asked, as of a plant made anew."""
    control, profile = control_from(source_of(one[0])), profile_from(source_of(one[1]))
    typed = {name: entry.typed for name, entry in profile_from(source_of(other[1])).settings.items()}
    known: dict[str, Value] = {name: value for name, value in typed.items() if value is not None}
    names = data.draw(st.lists(st.sampled_from(sorted(known)), unique=True, max_size=3)) if known else []
    plant = Plant(profile, control, Context(date(2026, 11, 25)))
    rules = [rule for rule in all_rules() if rule.scope == "plant"]
    audit(plant, rules)
    copy = plant.instead({name: known[name] for name in names})
    anew = Plant(copy.profile, control, plant.context)
    for rule in rules:
        here, there = run(rule, copy), run(rule, anew)
        assert here.drafts == there.drafts and here.applies == there.applies, rule.name
        assert [(one.name, one.why) for one in here.missing] == [(one.name, one.why) for one in there.missing]
        assert here.touched == there.touched, rule.name
