"""What a change obliges to: cautions by class, proofs that are there or missing, what to watch, how to undo it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from settingslint.history.changes import FactChange, SettingChange
from settingslint.model.effect import same
from settingslint.model.values import title_of
from settingslint.rules.base import Finding, restored
from settingslint.rules.entries import licensed, told_on, visit_day
from settingslint.rules.plant import Plant
from settingslint.vocabulary.cautions import ACTORS, CAUTIONS, HARM, HEATING, RESTRICTED
from settingslint.vocabulary.settings import FIRING, SETTINGS

LONG: Final = frozenset({*HARM, "cascade", "remote"})
"""Classes whose worst outcome is danger or damage: their caution stands in full length in a note."""
HOT_WATER: Final = frozenset({"scald", "hygiene"})
ENDS: Final = ("high", "low")
MISSING: Final = "missing"
TAP: Final = "hot_water.outlet_measured"
ON_SHEET: Final = "write it on the visit sheet"
WATCH: Final = {
    "heating": "the coldest rooms, through two days of similar weather",
    "hot-water": "how long people wait for hot water, for a week",
    "scald": "the nearest and the farthest tap, now and after the next full heat-up",
    "hygiene": "tank and loop return, with the person responsible for water safety",
    "freeze": "that freeze protection starts, before the first frost",
    "limit": "trips and lockouts, for a week: at a new one stop and find the cause",
    "firing": "flame and lockouts, by a licensed gas technician, until combustion is proved",
    "pump": "flow through the boiler at every kind of call, and noise",
    "cascade": "which boiler leads and whether the others follow, through a cold morning",
    "electric": "that every call starts what it should",
    "remote": "that nobody else writes these settings",
}


@dataclass(frozen=True, slots=True)
class Proof:
    """One proof that a change asks for; `state` is present, same day, missing or not readable."""

    kind: str
    of: str
    state: str
    detail: str = ""

    @property
    def what(self) -> str:
        """The kind of proof and of what."""
        return f"{self.kind}: {self.of}"


def classes_of(change: SettingChange, new: Plant | None) -> list[str]:
    """Return the caution classes of one changed setting, the setting's own class first."""
    row = SETTINGS[change.name]
    found = [row.caution]
    if change.name in FIRING:
        found.append("combustion")
    if row.caution in HOT_WATER:
        before, after = change.effective
        if isinstance(before, float) and isinstance(after, float) and not same(before, after):
            found.append("scald" if after > before else "hygiene")
    if change.new is not None and change.new.until is not None:
        found.append("temporary")
    if new is not None and new.profile.fact_value("visit.kind") == "fault":
        found.append("mask")
    return list(dict.fromkeys(found))


def cautions_of(
    changes: Sequence[SettingChange], facts: Sequence[FactChange], raised: Sequence[str], new: Plant | None
) -> list[str]:
    """Return the caution classes of a note in the order of the vocabulary.

    Args:
        changes: the changed settings.
        facts: the changed facts.
        raised: caution classes of the findings that are new.
        new: the plant afterwards.
    """
    found = {name for change in changes for name in classes_of(change, new)} | set(raised)
    if any(change.name in ("plant.control", "plant.size", "plant.revision", "plant.serial") for change in facts):
        found.add("board")
    return [name for name in CAUTIONS if name in found]


def proofs_of(changes: Sequence[SettingChange], new: Plant, since: date, visited: bool) -> Iterator[Proof]:
    """Yield the proofs that the changes ask for.

    Args:
        changes: the changed settings.
        new: the plant afterwards.
        since: the day of the change; a proof must be newer.
        visited: whether the visit that the profile records belongs to the change.
    """
    classes = {name for change in changes for name in classes_of(change, new)}
    if "firing" in classes:
        for end in ENDS:
            on = new.profile.fact_value(f"combustion.{end}.on")
            yield _dated("combustion after the change", f"{end} fire", on, since)
    for change in changes:
        if change.new is not None and change.new.typed is not None:
            yield _read_back(change, new, visited)
    if classes & HOT_WATER:
        valve = new.profile.fact_value("hot_water.mixing_valve_tested")
        yield _dated("test", "mixing valve", valve, since)
        tap = told_on(new, TAP) if TAP in new.profile.facts else None
        yield _dated("measured", "temperature at the tap", tap, since)
    if "limit" in classes:
        yield Proof("test", "limits", MISSING, ON_SHEET)
    if "freeze" in classes:
        yield Proof("test", "freeze protection", MISSING, ON_SHEET)


def actors_of(changes: Sequence[SettingChange], new: Plant | None) -> dict[str, list[str]]:
    """Return the changed settings by who must act on them, the most restricted first."""
    found: dict[str, list[str]] = {}
    for actor in RESTRICTED:
        for change in changes:
            asked = {ACTORS.get(name, HEATING) for name in classes_of(change, new)}
            if actor in asked and (actor != HEATING or asked == {HEATING}):
                found.setdefault(actor, []).append(change.name)
    return found


def _dated(kind: str, of: str, on: object, since: date) -> Proof:
    if not isinstance(on, date):
        return Proof(kind, of, MISSING, "none recorded")
    if on > since:
        return Proof(kind, of, "present", f"{on}")
    if on == since:
        return Proof(kind, of, "same day", f"{on}: before or after the change?")
    return Proof(kind, of, MISSING, f"last on {on}")


def _read_back(change: SettingChange, new: Plant, visited: bool) -> Proof:
    entry, effect, row = change.new, change.new_effect, new.row(change.name)
    what = "read back", title_of(change.name)
    assert entry is not None
    if entry.read_back is not None:
        if effect is not None and effect.contradicted:
            shown = new.show(change.name, entry.read_back)
            return Proof(*what, "present", f"reads {shown}; the control file does not explain it")
        expected = effect.stored if effect is not None and effect.stored is not None else entry.typed
        if same(entry.read_back, expected):
            return Proof(*what, "present", new.show(change.name, entry.read_back))
        shown = new.show(change.name, entry.read_back)
        return Proof(*what, "present", f"reads {shown}, expected {new.show(change.name, expected)}")
    if row is not None and row.read_back == "not readable":
        return Proof(*what, "not readable", "this control does not show it")
    if (
        visited
        and new.profile.fact_value("visit.read_back") is True
        and told_on(new, "visit.read_back") == visit_day(new)
    ):
        return Proof(*what, "present", "the visit says so of all settings")
    return Proof(*what, MISSING)


def watch_of(changes: Sequence[SettingChange], new: Plant | None) -> list[str]:
    """Return what to watch, and by whom and until when where that is recorded."""
    lines = []
    for change in changes:
        entry = change.new
        if entry is not None and entry.until is not None and new is not None:
            named = entry.then is not None and not licensed(change.name)
            back = f", then back to {new.show(change.name, entry.then)}" if named else ""
            who = entry.watched_by or "not recorded"
            lines.append(f"{title_of(change.name)} is temporary until {entry.until}{back}; watched by: {who}")
    classes = {name for change in changes for name in classes_of(change, new)}
    return lines + [text for name, text in WATCH.items() if name in classes]


def undo_of(
    changes: Sequence[SettingChange], cleared: Sequence[Finding], old: Plant | None, new: Plant | None
) -> list[tuple[str, str]]:
    """Return for each setting that was set anew what to put back, in the control's entry order.

    Args:
        changes: the changed settings.
        cleared: the findings that are gone: they come back with what was there before.
        old: the plant before.
        new: the plant afterwards.
    """
    if old is None or new is None:
        return []
    order = {row.name: place for place, row in enumerate(new.control.ordered())}
    lines = []
    for change in sorted(changes, key=lambda one: order.get(one.name, len(order))):
        before = change.old
        if asked_alike(change):
            text = "nothing to type: it follows the others"
        elif licensed(change.name):
            text = restored(change.name)
        elif before is None:
            text = "not recorded before: not known what it was"
        elif before.typed is not None:
            text = new.show(change.name, before.typed)
        else:
            text = f"{before.left}, as before"
        back = [f"{one.severity.value}: {one.rule}" for one in cleared if one.at == change.name]
        if back and not asked_alike(change):
            text += f"; brings back {', '.join(back)}"
        lines.append((change.name, text))
    return lines


def asked_alike(change: SettingChange) -> bool:
    """Return whether it was set to the same before and after, so that only the effect changed."""
    before, after = change.old, change.new
    if before is None or after is None:
        return before is after
    kept = (before.left, before.until) == (after.left, after.until)
    return kept and same(before.typed, after.typed) and same(before.then, after.then)
