"""What is kept of a control from one plant to the next: effects it had before, and which settings hang on which."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from settingslint.model.control import Control
from settingslint.model.effect import Effect
from settingslint.model.profile import Profile

Seen = dict[str, dict[tuple[object, ...], Effect]]


@dataclass(slots=True)
class Kept:
    """What is kept of one control: the control itself, so that no other gets its id, and what follows from it."""

    control: Control
    seen: dict[tuple[object, ...], Seen]
    dependents: dict[str, list[str]]
    """For each setting those whose needs or treatments name it."""


_KEPT: Final[dict[int, Kept]] = {}
MOST_CONTROLS: Final = 50
MOST_SEEN: Final = 2000
"""Effects of one setting that are remembered at most."""


def seen_by(control: Control, profile: Profile) -> Seen:
    """Return the effects that this control has had before in the same circumstances, by setting and inputs.

    Boilers with one control mostly have the same few values, so most effects of a large portfolio are known already.
    """
    fired = profile.first_fired if profile.first_fired in (None, False) else True
    return kept_of(control).seen.setdefault((profile.system, profile.size, fired, profile.since), {})


def kept_of(control: Control) -> Kept:
    kept = _KEPT.get(id(control))
    if kept is None:
        if len(_KEPT) >= MOST_CONTROLS:
            _KEPT.clear()
        dependents: dict[str, list[str]] = {}
        for row in control.rows.values():
            for other in (*(need.setting for need in row.needs), *(item.by for item in row.treatments or ())):
                if other is not None:
                    dependents.setdefault(other, []).append(row.name)
        kept = _KEPT[id(control)] = Kept(control, {}, dependents)
    return kept
