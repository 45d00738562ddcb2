"""What a change note says beside its table: in short sentences, each told once, what did not change counted."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from settingslint.checking.causes import headed
from settingslint.history.changes import FactChange, RecordChange
from settingslint.history.duty import LONG, Proof, asked_alike
from settingslint.history.meaning import quiet
from settingslint.history.notes import Note, Passing, Row
from settingslint.history.past import REASON, STEP
from settingslint.history.walk import OWN
from settingslint.model.effect import NOT_RECORDED
from settingslint.model.values import Value, kind_of, show_value, title_of
from settingslint.output.plain import plural
from settingslint.rules.base import Certainty, Finding, Severity
from settingslint.rules.entries import licensed
from settingslint.rules.past import AS_FOUND, AS_LEFT
from settingslint.rules.plant import Plant
from settingslint.units import Kind
from settingslint.vocabulary.cautions import CAUTIONS, HEATING
from settingslint.vocabulary.settings import SETTINGS

FEW: Final = 5
"""A change of so many settings is told on one page."""
RECORD_WORDS: Final = {
    "read_back": "read back", "why": "reason", "by": "changed by", "on": "date", "watched_by": "watched by",
    "source": "comes from",
}  # fmt: skip
PROVED: Final = "present"
MOST: Final = 6
"""Lines of findings, and commits; the rest is counted, and what is dangerous or does damage is never among it."""
MOST_FACTS: Final = 10
REST: Final = "--form json has all"
ENDS: Final = {"combustion.high": "combustion at high fire", "combustion.low": "combustion at low fire"}


def listed(note: Note) -> list[Row]:
    """Return the rows of the table: what runs otherwise or was set to another value, in the control's entry order.

    Of a first record only what the control does not do as it was set.
    """
    if note.new is None:
        return []
    order = {row.name: place for place, row in enumerate(note.plant.control.ordered())}
    rows = sorted(note.rows, key=lambda row: order.get(row.change.name, len(order)))
    if note.old is None:
        effects = [(row, row.change.new_effect) for row in rows]
        return [row for row, one in effects if one is not None and (one.changed or one.contradicted or not one.known)]
    return [row for row in rows if not quiet(row.change)]


def run_as_before(note: Note) -> Iterator[str]:
    """Yield in one item what was recorded differently and runs as it did."""
    if note.old is None or note.new is None:
        return
    same = [row.change for row in note.rows if quiet(row.change)]
    if same:
        shown = [
            title_of(one.name)
            + (f" {note.plant.show(one.name, one.effective[1])}" if one.effective[1] is not None else "")
            for one in same
        ]
        yield f"{plural(len(same), 'setting')} recorded differently: {', '.join(shown)}"


def in_house(note: Note) -> Iterator[str]:
    """Yield what the change does to the house."""
    if note.old is not None and note.new is not None:
        yield from note.house
        return
    for row in listed(note)[:FEW]:
        effect = row.change.new_effect
        if effect is not None and effect.reasons:
            yield f"{title_of(row.change.name)}: {effect.reasons[-1].text}"


# who, when ------------------------------------------------------------------------------------------------------------


def about(note: Note) -> Iterator[tuple[str, str]]:
    """Yield which boiler it is, the visit, the commits and how long it is meant to last."""
    profile = note.plant.profile
    serial = f"serial {profile.serial}" if profile.serial else "serial not recorded"
    revision = f", revision {profile.revision}" if profile.revision is not None else ""
    moved = f" (before: {note.moved_from})" if note.moved_from else ""
    yield "boiler", f"{serial}, control {profile.control}{revision}, {note.path}{moved}"
    yield "visit", _visit(note)
    commits = list(_commits(note))
    for line in commits[: MOST if len(commits) <= MOST else MOST - 1]:
        yield "commit", line
    if len(commits) > MOST:
        yield "commit", f"and {len(commits) - MOST + 1} more: {REST}"
    if not commits:
        yield "commit", "not committed yet"
    temporary = [
        title_of(row.change.name)
        for row in note.rows
        if row.change.new is not None and row.change.new.until is not None
    ]
    if temporary and note.old is not None and note.new is not None:
        yield "kind", f"temporary: {', '.join(temporary)}"


def _visit(note: Note) -> str:
    if not note.visited:
        return "none recorded with this change"
    profile = note.plant.profile
    parts = [str(profile.fact_value("visit.on") or "date not recorded")]
    parts += [str(value) for key in ("by", "role") if (value := profile.fact_value(f"visit.{key}")) is not None]
    kind, order = profile.fact_value("visit.kind"), profile.fact_value("visit.work_order")
    parts += [f"for {kind}"] if kind else []
    parts += [f"work order {order}"] if order else []
    return ", ".join(parts) + (f": {why}" if (why := _why(note)) else "")


def _why(note: Note) -> str:
    return str(note.plant.profile.fact_value("visit.why") or "") if note.visited else ""


def _commits(note: Note) -> Iterator[str]:
    """Yield the commits; those of one day, author and reason together, and the reason of the visit only once."""
    groups: dict[tuple[str, ...], list[str]] = {}
    for touch in note.touches:
        commit = touch.commit
        step = commit.trailers.get(STEP)
        why = "" if touch.why == _why(note) else f": {touch.why}"
        through = "" if touch.through == OWN else f"; through {touch.through}"
        shown = commit.short + (f" {step}" if step in (AS_FOUND, AS_LEFT) else "")
        groups.setdefault((f"{commit.on}, {commit.author}{why}{through}",), []).append(shown)
    for (text,), ids in groups.items():
        yield f"{', '.join(ids)}, {text}"


def passing(note: Note) -> Iterator[str]:
    """Yield what was changed and put back; what only lost its record for a while is told together."""
    lost = [one for one in note.passing if not any(value is not None for value in one.values[1:-1])]
    for one in note.passing:
        if one not in lost or len(note.passing) <= FEW:
            way = " to ".join(_value(note.plant, one.name, value) for value in one.values)
            yield f"{title_of(one.name)}: {way}; {_by([one])}"
    if lost and len(note.passing) > FEW:
        shown = ", ".join(f"{title_of(one.name)} {_value(note.plant, one.name, one.values[-1])}" for one in lost)
        yield f"{plural(len(lost), 'setting')}, not set for a while and set as before again: {shown}; {_by(lost)}"


def _value(plant: Plant, name: str, value: Value | None) -> str:
    return plant.show(name, value) if value is not None else "not set"


def _by(every: Iterable[Passing]) -> str:
    commits = dict.fromkeys(f"{commit.author} ({commit.short})" for one in every for commit in one.commits)
    return ", ".join(commits)


# what else is recorded ------------------------------------------------------------------------------------------------


def _fact_title(name: str) -> str:
    if name.startswith("plant."):
        return name.removeprefix("plant.").replace("_", " ")
    head, bracket, rest = name.partition("[")
    return f"{head} {int(rest.partition(']')[0]) + 1}: {title_of(name)}" if bracket else title_of(name)


def _fact_value(plant: Plant, name: str, value: Value | None) -> str:
    if value is None:
        return "not recorded"
    return show_value(value, Kind.TEXT if name.startswith("plant.") else kind_of(name), plant.system)


def facts(note: Note) -> Iterator[str]:
    """Yield in one item the facts that changed, and of those that are new the first few with a count."""
    if note.old is None or note.new is None:
        return
    changes = [one for one in note.differences.facts if not one.name.startswith("visit.")]
    groups: dict[str, list[FactChange]] = {}
    for one in changes:
        groups.setdefault(ENDS.get(one.name.rpartition(".")[0], ""), []).append(one)
    said = [fact_text(note.plant, one) for one in groups.get("", []) if one.old is not None]
    said += [_readings(note.plant, end, own) for end, own in groups.items() if end]
    new = [fact_text(note.plant, one) for one in groups.get("", []) if one.old is None]
    said += new[:MOST_FACTS]
    if len(new) > MOST_FACTS:
        said.append(f"{len(new) - MOST_FACTS} more recorded for the first time ({REST})")
    if said:
        yield "; ".join(said)


def _readings(plant: Plant, end: str, changes: Sequence[FactChange]) -> str:
    if all(one.new is None for one in changes):
        on = next((f" of {one.old}" for one in changes if one.name.endswith(".on")), "")
        return f"{end}: readings{on} taken off the record"
    new = {one.name.rpartition(".")[2]: one for one in changes}
    parts = [f"read on {new['on'].new}"] if "on" in new else []
    read = [one for key, one in new.items() if key not in ("on", "analyser_calibrated", "analyser_fuel")]
    parts += [f"{title_of(one.name)} {_fact_value(plant, one.name, one.new)}" for one in read]
    parts += [] if "on" in new or read else [fact_text(plant, one) for one in changes]
    return f"{end}: {', '.join(parts)}"


def fact_text(plant: Plant, change: FactChange) -> str:
    """Return one changed fact as a sentence."""
    old, new = (_fact_value(plant, change.name, value) for value in (change.old, change.new))
    return f"{_fact_title(change.name)}: {old} to {new}"


def recorded(note: Note) -> Iterator[str]:
    """Yield in one item what else is known of values now."""
    if note.old is None or note.new is None:
        return
    changed = {row.change.name for row in note.rows}
    said = [
        record_text(note.plant, change, _reason_of(note, change))
        for change in note.differences.record
        if not (change.key == "read_back" and change.name in changed)  # it stands in the table
    ]
    more = [f"{len(said) - MOST_FACTS} more ({REST})"] if len(said) > MOST_FACTS else []
    accepted = ["the accepted findings changed"] if note.differences.accepted else []
    if said or accepted:
        yield "; ".join([*said[:MOST_FACTS], *more, *accepted])


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


def recorded_briefly(note: Note) -> str:
    """Return the counts of what else is recorded."""
    counted = (len(note.differences.facts), "fact"), (len(note.differences.record), "remark")
    return ", ".join(plural(count, what) for count, what in counted if count) + f" ({REST})"


# findings -------------------------------------------------------------------------------------------------------------


def findings(note: Note, every: Sequence[Finding], most: int = MOST) -> Iterator[str]:
    """Yield the headlines of findings, one for each cause, worst first; questions are counted, and so is the rest."""
    heads = heads_of(note, every)
    told = [one for one in heads if not one.asks]
    kept = [one for number, one in enumerate(told) if number < most or one.severity.at_least(Severity.DAMAGE)]
    yield from (_finding(one) for one in kept)
    if len(told) > len(kept):
        yield f"and {counts(told[len(kept) :])} more: settingslint check names them"
    asked = [one for one in heads if one.asks]
    if asked:
        worst = min(asked, key=lambda one: one.severity.rank).severity
        yield f"{plural(len(asked), 'question')}, worst {worst}: settingslint questions asks"


def heads_of(note: Note, every: Sequence[Finding]) -> list[Finding]:
    """Return the findings that speak for their causes, worst first."""
    return [one.finding for one in headed(every, note.plant.profile.accepted)]


def counts(every: Iterable[Finding]) -> str:
    """Return how many findings there are of each severity, worst first."""
    found = Counter(one.severity for one in every)
    return ", ".join(f"{found[severity]} {severity}" for severity in Severity if found[severity])


def _finding(finding: Finding) -> str:
    certainty = "" if finding.certainty.value == "proven" else f" ({finding.certainty.value})"
    accepted = "; accepted" if finding.accepted is not None else ""
    return f"{finding.severity.value}{certainty}: {finding.headline} [{finding.rule}{accepted}]"


def besides(note: Note) -> Iterator[str]:
    """Yield in one item what was there before, and what was not checked."""
    said = []
    if note.assumed:
        said.append(f"{plural(note.assumed, 'rule')} with assumptions for what nobody recorded")
    if said or note.raised or note.cleared or note.not_checked:
        lack = f"{plural(note.not_checked, 'rule')} for want of facts, and " if note.not_checked else ""
        yield "; ".join([*said, f"not checked: {lack}what compares several plants"])


def besides_briefly(note: Note) -> str:
    """Return the count of what was not checked, an empty text where that is nothing."""
    return f"{plural(note.not_checked, 'rule')} not checked" if note.not_checked else ""


def still_open(note: Note, few: int = FEW) -> Iterator[str]:
    """Yield the first dangers that were there before and stay, and the count of what else does."""
    grave = [one for one in note.unchanged if one.severity is Severity.DANGER and not one.asks]
    every, told = heads_of(note, note.unchanged), heads_of(note, grave)[:few]
    for one in told:
        sure = "" if one.certainty is Certainty.PROVEN else f" ({one.certainty.value})"
        yield f"danger{sure}: {one.headline} [{one.rule}]"
    if rest := [one for one in every if one not in told]:
        yield f"{'besides ' if told else ''}{counts(rest)}"


# duty -----------------------------------------------------------------------------------------------------------------


def cautions(note: Note, full: bool = True) -> Iterator[str]:
    """Yield each class of caution once, in full where people or the plant can come to harm."""
    for name in note.cautions:
        caution = CAUTIONS[name]
        yield f"{caution.title}: {caution.long if full and name in LONG else caution.short}"


def actors(note: Note, few: int = FEW) -> Iterator[str]:
    """Yield in one item who must act on what runs otherwise; of more than a few settings only what not anyone may."""
    shown = [row.change.name for row in listed(note)]
    parts: list[str] = []
    for actor, names in note.actors.items():
        own = [name for name in names if name in shown]
        if own and len(shown) > few and actor == HEATING and parts:
            parts.append(f"{actor}: the rest")
        elif own:
            parts.append(f"{actor}: {', '.join(title_of(name) for name in own)}")
    if parts:
        yield "; ".join(parts)


def unproved(note: Note) -> Iterator[str]:
    """Yield the proofs that are not there, or leave something open."""
    yield from _together(one for one in note.proofs if one.state != PROVED)


def proved(note: Note) -> Iterator[str]:
    """Yield in one item the proofs that are there."""
    if own := held(note):
        yield "; ".join(_together(own))


def proved_briefly(note: Note) -> str:
    """Return the count of the proofs that are there."""
    return f"{plural(len(held(note)), 'proof')} ({REST})"


def held(note: Note) -> list[Proof]:
    """Return the proofs that are there."""
    return [one for one in note.proofs if one.state == PROVED]


def _together(proofs: Iterable[Proof]) -> Iterator[str]:
    """Yield proofs, of several things with one answer together."""
    same: dict[tuple[str, str, str], list[str]] = {}
    for proof in proofs:
        same.setdefault((proof.state, proof.kind, proof.detail), []).append(proof.of)
    for (state, kind, detail), names in same.items():
        more = "; ".join(part for part in (state if state not in (PROVED, "missing") else "", detail) if part)
        yield f"{kind}: {', '.join(names)}" + (f" ({more})" if more else "")


def watched(note: Note) -> Iterator[str]:
    """Yield in one item what to watch."""
    if note.watch:
        yield "; ".join(note.watch)


def undo(note: Note, few: int = FEW) -> Iterator[str]:
    """Yield what to put back, with its place on the control; of more than a few settings the table says it."""
    rows = listed(note)
    shown = [row.change.name for row in rows]
    typed = {row.change.name for row in rows if not asked_alike(row.change)}
    own = [(name, text) for name, text in note.undo if name in shown]
    if len(own) <= few:
        for name, text in own:
            if name in typed:
                yield f"{title_of(name)}{_place(note.plant, name)}: {text}"
        if follow := [title_of(name) for name, _ in own if name not in typed]:
            yield f"nothing to type for {', '.join(follow)}"
        return
    if any(not licensed(name) for name, _ in own):
        yield "type the old values again, in the order above"
    same: dict[str, list[str]] = {}
    for name, text in own:
        if licensed(name) and name in typed:
            same.setdefault(text, []).append(title_of(name))
    yield from (f"{', '.join(names)}: {text}" for text, names in same.items())


def _place(plant: Plant, name: str) -> str:
    row, title = plant.row(name), title_of(name)
    parts = [part for part in (row.label, row.menu) if part and part != title] if row is not None else []
    return f" ({', '.join(parts)})" if parts else ""
