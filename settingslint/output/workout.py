"""What `work-out` prints: the values that follow from the facts, the working, and what the control makes of them."""

from __future__ import annotations

from collections.abc import Iterator

from settingslint.model.values import Value, title_of
from settingslint.output.plain import plain, wrapped
from settingslint.rules.plant import Plant
from settingslint.vocabulary.cautions import CAUTIONS, FRAME
from settingslint.vocabulary.settings import SETTINGS
from settingslint.workout import Workout


def workout_text(workout: Workout, before: Plant, width: int) -> str:
    """Return the steps as text."""
    return "\n".join(_lines(workout, before, width)) + "\n"


def _lines(workout: Workout, before: Plant, width: int) -> Iterator[str]:
    profile, after = before.profile, workout.plant
    yield f"{plain(profile.name)}, {plain(profile.site)}: worked out from the recorded facts"
    yield ""
    cautions: dict[str, None] = {}
    shown: dict[str, Value] = {}
    for step in workout.steps:
        if step.why_not:
            yield wrapped(f"{step.title}: not worked out: {step.why_not}", width, "")
            yield ""
            continue
        yield wrapped(f"{step.title}: {step.working}", width, "")
        for name, value in step.settings.items():
            now = before.effects.get(name)
            old = shown.get(name, now.typed if now is not None else None)
            text = before.show(name, old) if old is not None else "nothing recorded"
            effect = after.effects[name]
            shown[name] = value
            yield wrapped(f"{title_of(name)}: {text} -> {after.show(name, value)}", width, "    ")
            for reason in effect.reasons:
                yield wrapped(f"this control: {reason.text}", width, "    ")
            cautions[SETTINGS[name].caution] = None
        assumes = f"assumes {step.assumes}; " if step.assumes else ""
        yield wrapped(f"{assumes}source: {step.source}", width, "    ")
        yield ""
    if workout.remains:
        yield "What no temperature or time answers here:"
        for one in workout.remains:
            yield wrapped(f"{one.message} [{one.rule}]", width, "  ")
            yield wrapped(f"way out: {one.way_out}", width, "    ")
        yield ""
    if {"hygiene", "scald"} & set(cautions):
        cautions.update({"scald": None, "hygiene": None})
    for name in cautions:
        yield wrapped(f"caution: {CAUTIONS[name].short}", width, "")
    yield "Fan speeds, firing, gas and limits are never worked out: the maker's values, licensed persons."
    yield wrapped(FRAME, width, "", "")
