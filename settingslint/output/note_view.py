"""A change note as the forms print it: headed lists of plain sentences, and one table of settings."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from settingslint.checking.weakening import WEAKENED
from settingslint.history.notes import Note, Notes, Row
from settingslint.model.profile import Entry
from settingslint.model.values import Value, show_value, title_of
from settingslint.output import note_said as said
from settingslint.output.plain import plural
from settingslint.rules.base import Severity
from settingslint.rules.plant import Plant
from settingslint.units import Kind
from settingslint.vocabulary.settings import SETTINGS

HEAD: Final = ("setting", "was", "found", "set to", "reads back", "runs at", "unit")
"""Columns of the table; one in which no line has anything is left out."""
NOTHING: Final = "-"
FEWER: Final = 3
"""Lines of findings where room is short."""
SIGNED: Final = (
    "set by (name, licence, date)", "second person, for danger and damage (name, date)",
    "owner informed (name, how, when)", "arrived, left, outdoor temperature, photographs",
)  # fmt: skip
"""What people fill in by hand; a profile has no place for it."""


@dataclass(frozen=True, slots=True)
class Line:
    """One row of the table: the setting's title, and its cells after the title."""

    title: str
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Section:
    """A heading with its sentences; `strong` where a person may get hurt or the plant damaged."""

    title: str
    items: tuple[str, ...]
    strong: bool = False
    brief: tuple[str, ...] = ()
    """What stands for the sentences where room is short; the rest is one step away."""
    small: bool = False
    """Long texts that may be set close; on paper they are never shortened."""
    needless: bool = False
    """Left out where room is short: the headline counts it, or there is nothing to count."""


@dataclass(frozen=True, slots=True)
class View:
    """One note: all text, in the order in which it is to be read."""

    title: str
    headline: str
    about: tuple[tuple[str, str], ...]
    head: tuple[str, ...]
    table: tuple[Line, ...]
    sections: tuple[Section, ...]
    signed: bool


def shortened(view: View) -> View:
    """Return a note that says less besides; what the change does, cautions and what is unproved stay as they are."""
    return replace(
        view,
        sections=tuple(
            replace(one, items=one.items if one.small else one.brief or one.items)
            for one in view.sections
            if not one.needless
        ),
    )


def views(notes: Notes) -> list[View]:
    """Return all notes as they are printed."""
    return [_view(note) for note in notes.notes]


def span(notes: Notes) -> str:
    """Return what was compared with what."""
    return f"from {notes.old} to {notes.new}"


def weakened(notes: Notes) -> list[str]:
    """Return what the later state lets pass, one line for each; it stands first in every form."""
    return [f"{WEAKENED}: {one.said}" for one in notes.weakened]


def summary(notes: Notes) -> str:
    """Return the counts of all notes."""
    unread = f" Nothing is told of {plural(len(notes.problems), 'unreadable place')}." if notes.problems else ""
    if not notes.notes:
        return f"No change of any {'other ' if unread else ''}plant {span(notes)}.{unread}"
    settings = sum(len(note.rows) for note in notes.notes)
    return f"{plural(len(notes.notes), 'plant')}, {plural(settings, 'changed setting')}, {span(notes)}.{unread}"


def _view(note: Note) -> View:
    profile = note.plant.profile
    sections = (
        Section("What it does to the house", tuple(said.in_house(note))),
        Section("Runs as before", tuple(said.run_as_before(note))),
        Section("Changed and put back", tuple(said.passing(note))),
        Section(
            "New findings", tuple(said.findings(note, note.raised)), strong=True,
            brief=tuple(said.findings(note, note.raised, FEWER)),
        ),
        Section(
            "Findings cleared", tuple(said.findings(note, note.cleared)),
            brief=tuple(said.findings(note, note.cleared, FEWER)),
        ),
        Section("Still open", tuple(said.still_open(note)), needless=True),
        Section("Besides", tuple(said.besides(note)), brief=(said.besides_briefly(note),),
                needless=not note.not_checked),
        Section("Recorded too", (*said.facts(note), *said.recorded(note)), brief=(said.recorded_briefly(note),)),
        Section(
            "Cautions", tuple(said.cautions(note)), strong=True, brief=tuple(said.cautions(note, False)), small=True
        ),
        Section("Who must act", tuple(said.actors(note)), brief=tuple(said.actors(note, 0))),
        Section("Unproved", tuple(said.unproved(note)), strong=True),
        Section("Proved", tuple(said.proved(note)), brief=(said.proved_briefly(note),)),
        Section("To watch", tuple(said.watched(note))),
        Section("To undo", tuple(said.undo(note)), brief=("; ".join(said.undo(note, 0)),)),
    )  # fmt: skip
    table = [_line(row, note) for row in said.listed(note)]
    kept = [0, *(place for place in range(1, len(HEAD) - 1) if any(line.cells[place - 1] != NOTHING for line in table)),
            len(HEAD) - 1]  # fmt: skip
    return View(
        title=f"{profile.name}, {profile.site}",
        headline=_headline(note),
        about=tuple(said.about(note)),
        head=tuple(HEAD[place] for place in kept),
        table=tuple(Line(line.title, tuple(line.cells[place - 1] for place in kept[1:])) for line in table),
        sections=tuple(section for section in sections if section.items),
        signed=note.old is not None and note.new is not None and bool(note.rows),
    )


def _headline(note: Note) -> str:
    if note.new is None:
        return "The plant is gone from the record."
    count = len(note.rows)
    if note.old is None:
        return f"First record: {plural(count, 'setting')}, {plural(len(note.differences.facts), 'fact')}."
    parts = [f"{plural(count, 'setting')} changed"] if count else ["no setting changed"]
    if note.raised:
        parts.append(f"new: {said.counts(said.heads_of(note, note.raised))}")
    if note.cleared:
        parts.append(f"cleared: {said.counts(said.heads_of(note, note.cleared))}")
    if grave := [one for one in note.unchanged if one.severity.at_least(Severity.DAMAGE) and not one.asks]:
        parts.append(f"still open: {said.counts(said.heads_of(note, grave))}")
    lacking = sum(1 for _ in said.unproved(note))
    if lacking:
        parts.append(f"unproved: {lacking}")
    return ("; ".join(parts) + ".").capitalize()


def _line(row: Row, note: Note) -> Line:
    change, plant = row.change, note.plant
    control = plant.row(change.name)
    unit = control.unit if control is not None else None
    new, effect = change.new, change.new_effect
    effective = effect.effective if effect is not None else None
    cells = [
        _was(plant, row),
        _bare(plant, change.name, row.found) if row.found is not None else NOTHING,
        _asked(plant, change.name, new) if row.touched else NOTHING,
        _bare(plant, change.name, new.read_back) if new is not None and new.read_back is not None else NOTHING,
        _bare(plant, change.name, effective)
        if effective is not None
        else (effect.state if effect is not None else "not recorded"),
        unit_of(change.name, plant, unit),
    ]
    return Line(title_of(change.name), tuple(cells))


def unit_of(name: str, plant: Plant, unit: str | None = None) -> str:
    """Return the unit in which a note speaks of a setting; empty for words."""
    kind = SETTINGS[name].kind
    shown = show_value(1.0, kind, plant.system, unit).partition(" ")[2] if kind not in _WORDS else ""
    return shown or NOTHING


_WORDS: Final = (Kind.FLAG, Kind.WORD, Kind.TEXT, Kind.DATE)


def _bare(plant: Plant, name: str, value: Value) -> str:
    """Return a value without its unit, which has a column of its own."""
    shown = plant.show(name, value)
    return shown.partition(" ")[0] if isinstance(value, float | int) and not isinstance(value, bool) else shown


def _asked(plant: Plant, name: str, entry: Entry | None) -> str:
    if entry is None:
        return "not recorded"
    if entry.typed is not None:
        return _bare(plant, name, entry.typed)
    return entry.left or NOTHING


def _was(plant: Plant, row: Row) -> str:
    """Return what it was set to, and what it ran at where that was another thing."""
    change = row.change
    asked = _asked(plant, change.name, change.old)
    obeyed = change.effective[0]
    ran = _bare(plant, change.name, obeyed) if obeyed is not None else asked
    return asked if change.old is None or ran == asked else f"{asked}, ran at {ran}"
