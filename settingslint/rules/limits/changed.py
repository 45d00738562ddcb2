"""Rules of the limits group about limits that somebody changed, and about lockouts that can be reset without end."""

from __future__ import annotations

from functools import partial
from typing import Final

from settingslint.model.effect import TOLERANCE, same
from settingslint.model.values import Value, title_of
from settingslint.rules.base import DANGER, LIKELY, RESTORE_LIMIT, DoesNotApply, Drafts, Missing, found
from settingslint.rules.entries import person_for
from settingslint.rules.limits.ratings import CAUTION
from settingslint.rules.past import Change, Left, open_at_visit
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.vocabulary.settings import LICENSED, LIMITS, OFF
from settingslint.vocabulary.sources import COMMON_PRACTICE

GUARDS_FROM_BELOW: Final = ("low_pressure_cutout",)


@rule(
    "more-lockout-tries-allowed",
    severity=DANGER,
    cautions=("firing", "limit", "mask"),
    source=COMMON_PRACTICE,
    trips="settings.ignition_trials = 4",
    passes="settings.ignition_trials = 3",
)
def more_lockout_tries_allowed(plant: Plant) -> Drafts:
    """More trials for ignition or more resets are allowed than the maker sets, or lockouts can be reset remotely.

    Repeated trials after a flame fault gather unburnt gas.
    """
    had = False
    for name in ("ignition_trials", "resets_per_hour", "remote_reset"):
        try:
            if name == "remote_reset":
                if plant.flag(name):
                    text = "switch it off: a lockout is reset at the boiler, once its cause is found"
                    yield found(name, "lockouts can be reset remotely", {}, text)
            elif plant.number(name) > _makers(plant, name) + TOLERANCE:
                yield found(name, f"{title_of(name)}: {plant.show(name)}, more than the maker sets", {}, RESTORE_LIMIT)
            had = True
        except Missing as lack:
            yield lack
        except DoesNotApply:
            continue
    if not had:
        raise DoesNotApply("the control has none of these")


def _makers(plant: Plant, name: str) -> float:
    default = plant.default_of(name)
    if default is None and name == "ignition_trials":
        default = plant.known("boiler.manufacturer_retries")
    if not isinstance(default, float):
        raise Missing(name, f"the maker's value of {title_of(name)} is not recorded")
    return default


def _widened(name: str, old: Value, new: Value) -> bool:
    """Return whether a limit lets more through than before."""
    if OFF in (old, new):
        return new == OFF
    if isinstance(old, float) and isinstance(new, float):
        return new < old if name in GUARDS_FROM_BELOW else new > old
    return new is True or new == "automatic"


@rule(
    "limit-not-put-back-after-test",
    severity=DANGER,
    certainty=LIKELY,
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    assumes="the limit was changed for the test",
    trips='visit.occasion = "limit test"',
    passes='visit.occasion = "routine"',
    history=("in which the limit was another", ""),
)
def limit_not_put_back_after_test(plant: Plant) -> Drafts:
    """A limit was changed for a test and not put back.

    Looks into the history: a visit for a limit test left the limit changed. It is cleared once the value from before,
    or the maker's, is set again.
    """
    states = _states(plant)
    for name in sorted(LIMITS):
        default = plant.default_of(name)
        try:
            occasion = ("visit.occasion", "limit test")
            change = open_at_visit(states, name, default, occasion, lambda _: True, partial(_restored, default))
        except Missing as lack:
            yield lack
            continue
        if change is not None:
            text = f"{title_of(name)} changed for a test {change.when}, not put back"
            yield found(name, text, {}, RESTORE_LIMIT)


def _states(plant: Plant) -> list[Left]:
    states = plant.states()
    if len(states) < 2:
        raise DoesNotApply("no earlier state")
    return states


def _restored(default: Value | None, change: Change, state: Left) -> bool:
    """Return whether a later state has the maker's value, whatever was there before."""
    return default is not None and same(state.held(change.name, default), default)


@rule(
    "limit-widened-after-fault",
    severity=DANGER,
    certainty=LIKELY,
    cautions=(*CAUTION, "firing", "mask"),
    source=COMMON_PRACTICE,
    assumes="it was changed because of the fault",
    trips='visit.kind = "fault"',
    passes='visit.fault_cause = "blocked filter, cleaned"',
    history=("in which the limit was lower", ""),
)
def limit_widened_after_fault(plant: Plant) -> Drafts:
    """A limit was widened or a firing setting changed on a fault visit, and no cause is recorded.

    Looks into the history and the kind of each visit. It is cleared once a cause is recorded, or the value from before,
    or the maker's, is set again.
    """
    states = _states(plant)
    for name in sorted(LICENSED):
        default = plant.default_of(name)
        try:
            change = open_at_visit(
                states, name, default, ("visit.kind", "fault"), _loosened, partial(_explained, default)
            )
        except Missing as lack:
            yield lack
            continue
        if change is not None:
            what = "widened" if name in LIMITS else "changed"
            yield found(
                name,
                f"{title_of(name)} {what} at a fault {change.when}, no cause recorded",
                {},
                f"find and record the cause; have a {person_for(name)} restore the maker's value",
            )


def _explained(default: Value | None, change: Change, state: Left) -> bool:
    return "visit.fault_cause" in state.facts or _restored(default, change, state)


def _loosened(change: Change) -> bool:
    """Return whether a limit lets more through, or anything else that only licensed people change is another.

    Not where the cause of the fault is recorded with it.
    """
    if "visit.fault_cause" in change.state.facts:
        return False
    return change.name not in LIMITS or _widened(change.name, change.old, change.new)


RULES: Final[tuple[Rule, ...]] = (
    more_lockout_tries_allowed,
    limit_not_put_back_after_test,
    limit_widened_after_fault,
)
