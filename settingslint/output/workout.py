"""What `work-out` prints: the values that follow from the facts, the working, and what the control makes of them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from settingslint.model.values import title_of
from settingslint.output.plain import plain, wrapped
from settingslint.rules.plant import Plant
from settingslint.vocabulary.cautions import CAUTIONS, FRAME
from settingslint.vocabulary.settings import SETTINGS
from settingslint.workout import Step


def workout_text(steps: Sequence[Step], before: Plant, after: Plant, width: int) -> str:
    """Return the steps as text."""
    return "\n".join(_lines(steps, before, after, width)) + "\n"


def _lines(steps: Sequence[Step], before: Plant, after: Plant, width: int) -> Iterator[str]:
    profile = before.profile
    yield f"{plain(profile.name)}, {plain(profile.site)}: worked out from the recorded facts"
    yield ""
    cautions: dict[str, None] = {}
    for step in steps:
        if step.why_not:
            yield wrapped(f"{step.title}: not worked out: {step.why_not}", width, "")
            yield ""
            continue
        yield wrapped(f"{step.title}: {step.working}", width, "")
        for name in step.settings:
            now = before.effects.get(name)
            old = before.show(name, now.typed) if now is not None and now.typed is not None else "nothing recorded"
            effect = after.effects[name]
            yield wrapped(f"{title_of(name)}: {old} -> {after.show(name, effect.typed)}", width, "    ")
            for reason in effect.reasons:
                yield wrapped(f"this control: {reason.text}", width, "    ")
            cautions[SETTINGS[name].caution] = None
        yield wrapped(f"assumes {step.assumes}; source: {step.source}", width, "    ")
        yield ""
    if {"hygiene", "scald"} & set(cautions):
        cautions.update({"scald": None, "hygiene": None})
    for name in cautions:
        yield wrapped(f"caution: {CAUTIONS[name].short}", width, "")
    yield "Fan speeds, firing, gas and limits are never worked out: the maker's values, licensed persons."
    yield wrapped(FRAME, width, "", "")
