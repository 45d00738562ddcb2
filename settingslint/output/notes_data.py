"""`notes --form json`: everything, with values in the units of each profile."""

from __future__ import annotations

from collections.abc import Sequence

from settingslint import __version__
from settingslint.history.notes import Note, Notes, Row
from settingslint.model.values import Value
from settingslint.output import Look
from settingslint.output.data import Json, finding_data, value_of, weakening_data
from settingslint.output.note_view import unit_of
from settingslint.output.plain import json_text
from settingslint.plain import Plain
from settingslint.rules.entries import licensed
from settingslint.rules.plant import Plant
from settingslint.vocabulary.cautions import CAUTIONS, FRAME


def render(notes: Notes, look: Look) -> Plain:
    """Return the notes as JSON text."""
    return json_text(notes_data(notes))


def notes_data(notes: Notes) -> Json:
    """Return the notes as JSON holds them."""
    return {
        "format": 1,
        "tool": {"name": "settingslint", "version": __version__},
        "from": notes.old,
        "to": notes.new,
        "frame": FRAME,
        "weakened": [weakening_data(one) for one in notes.weakened],
        "remarks": list(notes.remarks),
        "notes": [_note(note) for note in notes.notes],
        "problems": [
            {"file": one.file, "line": one.line, "column": one.column, "message": one.message} for one in notes.problems
        ],
    }


def _note(note: Note) -> Json:
    plant, profile = note.plant, note.plant.profile
    system = plant.system
    visit = {name: fact.value for name, fact in profile.facts.items() if name.startswith("visit.")}
    return {
        "profile": note.path,
        "moved_from": note.moved_from,
        "plant": profile.name,
        "site": profile.site,
        "serial": profile.serial,
        "control": profile.control,
        "state": "new" if note.old is None else "gone" if note.new is None else "changed",
        "units": system,
        "commits": [
            {
                "id": touch.commit.id,
                "by": touch.commit.author,
                "on": touch.commit.on.isoformat(),
                "why": touch.why,
                "through": touch.through,
            }
            for touch in note.touches
        ],
        "visit": {name.removeprefix("visit."): value_of(value, name, system) for name, value in visit.items()}
        if note.visited
        else None,
        "house": list(note.house),
        "changes": [_change(row, plant) for row in note.rows],
        "passing": [
            {
                "setting": one.name,
                "values": [value_of(value, one.name, system) for value in one.values],
                "commits": [commit.id for commit in one.commits],
            }
            for one in note.passing
        ],
        "facts": [
            {"fact": one.name, "old": _fact(one.old, one.name, plant), "new": _fact(one.new, one.name, plant)}
            for one in note.differences.facts
        ],
        "record": [
            {"of": one.name, "key": one.key, "old": _known(one.old, one.name, one.key, plant),
             "new": _known(one.new, one.name, one.key, plant)}
            for one in note.differences.record
        ],
        "raised": [finding_data(one, system) for one in note.raised],
        "cleared": [finding_data(one, system) for one in note.cleared],
        "unchanged": [{"rule": one.rule, "setting": one.at, "severity": one.severity.value} for one in note.unchanged],
        "not_checked": note.not_checked,
        "assumed": note.assumed,
        "cautions": _cautions(note.cautions, long=True),
        "act": {actor: list(names) for actor, names in note.actors.items()},
        "proofs": [{"what": one.what, "state": one.state, "detail": one.detail} for one in note.proofs],
        "watch": list(note.watch),
        "undo": [
            {"setting": name, "text": text, "value": value_of(_before(note, name), name, system)}
            for name, text in note.undo
        ],
    }  # fmt: skip


def _change(row: Row, plant: Plant) -> Json:
    change, system = row.change, plant.system
    control = plant.row(change.name)
    old, new = change.effective
    effect = change.new_effect
    return {
        "setting": change.name,
        "old": value_of(change.typed[0], change.name, system),
        "new": value_of(change.typed[1], change.name, system),
        "old_left": change.old.left if change.old else None,
        "new_left": change.new.left if change.new else None,
        "found": value_of(row.found, change.name, system),
        "touched": row.touched,
        "read_back": value_of(change.new.read_back, change.name, system) if change.new else None,
        "old_effective": value_of(old, change.name, system),
        "new_effective": value_of(new, change.name, system),
        "state": effect.state if effect else "not recorded",
        "unit": unit_of(change.name, plant, control.unit if control else None).strip("-"),
        "until": change.new.until.isoformat() if change.new and change.new.until else None,
        "meaning": row.meaning,
        "cautions": _cautions(row.cautions),
    }


def _cautions(names: Sequence[str], long: bool = False) -> list[Json]:
    return [{"class": name, "text": CAUTIONS[name].long if long else CAUTIONS[name].short} for name in names]


def _fact(value: Value | None, name: str, plant: Plant) -> object:
    return str(value) if name.startswith("plant.") and value is not None else value_of(value, name, plant.system)


def _known(value: Value | None, name: str, key: str, plant: Plant) -> object:
    if key == "read_back":
        return value_of(value, name, plant.system)
    return None if value is None else str(value)


def _before(note: Note, name: str) -> Value | None:
    if licensed(name):  # no figure is given for these
        return None
    return next(row.change.typed[0] for row in note.rows if row.change.name == name)
