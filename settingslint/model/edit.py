"""Changing a profile's text with comments and layout kept."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from settingslint.model.profile import Profile
from settingslint.model.values import Value
from settingslint.units import Kind, rounded
from settingslint.vocabulary.settings import SETTINGS


def raw_value(value: Value, kind: Kind, profile: Profile) -> object:
    """Return an SI value as the profile writes it: in its units, whole where it is whole."""
    if isinstance(value, float) and kind is not Kind.FAN_SPEED:
        number = rounded(value, kind, profile.system)
        return int(number) if number == int(number) else number
    return value


def propose(profile: Profile, values: Mapping[str, Value], on: date) -> str:
    """Return the profile's text with settings asked for anew: not read back, dated, and marked as worked out."""
    import tomlkit

    document: Any = tomlkit.parse(profile.source.text)
    settings = document["settings"]
    for name, value in values.items():
        table = tomlkit.inline_table()
        table["value"] = raw_value(value, SETTINGS[name].kind, profile)
        table["on"] = on
        table["why"] = "worked out from the recorded facts; proposed, not yet set at the boiler"
        old = settings.get(name)
        comment = getattr(getattr(old, "trivia", None), "comment", "")
        settings[name] = table
        if comment:
            settings[name].comment(comment.lstrip("# "))
    return str(tomlkit.dumps(document))
