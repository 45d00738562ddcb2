"""A change note as the forms print it: headed lists of plain sentences, and one table of settings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from settingslint.checking.weakening import WEAKENED
from settingslint.history.changes import FactChange, RecordChange
from settingslint.history.duty import LONG
from settingslint.history.notes import Note, Notes, Row
from settingslint.history.past import REASON, STEP
from settingslint.history.walk import OWN
from settingslint.model.effect import NOT_RECORDED
from settingslint.model.profile import Entry
from settingslint.model.values import Value, kind_of, show_value, title_of
from settingslint.output.plain import plural
from settingslint.rules.base import Finding
from settingslint.rules.past import AS_FOUND, AS_LEFT
from settingslint.rules.plant import Plant
from settingslint.units import Kind
from settingslint.vocabulary.cautions import CAUTIONS
from settingslint.vocabulary.settings import SETTINGS

HEAD: Final = ("setting", "was", "as found", "asked for", "read back", "effective", "unit")
NOTHING: Final = "-"
SIGNED: Final = (
    "set by (name, licence, date)", "second person, for danger and damage (name, date)",
    "owner's hand informed (name, how, when)", "arrived, left, outdoor temperature", "photographs, printouts",
)  # fmt: skip
"""What people fill in by hand; a profile has no place for it."""
RECORD_WORDS: Final = {
    "read_back": "read back", "why": "reason", "by": "changed by", "on": "date", "watched_by": "watched by",
    "source": "comes from",
}  # fmt: skip
NEVER_PROVED: Final = "missing"


@dataclass(frozen=True, slots=True)
class Line:
    """One row of the table: the setting's title, where the control has it, and its cells after the title."""

    title: str
    place: str
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Section:
    """A heading with its sentences; `strong` where a person may get hurt or the plant damaged."""

    title: str
    items: tuple[str, ...]
    strong: bool = False


@dataclass(frozen=True, slots=True)
class View:
    """One note: all text, in the order in which it is to be read."""

    title: str
    headline: str
    about: tuple[tuple[str, str], ...]
    table: tuple[Line, ...]
    sections: tuple[Section, ...]
    signed: bool


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
        Section("What it does to the house", tuple(_meanings(note))),
        Section("Changed and put back between", tuple(_passing(note))),
        Section("Facts that changed", tuple(_facts(note))),
        Section("Recorded besides", tuple(_record(note))),
        Section("Findings raised", tuple(_finding(one) for one in note.raised), strong=True),
        Section("Findings cleared", tuple(_finding(one) for one in note.cleared)),
        Section("Findings unchanged", tuple(_unchanged(note))),
        Section("Not checked", tuple(_not_checked(note))),
        Section("Cautions", tuple(_cautions(note)), strong=True),
        Section("Who must act", tuple(_actors(note.actors))),
        Section("Proofs", tuple(_proofs(note))),
        Section("To watch", note.watch),
        Section("To undo", tuple(f"{title_of(name)}: {text}" for name, text in note.undo)),
    )
    return View(
        title=f"{profile.name}, {profile.site}",
        headline=_headline(note),
        about=tuple(_about(note)),
        table=tuple(_line(row, note) for row in _listed(note)),
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
    lacking = sum(proof.state == NEVER_PROVED for proof in note.proofs)
    if lacking:
        parts.append(f"{plural(lacking, 'proof')} missing")
    if note.raised:
        parts.append(f"{plural(len(note.raised), 'finding')} raised")
    if note.cleared:
        parts.append(f"{len(note.cleared)} cleared")
    return (", ".join(parts) + ".").capitalize()


def _about(note: Note) -> Iterator[tuple[str, str]]:
    plant = note.plant
    profile = plant.profile
    yield "serial", profile.serial or "not recorded"
    yield "control", profile.control if profile.revision is None else f"{profile.control}, revision {profile.revision}"
    yield "profile", note.path + (f" (before: {note.moved_from})" if note.moved_from else "")
    for touch in note.touches:
        commit = touch.commit
        step = commit.trailers.get(STEP)
        more = (f", {step}" if step in (AS_FOUND, AS_LEFT) else "") + f": {touch.why}"
        more += "" if touch.through == OWN else f"; through {touch.through}"
        yield "commit", f"{commit.short}, {commit.on}, {commit.author}{more}"
    if not note.touches:
        yield "commit", "not committed yet"
    yield "visit", _visit(note)
    why = profile.fact_value("visit.why") if note.visited else None
    if why is not None:
        yield "why", str(why)
    temporary = [
        row.change.name for row in note.rows if row.change.new is not None and row.change.new.until is not None
    ]
    if note.rows and note.old is not None and note.new is not None:
        titles = ", ".join(title_of(name) for name in temporary)
        yield "kind", f"temporary: {titles}" if temporary else "permanent: no end is recorded"


def _visit(note: Note) -> str:
    if not note.visited:
        return "none recorded with this change"
    profile = note.plant.profile
    parts = [str(profile.fact_value("visit.on") or "date not recorded")]
    parts += [str(value) for key in ("by", "role") if (value := profile.fact_value(f"visit.{key}")) is not None]
    kind, order = profile.fact_value("visit.kind"), profile.fact_value("visit.work_order")
    parts += [f"for {kind}"] if kind else []
    parts += [f"work order {order}"] if order else []
    return ", ".join(parts)


def _listed(note: Note) -> Iterable[Row]:
    """Return the rows of the table: of a first record only what the control does not do as it was asked for."""
    if note.new is None:
        return ()
    if note.old is None:
        effects = [(row, row.change.new_effect) for row in note.rows]
        return [row for row, one in effects if one is not None and (one.changed or one.contradicted or not one.known)]
    return note.rows


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
    title = title_of(change.name)
    where = (control.label, control.menu) if control is not None else ()
    return Line(title, ", ".join(part for part in where if part and part != title), tuple(cells))


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
    """Return what was asked for before, and what the boiler obeyed where that was another thing."""
    change = row.change
    asked = _asked(plant, change.name, change.old)
    obeyed = change.effective[0]
    ran = _bare(plant, change.name, obeyed) if obeyed is not None else asked
    return asked if change.old is None or ran == asked else f"{asked}, ran at {ran}"


def _meanings(note: Note) -> Iterator[str]:
    if note.new is None or note.old is None:
        for row in _listed(note):
            effect = row.change.new_effect
            if effect is not None and effect.reasons:
                yield f"{title_of(row.change.name)}: {effect.reasons[-1].text}"
        return
    for row in note.rows:
        if row.meaning:
            yield f"{title_of(row.change.name)}: {row.meaning}"


def _passing(note: Note) -> Iterator[str]:
    for one in note.passing:
        way = " to ".join(note.plant.show(one.name, value) if value is not None else "-" for value in one.values)
        who = ", ".join(dict.fromkeys(f"{commit.author} ({commit.short})" for commit in one.commits))
        yield f"{title_of(one.name)}: {way}; {who}"


def _fact_title(name: str) -> str:
    if name.startswith("plant."):
        return name.removeprefix("plant.").replace("_", " ")
    head, bracket, rest = name.partition("[")
    return f"{head} {int(rest.partition(']')[0]) + 1}: {title_of(name)}" if bracket else title_of(name)


def _fact_value(plant: Plant, name: str, value: Value | None) -> str:
    if value is None:
        return "not recorded"
    return show_value(value, Kind.TEXT if name.startswith("plant.") else kind_of(name), plant.system)


def _facts(note: Note) -> Iterator[str]:
    if note.old is None or note.new is None:
        return
    for change in note.differences.facts:
        if not change.name.startswith("visit."):
            yield fact_text(note.plant, change)


def fact_text(plant: Plant, change: FactChange) -> str:
    """Return one changed fact as a sentence."""
    old, new = (_fact_value(plant, change.name, value) for value in (change.old, change.new))
    return f"{_fact_title(change.name)}: {old} to {new}"


def _record(note: Note) -> Iterator[str]:
    if note.old is None or note.new is None:
        return
    changed = {row.change.name for row in note.rows}
    for change in note.differences.record:
        if not (change.key == "read_back" and change.name in changed):  # it stands in the table
            yield record_text(note.plant, change, _reason_of(note, change))
    if note.differences.accepted:
        yield "the accepted findings changed"


def _reason_of(note: Note, change: RecordChange) -> str:
    """Return the reason of the visit that took a setting's own away, since that one counts then; else nothing."""
    if change.key != "why" or change.new is not None or change.name not in {row.change.name for row in note.rows}:
        return ""
    given = [touch.commit.trailers.get(REASON) for touch in note.touches]
    visit = note.plant.profile.fact_value("visit.why") if note.visited else None
    return next((one for one in reversed(given) if one), str(visit or ""))


def record_text(plant: Plant, change: RecordChange, instead: str = "") -> str:
    """Return what else is known of a value as a sentence; `instead` is what counts where nothing is recorded."""
    numeric = change.key == "read_back"
    shown = [
        NOT_RECORDED if value is None else plant.show(change.name, value) if numeric else str(value)
        for value in (change.old, change.new)
    ]
    shown[1] = f"that of the visit, {instead}" if instead else shown[1]
    title = title_of(change.name) if change.name in SETTINGS else _fact_title(change.name)
    return f"{title}, {RECORD_WORDS[change.key]}: {shown[1]}" + (f" (was {shown[0]})" if change.old is not None else "")


def _finding(finding: Finding) -> str:
    certainty = "" if finding.certainty.value == "proven" else f" ({finding.certainty.value})"
    accepted = "; accepted" if finding.accepted is not None else ""
    return f"{finding.severity.value}{certainty}: {finding.message} [{finding.rule}{accepted}]"


def _unchanged(note: Note) -> Iterator[str]:
    by_severity: dict[str, list[str]] = {}
    for finding in note.unchanged:
        by_severity.setdefault(finding.severity.value, []).append(f"{finding.rule} at {finding.at}")
    for severity, rules in by_severity.items():
        yield f"{severity}: {', '.join(rules)}"


def _not_checked(note: Note) -> Iterator[str]:
    if note.not_checked:
        yield f"{plural(note.not_checked, 'rule')} for want of facts; settingslint check names them"
    if note.assumed:
        yield f"{plural(note.assumed, 'rule')} only with assumptions for what nobody recorded"
    if note.raised or note.cleared or note.unchanged or note.not_checked or note.assumed:
        yield "rules that compare several plants; settingslint check asks them"


def _cautions(note: Note) -> Iterator[str]:
    for name in note.cautions:
        caution = CAUTIONS[name]
        yield f"{caution.title}: {caution.long if name in LONG else caution.short}"


def _actors(actors: Mapping[str, list[str]]) -> Iterator[str]:
    for actor, names in actors.items():
        yield f"{actor}: {', '.join(title_of(name) for name in names)}"


def _proofs(note: Note) -> Iterator[str]:
    """Yield the proofs, those that are missing first; of several settings with one answer together."""
    together: dict[tuple[str, str, str], list[str]] = {}
    for proof in sorted(note.proofs, key=lambda one: one.state != NEVER_PROVED):
        what, _, of = proof.what.partition(": ")
        together.setdefault((proof.state, what, proof.detail), []).append(of)
    for (state, what, detail), names in together.items():
        of = ", ".join(name for name in names if name)
        yield f"{state}: {what}" + (f" of {of}" if of else "") + (f" ({detail})" if detail else "")
