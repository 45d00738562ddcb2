"""Every value that a plant's settings had: from when to when, by whom, why, for how long, and what nobody explains."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, timezone
from pathlib import Path
from typing import Final

from settingslint.history import NoHistory
from settingslint.history.changes import Differences, differences
from settingslint.history.objects import Commit
from settingslint.history.past import BY, DATE, REASON, STEP
from settingslint.history.snapshots import DISK, Snapshots
from settingslint.history.walk import GONE, Moment, moments
from settingslint.model.profile import Entry
from settingslint.model.values import Problem, Unreadable, Value
from settingslint.rules.past import AS_FOUND, AS_LEFT
from settingslint.rules.plant import Plant

IDENTITY: Final = ("plant.serial", "plant.control", "plant.size", "plant.revision")
UNCOMMITTED: Final = "not committed yet"


@dataclass(frozen=True, slots=True)
class Stretch:
    """One value of one setting, SI, from a day on. `end` is the day of the next value, None where it still stands.

    `effective` is what it ran at, None where it was unknown or had no effect; `state` says why. `why` is the
    reason that somebody recorded, empty where nobody did; `said` the first line of the commit.
    """

    setting: str
    typed: Value | None
    left: str | None
    effective: Value | None
    state: str
    begin: date
    end: date | None
    commit: Commit
    who: str
    why: str
    said: str
    found: bool = False
    until: date | None = None
    then: Value | None = None
    watched_by: str | None = None
    through: str = ""

    def overdue(self, as_of: date) -> int:
        """Return the days for which a temporary value stood longer than it was meant to."""
        return max(0, ((self.end or as_of) - self.until).days) if self.until is not None else 0


@dataclass(frozen=True, slots=True)
class Mark:
    """Something that happened at the plant on a day: a visit, a combustion reading, a new board, a gap."""

    on: date
    kind: str
    text: str


@dataclass(frozen=True, slots=True)
class Timeline:
    """The history of one plant. `settings` has the stretches of each, oldest first, in the control's entry order."""

    path: str
    plant: Plant
    as_of: date
    begin: date
    commits: int
    settings: dict[str, tuple[Stretch, ...]]
    marks: tuple[Mark, ...]
    problems: tuple[Problem, ...] = ()
    remarks: tuple[str, ...] = ()

    def changed(self) -> dict[str, tuple[Stretch, ...]]:
        """Return the settings that had more than one value."""
        return {name: stretches for name, stretches in self.settings.items() if len(stretches) > 1}

    def unexplained(self) -> list[Stretch]:
        """Return the changes for which nobody recorded a reason, oldest first."""
        lacking = [one for stretches in self.settings.values() for one in stretches[1:] if not one.why]
        return sorted(lacking, key=lambda one: (one.begin, one.setting))


def timeline(snapshots: Snapshots, profile: Path, as_of: date) -> Timeline:
    """Return the history of the plant of a profile, up to the file as it is now.

    Args:
        snapshots: of the portfolio; what they have read serves the next plant too.
        profile: the file; it may be gone by now.
        as_of: the day to which a value that still stands is counted.

    Raises:
        NoHistory: where no commit has the profile.
    """
    repository = snapshots.repository
    rel = snapshots.rel(profile)
    found = moments(snapshots, repository.resolve("HEAD"), rel, as_of)
    if not found:
        raise NoHistory(f"no commit has {snapshots.shown(rel)}")
    found += _on_disk(snapshots, rel, found[-1], as_of)
    plants = [moment.plant for moment in found if moment.plant is not None]
    problems = tuple(
        Problem(snapshots.shown(one.rel), 1, 1, f"in {one.commit.short}: {one.problem}")
        for one in found
        if one.problem and one.problem != GONE
    )
    if not plants:
        raise NoHistory(f"no commit has a {snapshots.shown(rel)} that can be read: {problems[0].message}")
    made = _Maker(found)
    made.go()
    order = {row.name: place for place, row in enumerate(plants[-1].control.ordered())}
    names = sorted(made.settings, key=lambda name: order.get(name, len(order)))
    return Timeline(
        snapshots.shown(rel), plants[-1], as_of, made.begin, sum(bool(one.commit.id) for one in found),
        {name: tuple(made.settings[name]) for name in names}, tuple(made.marks), problems,
        (repository.shallow,) if repository.cut else (),
    )  # fmt: skip


def _on_disk(snapshots: Snapshots, rel: str, last: Moment, as_of: date) -> Iterator[Moment]:
    """Yield the file as it is where it says something else than the last commit."""
    node = snapshots.node(DISK, rel)
    if node is None or last.plant is None:
        return
    try:
        plant = snapshots.plant(DISK, rel, node, as_of)
    except Unreadable:
        return
    if differences(last.plant, plant):
        now = datetime.combine(as_of, datetime.min.time(), timezone.utc)  # noqa: UP017
        yield Moment(Commit("", "", (), UNCOMMITTED, now, ""), rel, plant)


def _visited(commit: Commit) -> date | None:
    """Return the day of the visit that a commit is of, by its trailers."""
    try:
        return date.fromisoformat(commit.trailers.get(DATE, ""))
    except ValueError:
        return None


def _asked(one: Stretch | Entry) -> tuple[Value | date | None, ...]:
    return (one.typed, one.left, one.until, one.then)


class _Maker:
    def __init__(self, found: list[Moment]) -> None:
        self.found = found
        self.settings: dict[str, list[Stretch]] = {}
        self.marks: list[Mark] = []
        self.reasons: dict[str, str | None] = {}
        self.begin = found[0].commit.on

    def go(self) -> None:
        """Go through the states, oldest first."""
        before: Plant | None = None
        for index, moment in enumerate(self.found):
            plant = moment.plant
            if plant is None:
                self.marks.append(Mark(moment.commit.on, "gap", moment.problem))
                continue
            what = differences(before, plant)
            facts = {change.name: change.new for change in what.facts}
            on = facts.get("visit.on")
            on = on if isinstance(on, date) else _visited(moment.commit)
            day = on if on is not None and on <= moment.commit.on else moment.commit.on
            if index == 0:
                self.begin = day
            visited = STEP in moment.commit.trailers or "visit.on" in facts or "visit.why" in facts
            self._mark(moment, what, day)
            for change in what.settings:
                self._begin(moment, plant, change.name, change.new, day, visited)
            before = plant

    def _begin(self, moment: Moment, plant: Plant, name: str, entry: Entry | None, day: date, visited: bool) -> None:
        stretches = self.settings.setdefault(name, [])
        previous = stretches[-1] if stretches else None
        day = max(day, previous.begin) if previous else day
        effect = plant.effects.get(name)
        commit = moment.commit
        visit = plant.profile.fact_value("visit.why") if visited else None
        own = entry.why if entry is not None and entry.why != self.reasons.get(name) else None
        self.reasons[name] = entry.why if entry is not None else None
        same = previous is not None and entry is not None and _asked(previous) == _asked(entry)
        through = f"control file {plant.profile.control} treats it differently now" if same else ""
        if same and effect is not None and effect.contradicted:
            through = "it was read at the boiler"
        by: object = commit.trailers.get(BY) or (
            self._finder(moment) if commit.trailers.get(STEP) == AS_FOUND else None
        )
        if entry is not None and entry.by:
            by = entry.by
        elif by is None and visited and commit.trailers.get(STEP) != AS_FOUND:  # its profile tells of the visit before
            by = plant.profile.fact_value("visit.by")
        new = Stretch(
            setting=name,
            typed=entry.typed if entry is not None else None,
            left=(entry.left if entry is not None else "not recorded"),
            effective=effect.effective if effect is not None else None,
            state=effect.state if effect is not None else "not recorded",
            begin=day,
            end=None,
            commit=commit,
            who=commit.author if by is None or str(by) == commit.author else f"{by}, recorded by {commit.author}",
            why=str(own or commit.trailers.get(REASON) or visit or (commit.subject if through else "")),
            said=commit.subject,
            found=commit.trailers.get(STEP) == AS_FOUND,
            until=entry.until if entry is not None else None,
            then=entry.then if entry is not None else None,
            watched_by=entry.watched_by if entry is not None else None,
            through=through,
        )
        if new.found:
            new = replace(new, why=own or "")  # the reason of the visit does not explain what it found
        if previous is not None:
            stretches[-1] = replace(previous, end=day)
        stretches.append(new)

    def _finder(self, moment: Moment) -> object:
        """Return who found a state whose commit does not say so: who left the next one on the same visit."""
        place = self.found.index(moment) + 1
        following = self.found[place] if place < len(self.found) else None
        if following is None or following.plant is None or following.commit.author != moment.commit.author:
            return None
        same = following.commit.trailers.get(DATE) == moment.commit.trailers.get(DATE)
        left = following.commit.trailers.get(STEP) == AS_LEFT
        return following.plant.profile.fact_value("visit.by") if same and left else None

    def _mark(self, moment: Moment, what: Differences, day: date) -> None:
        facts = {change.name: change for change in what.facts}
        assert moment.plant is not None
        profile = moment.plant.profile
        if "visit.on" in facts or moment.commit.trailers.get(STEP) == AS_LEFT:
            words = [profile.fact_value(f"visit.{key}") for key in ("by", "kind", "why")]
            self.marks.append(Mark(day, "visit", ", ".join(str(word) for word in words if word) or "a visit"))
        for end in ("high", "low"):
            on = facts.get(f"combustion.{end}.on")
            if on is not None and isinstance(on.new, date):
                self.marks.append(Mark(on.new, "combustion", f"combustion reading at {end} fire"))
        for name in IDENTITY:
            if name in facts and facts[name].old is not None:
                text = f"{name.removeprefix('plant.')} {facts[name].old} became {facts[name].new}"
                self.marks.append(Mark(moment.commit.on, "identity", text))
