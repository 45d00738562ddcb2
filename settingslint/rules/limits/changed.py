"""Rules of the limits group about limits that somebody moved, and about lockouts that can be reset without end."""

from __future__ import annotations

import re
from typing import Final

from settingslint.model.effect import TOLERANCE, same
from settingslint.model.values import Value, title_of
from settingslint.rules.base import DANGER, LIKELY, RESTORE_LIMIT, DoesNotApply, Drafts, Missing, found
from settingslint.rules.limits.ratings import CAUTION
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.vocabulary.settings import FIRING, LIMITS, OFF
from settingslint.vocabulary.sources import COMMON_PRACTICE

GUARDS_FROM_BELOW: Final = ("low_pressure_cutout",)
FAULT: Final = re.compile(r"\b(fault|lock-?(ed )?out|trip|alarm|error)", re.IGNORECASE)
TEST: Final = re.compile(r"\btest", re.IGNORECASE)


@rule(
    "more-lockout-tries-allowed",
    severity=DANGER,
    cautions=("firing", "limit", "mask"),
    source=COMMON_PRACTICE,
    trips="settings.ignition_trials = 4",
    passes="settings.ignition_trials = 3",
)
def more_lockout_tries_allowed(plant: Plant) -> Drafts:
    """More trials for ignition or more resets are allowed than the maker sets, or lockouts can be reset from afar.

    Repeated tries of a flame fault gather unburnt gas.
    """
    had = False
    for name in ("ignition_trials", "resets_per_hour", "remote_reset"):
        try:
            if name == "remote_reset":
                if plant.flag(name):
                    text = "switch it off: somebody stands at the boiler who finds the cause"
                    yield found(name, "lockouts can be reset from afar", {}, text)
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
        raise Missing(name, f"the maker's figure of {title_of(name)} is not recorded")
    return default


def _moved(plant: Plant) -> list[tuple[str, Value, Value]]:
    """Return the limits and firing settings that differ from the state before: name, then and now."""
    before = plant.before().typed
    moved = []
    for name in sorted(LIMITS | FIRING):
        old, new = before.get(name), plant.typed(name)
        if old is not None and new is not None and not same(old, new):
            moved.append((name, old, new))
    return moved


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
    needs=("visit.why",),
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    assumes="the reason of the visit is the reason of the change",
    trips='visit.why = "test of the high limit"',
    passes='visit.why = "autumn service"',
    history=("in which the limit was another", ""),
)
def limit_not_put_back_after_test(plant: Plant) -> Drafts:
    """A limit was "tested" by changing its setting, and was not put back.

    Looks into the history: a limit differs from before, and the reason of the visit speaks of a test.
    """
    if not TEST.search(plant.word("visit.why")):
        return
    for name, _, _ in _moved(plant):
        if name in LIMITS:
            yield found(name, f"{title_of(name)} was changed on a visit for a test and not put back", {}, RESTORE_LIMIT)


@rule(
    "limit-widened-after-fault",
    severity=DANGER,
    certainty=LIKELY,
    cautions=(*CAUTION, "firing", "mask"),
    source=COMMON_PRACTICE,
    assumes="the reason of the visit is the reason of the change",
    trips='visit.why = "lockout in the night", visit.kind = "fault"',
    passes='visit.fault_cause = "blocked filter, cleaned"',
    history=("in which the limit was lower", ""),
)
def limit_widened_after_fault(plant: Plant) -> Drafts:
    """A limit was widened or a firing setting changed on the visit for a fault, and no cause is written down.

    Looks into the history, the reason and the kind of the visit.
    """
    if plant.known("visit.kind") != "fault" and not FAULT.search(plant.word("visit.why")):
        return
    if plant.known("visit.fault_cause") is not None:
        return
    for name, old, new in _moved(plant):
        if name not in LIMITS or _widened(name, old, new):
            what = "widened" if name in LIMITS else "changed"
            yield found(
                name,
                f"{title_of(name)} was {what} on a visit for a fault, and no cause of the fault is written down",
                {},
                f"find the cause and write it down; {RESTORE_LIMIT}",
            )


RULES: Final[tuple[Rule, ...]] = (
    more_lockout_tries_allowed,
    limit_not_put_back_after_test,
    limit_widened_after_fault,
)
