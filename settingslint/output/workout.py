"""What `calculate` prints: values calculated from the facts, the working, and what the control makes of them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from settingslint.model.values import title_of
from settingslint.output.plain import wrapped
from settingslint.plain import Plain, in_lines
from settingslint.rules.plant import Plant
from settingslint.vocabulary.cautions import CAUTIONS, FRAME
from settingslint.vocabulary.settings import SETTINGS
from settingslint.workout import Workout

FROM: Final = "calculated from the recorded facts"
ASSUMED: Final = "from usual values where a step says so"


def workout_text(workout: Workout, before: Plant, width: int) -> Plain:
    """Return the steps as text."""
    return in_lines(_lines(workout, before, width))


def _lines(workout: Workout, before: Plant, width: int) -> Iterator[str]:
    profile, after = before.profile, workout.plant
    rests = f", and {ASSUMED}" if any(step.usual for step in workout.steps) else ""
    yield wrapped(f"{profile.name}, {profile.site}: {FROM}{rests}", width, "")
    yield ""
    cautions: dict[str, None] = {}
    last = {name: step.title for step in workout.steps for name in step.settings}
    for step in workout.steps:
        if step.why_not:
            yield wrapped(f"{step.title}: not calculated: {step.why_not}", width, "")
            yield ""
            continue
        yield wrapped(f"{step.title}: {step.working}", width, "")
        for name, value in step.settings.items():
            cautions[SETTINGS[name].caution] = None
            if last[name] != step.title:
                yield wrapped(f"{title_of(name)}: continued below, with {last[name]}", width, "    ")
                continue
            now = before.effects.get(name)
            old = now.typed if now is not None else None
            effect = after.effects[name]
            new = after.show(name, value)
            was = before.show(name, old) if old is not None else "nothing recorded"
            yield wrapped(f"{title_of(name)}: {f'{was} -> {new}' if old != value else f'stays {new}'}", width, "    ")
            for reason in effect.reasons:
                yield wrapped(f"this control: {reason.text}", width, "    ")
        if step.usual:
            yield wrapped(f"not recorded, so it takes the usual value: {step.usual}", width, "    ")
        assumes = f"assumes {step.assumes}; " if step.assumes else ""
        yield wrapped(f"{assumes}source: {step.source}", width, "    ")
        yield ""
    if workout.remains:
        yield "No temperature or time answers this:"
        for one in workout.remains:
            yield wrapped(f"{one.message} [{one.rule}]", width, "  ")
            yield wrapped(f"fix: {one.fix}", width, "    ")
        yield ""
    if {"hygiene", "scald"} & set(cautions):
        cautions.update({"scald": None, "hygiene": None})
    for name in cautions:
        yield wrapped(f"caution: {CAUTIONS[name].short}", width, "")
    never = "Fan speeds, firing, gas and limits are never calculated: the maker's values, licensed persons."
    yield wrapped(never, width, "", "")
    yield wrapped(FRAME, width, "", "")
