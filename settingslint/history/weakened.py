"""What weakens between two states, and what it silences: found by checking today's plants in the frame of earlier.

The frame is all that decides what is said of a plant and is no value of it: the owner's numbers, severities and usual
values, the weather file, the control files, and what is accepted. Today's values are checked in the frame as it was, in
it with one thing at a time as it is, and in the frame of today. What is found in the first and not in the second, or
less severe, is what that one thing silences; what only several of them together silence is said too.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, replace
from datetime import date
from typing import Final

from settingslint.checking.audit import Result, audit, finding_at
from settingslint.checking.beside import Beside
from settingslint.checking.several import together
from settingslint.checking.weakening import (
    ACCEPTANCE,
    CONTROL,
    GONE,
    NUMBER,
    OTHER_CONTROL,
    SEVERITY,
    TOGETHER,
    USUAL,
    WEATHER,
    Weakening,
    counted,
    worst_first,
)
from settingslint.files.finding import PORTFOLIO_FILE
from settingslint.files.names import shown
from settingslint.files.reader import Reader
from settingslint.history.looser import looser_acceptance, looser_row
from settingslint.history.past import past_at
from settingslint.history.snapshots import Snapshots, Step
from settingslint.model.control import Control, Row
from settingslint.model.profile import Acceptance, Profile, toml_path
from settingslint.model.values import Unreadable
from settingslint.rules import all_rules
from settingslint.rules.base import Draft, Finding, Severity, Threshold
from settingslint.rules.past import Past
from settingslint.rules.plant import Context, Plant
from settingslint.rules.record.acceptance import ACCEPTANCE as ABOUT_ACCEPTANCES
from settingslint.rules.record.acceptance import LONGEST, why_not
from settingslint.rules.rule import Rule
from settingslint.units import System, written

Key = tuple[str, str, str]
"""A finding: path of its profile from the portfolio's folder, rule, setting or fact."""
Open = Mapping[Key, Severity]
LOOSER: Final = {"up": 1, "down": -1}


@dataclass(frozen=True, slots=True)
class Change:
    """What happened between two states: the profiles that differ, the controls that do, and whether the owner's file.

    `start` is the commit from which the past of the plants is looked up, `tree` the later state, `asked` says of
    which profiles something is to be told, by their paths from the portfolio's folder.
    """

    steps: Sequence[Step]
    controls: Set[str]
    owner: bool
    tree: str
    start: str
    asked: Callable[[str], bool]


@dataclass(frozen=True, slots=True)
class _Frame:
    """What decides what is said of today's values; `controls`, `named` and `accepted` only where they differ."""

    context: Context
    severities: Mapping[str, Severity]
    controls: Mapping[str, Control | None]
    named: Mapping[str, str]
    """The control that a profile names, by its path."""
    accepted: Mapping[str, tuple[Acceptance, ...]]
    """What a profile accepts, by its path."""


@dataclass(frozen=True, slots=True)
class _Item:
    """One thing that changed: what is to be said of it, and the earlier frame with it as it is now.

    `looser` says that it lets more pass whatever is found today; otherwise it is told only where it silences something.
    """

    told: Weakening
    frame: _Frame
    looser: bool
    accepts: tuple[str, Acceptance] | None = None
    rels: frozenset[str] = frozenset()
    """The profiles that it is about; all where empty."""


def gone(file: str, site: str, plant: str, since: str, findings: Iterable[Finding]) -> Weakening:
    """Return that a plant is not there any more, with the findings that it had and nobody had accepted."""
    text = f"{plant} of {site} is gone since {since}; nothing of it is checked any more"
    silent = counted(one.severity for one in findings if one.accepted is None)
    return Weakening(GONE, plant, plant, "", text, silent, file, site=site, plant=plant)


def weakenings(
    snapshots: Snapshots, then: Reader, now: Reader, change: Change, as_of: date, rules: Sequence[Rule] | None = None
) -> tuple[Weakening, ...]:
    """Return what a change weakens, worst first; of plants that are gone see `gone`.

    Args:
        snapshots: of the portfolio.
        then: reads the earlier state.
        now: reads the later one.
        change: what happened between them.
        as_of: the date on which both are judged.
        rules: all rules that are asked; all there are where None.
    """
    return worst_first(_Finder(snapshots, then, now, change, as_of, rules or all_rules()).find())


class _Finder:
    def __init__(
        self, snapshots: Snapshots, then: Reader, now: Reader, change: Change, as_of: date, rules: Sequence[Rule]
    ) -> None:
        self.snapshots, self.then, self.now, self.change = snapshots, then, now, change
        self.as_of, self.rules = as_of, rules
        self.portfolios = then.portfolio, now.portfolio
        self.profiles: dict[str, Profile] = {}
        self.pasts: dict[str, Past | None] = {}
        self.earlier: dict[str, Profile | None] = {}
        """What a profile that differs was, None where it was not there."""

    def find(self) -> Iterator[Weakening]:
        """Yield what is weaker, in no order."""
        self._steps()
        before = self._frame_before()
        today = replace(before, context=self._context(1), severities=self.portfolios[1].severities, controls={},
                        named={}, accepted={})  # fmt: skip
        items = [item for item in self._items(before) if not item.rels or any(map(self.change.asked, item.rels))]
        if not items:
            return
        world = self._world(items)
        whole = world.keys() == self._all().keys()
        open_then, open_now = (self._open(frame, world, whole) for frame in (before, today))
        silenced = _less(open_then, open_now)
        told: set[Key] = set()
        near = self._near(silenced, world)
        for item in items:
            if item.accepts is not None:
                mine = self._accepted(item, world)
            else:
                then_too = self._open(item.frame, near, whole and len(near) == len(world)) if silenced else {}
                mine = _less(silenced, then_too)
            told |= mine.keys()
            mine = {key: severity for key, severity in mine.items() if self.change.asked(key[0])}
            if mine or item.looser:
                yield replace(item.told, silences=counted(mine.values()))
        rest = [severity for key, severity in silenced.items() if key not in told and self.change.asked(key[0])]
        if rest:
            text = "several of these changes, and none of them alone"
            yield Weakening(TOGETHER, "", "", "", text, counted(rest), shown(self.now.root) or ".")

    # the two states ---------------------------------------------------------------------------------------------------

    def _steps(self) -> None:
        for step in self.change.steps:
            if step.new is not None:
                try:
                    self.earlier[step.new[0]] = self.snapshots.profile(*step.old) if step.old is not None else None
                except Unreadable:
                    self.earlier[step.new[0]] = None

    def _context(self, side: int) -> Context:
        return replace(self.portfolios[side].context, as_of=self.as_of)

    def _today(self, rel: str) -> Profile | None:
        """Return a profile as it is; None where it can't be read, which is told elsewhere."""
        if rel not in self.profiles:
            node = self.snapshots.node(self.change.tree, rel)
            try:
                if node is None:
                    return None
                self.profiles[rel] = self.snapshots.profile(rel, node)
            except Unreadable:
                return None
        return self.profiles[rel]

    def _all(self) -> dict[str, Profile]:
        pairs = ((rel, self._today(rel)) for rel, _ in self.snapshots.profiles(self.change.tree))
        return {rel: profile for rel, profile in pairs if profile is not None}

    def _frame_before(self) -> _Frame:
        named: dict[str, str] = {}
        accepted: dict[str, tuple[Acceptance, ...]] = {}
        for rel, earlier in self.earlier.items():
            profile = self._today(rel)
            if profile is None:
                continue
            accepted[rel] = earlier.accepted if earlier is not None else ()
            if earlier is not None and earlier.control != profile.control:
                named[rel] = earlier.control
        controls = {name: self.then.control(name) for name in {*self.change.controls, *named.values()}}
        portfolio = self.portfolios[0]
        return _Frame(self._context(0), portfolio.severities, controls, named, accepted)

    # what changed -----------------------------------------------------------------------------------------------------

    def _items(self, before: _Frame) -> Iterator[_Item]:
        if self.change.owner or self._context(0) != self._context(1):
            yield from self._numbers(before)
            yield from self._severities(before)
            yield from self._weather(before)
            yield from self._usual(before)
        for name in sorted(self.change.controls):
            old, new = self.then.control(name), self.now.control(name)
            if old is not None and new is not None:
                yield from self._rows(before, name, old, new)
        for rel, name in before.named.items():
            yield self._other_control(before, rel, name)
        for rel in before.accepted:
            yield from self._acceptances(before, rel)

    def _owner_place(self, name: str) -> tuple[str, int, int]:
        owner = self.portfolios[1].owner
        places = {one.threshold.name: one.place for one in owner.numbers} | dict(owner.places)
        file = shown(self.now.root / PORTFOLIO_FILE)
        return (places[name].file, places[name].line, places[name].column) if name in places else (file, 1, 1)

    def _numbers(self, before: _Frame) -> Iterator[_Item]:
        known = {one.name: one for one in [*(one for rule in self.rules for one in rule.thresholds), LONGEST]}
        olds, news = (portfolio.context.thresholds for portfolio in self.portfolios)
        for name in {**olds, **news}:
            number = known.get(name)
            if number is None:
                continue
            old, new = olds.get(name, number.value), news.get(name, number.value)
            unset = number is LONGEST and name in olds and name not in news  # then only dangers have to end
            if old == new and not unset:
                continue
            system = self._system(name)
            was, is_ = (written(value, number.kind, system) for value in (old, new))
            is_ += " (the owner sets none)" if unset else ""
            set_ = {key: value for key, value in {**olds, name: new}.items() if key != name or name in news}
            frame = replace(before, context=replace(before.context, thresholds=set_))
            looser = unset or _looser(number, old, new)
            told = Weakening(NUMBER, name, was, is_, f"{name} {was} -> {is_}", (), *self._owner_place(name))
            yield _Item(told, frame, looser)

    def _system(self, name: str) -> System:
        for portfolio in self.portfolios[::-1]:
            for one in portfolio.owner.numbers:
                if one.threshold.name == name:
                    return one.system
        return "metric"

    def _severities(self, before: _Frame) -> Iterator[_Item]:
        olds, news = (portfolio.severities for portfolio in self.portfolios)
        own = {rule.name: rule.severity for rule in self.rules}
        for name in {**olds, **news}:
            if name not in own or olds.get(name) == news.get(name):
                continue
            old, new = olds.get(name, own[name]), news.get(name, own[name])
            set_ = {key: value for key, value in {**olds, name: new}.items() if key != name or name in news}
            told = Weakening(
                SEVERITY, name, old, new, f"severity of {name}: {old} -> {new}", (), *self._owner_place(name)
            )
            yield _Item(told, replace(before, severities=set_), not new.at_least(old))

    def _weather(self, before: _Frame) -> Iterator[_Item]:
        hours = [portfolio.context.hours for portfolio in self.portfolios]
        if hours[0] != hours[1]:
            words = ["none" if one is None else "one" if hours[0] is None else "another" for one in hours]
            told = Weakening(WEATHER, "climate", "", "", f"weather file: {words[1]} now", (),
                             *self._owner_place("climate"))  # fmt: skip
            yield _Item(told, replace(before, context=replace(before.context, hours=hours[1])), False)

    def _usual(self, before: _Frame) -> Iterator[_Item]:
        olds, news = (portfolio.context.usual for portfolio in self.portfolios)
        said = [
            {name: [one.text for one in portfolio.owner.usual if one.row.name == name] for name in {**olds, **news}}
            for portfolio in self.portfolios
        ]
        places = {one.row.name: one.place for one in self.portfolios[1].owner.usual[::-1]}
        for name in {**olds, **news}:
            if olds.get(name) == news.get(name):
                continue
            was, is_ = ("; ".join(one[name]) or f"nothing of {name}" for one in said)
            set_ = {key: rows for key, rows in {**olds, name: news.get(name, ())}.items() if rows}
            place = places.get(name)
            at = (place.file, place.line, place.column) if place is not None else self._owner_place(name)
            told = Weakening(USUAL, name, was, is_, f"usual: {was} -> {is_}", (), *at)
            yield _Item(told, replace(before, context=replace(before.context, usual=set_)), False)

    def _rows(self, before: _Frame, name: str, old: Control, new: Control) -> Iterator[_Item]:
        for setting in {**old.rows, **new.rows}:
            was, is_ = old.rows.get(setting), new.rows.get(setting)
            if was == is_:
                continue
            more = looser_row(was, is_, old, new)
            place = new.source.place(("setting", setting) if is_ is not None else ("setting",))
            text = f"{setting}: {'; '.join(more) or 'is treated differently'}"
            told = Weakening(CONTROL, setting, "", "", text, (), new.source.name, place.line, place.column)
            rows: dict[str, Row] = {**old.rows, **({setting: is_} if is_ is not None else {})}
            if is_ is None:
                del rows[setting]
            yield _Item(told, self._with(before, name, replace(old, rows=rows)), bool(more))
        if _head(old) != _head(new):
            told = Weakening(CONTROL, name, "", "", "what it says beside its settings", (), new.source.name)
            yield _Item(told, self._with(before, name, replace(new, rows=old.rows)), False)

    def _with(self, before: _Frame, name: str, control: Control) -> _Frame:
        return replace(before, controls={**before.controls, name: control})

    def _other_control(self, before: _Frame, rel: str, name: str) -> _Item:
        profile = self.profiles[rel]
        place = profile.source.place(("plant", "control"))
        told = Weakening(
            OTHER_CONTROL, profile.control, name, profile.control, f"control {name} -> {profile.control}", (),
            profile.path, place.line, place.column, profile.site, profile.name,
        )  # fmt: skip
        named = {key: value for key, value in before.named.items() if key != rel}
        return _Item(told, replace(before, named=named), False, rels=frozenset([rel]))

    def _acceptances(self, before: _Frame, rel: str) -> Iterator[_Item]:
        profile, olds = self.profiles[rel], before.accepted[rel]
        for one in profile.accepted:
            how, only_dangers = looser_acceptance(olds, one, self.as_of)
            if not how:
                continue
            at = f" ({one.setting})" if one.setting else ""
            place = profile.source.place(toml_path(f"accepted[{one.index}]"))
            told = Weakening(
                ACCEPTANCE, one.rule, "", str(one.until or ""), f"acceptance of {one.rule}{at} {how}", (),
                profile.path, place.line, place.column, profile.site, profile.name,
            )  # fmt: skip
            frame = replace(before, accepted={**before.accepted, rel: (one, *olds)})
            yield _Item(told, frame, not only_dangers, (rel, one), frozenset([rel]))

    # what is found ----------------------------------------------------------------------------------------------------

    def _world(self, items: Iterable[_Item]) -> dict[str, Profile]:
        """Return the plants that anything changes for, with all others of their sites."""
        every = self._all()
        if any(item.told.what in (NUMBER, SEVERITY, WEATHER, USUAL) for item in items):
            return every
        touched = {rel for item in items for rel in item.rels}
        sites = {
            profile.site for rel, profile in every.items() if rel in touched or profile.control in self.change.controls
        }
        return {rel: profile for rel, profile in every.items() if profile.site in sites}

    def _near(self, silenced: Open, world: Mapping[str, Profile]) -> Mapping[str, Profile]:
        """Return the plants that have to be looked at again for each thing: those of the sites where it is quieter."""
        wide = {rule.name for rule in self.rules if rule.scope == "portfolio"}
        if any(rule in wide for _, rule, _ in silenced):
            return world
        sites = {world[rel].site for rel, _, _ in silenced}
        return {rel: profile for rel, profile in world.items() if profile.site in sites}

    def _open(self, frame: _Frame, world: Mapping[str, Profile], whole: bool) -> Open:
        """Return what is found and not accepted, with its severity; of two findings in one place the worse."""
        found: dict[Key, Severity] = {}
        passed = {rule.name for rule in self.rules if rule.scope == ABOUT_ACCEPTANCES}
        for rel, result in self._results(frame, world, whole).items():
            for one in result.findings:
                key = (rel, one.rule, one.at)
                if one.accepted is None and one.rule not in passed:
                    found[key] = min(found.get(key, one.severity), one.severity, key=lambda severity: severity.rank)
        return found

    def _accepted(self, item: _Item, world: Mapping[str, Profile]) -> Open:
        """Return what an acceptance covers."""
        assert item.accepts is not None
        rel, one = item.accepts
        site = {other: profile for other, profile in world.items() if profile.site == world[rel].site}
        result = self._results(item.frame, site, False).get(rel)
        findings = result.findings if result is not None else ()
        return {
            (rel, found.rule, found.at): found.gravest
            for found in findings
            if found.accepted is not None and found.rule == one.rule and one.setting in (None, found.at)
            and (item.looser or found.gravest is Severity.DANGER)
            and not why_not(one, found.gravest is Severity.DANGER, self.as_of, _longest(item.frame))
        }  # fmt: skip

    def _results(self, frame: _Frame, world: Mapping[str, Profile], whole: bool) -> dict[str, Result]:
        plants: dict[str, Plant] = {}
        rels: dict[str, str] = {}
        for rel, profile in world.items():
            name = frame.named.get(rel, profile.control)
            control = frame.controls.get(name) or self.now.control(name)
            if control is None:
                continue
            own = replace(profile, accepted=frame.accepted.get(rel, profile.accepted))
            plant = Plant(own, control, frame.context)
            plant.look_back(lambda one, at=rel: self._past(at, one.profile))  # type: ignore[misc]
            plants[profile.path], rels[profile.path] = plant, rel
        results = [audit(plant, self.rules, frame.severities) for plant in plants.values()]

        def place(result: Result, rule: Rule, draft: Draft) -> Finding:
            return finding_at(rule, draft, plants[result.path])

        near = Beside((), None, whole)
        all_ = together(results, self.rules, self.as_of, frame.severities, place, frame.context.thresholds, near)
        return {rels[result.path]: result for result in all_}

    def _past(self, rel: str, profile: Profile) -> Past | None:
        if rel not in self.pasts:
            self.pasts[rel] = past_at(self.snapshots, self.change.start, rel, profile)
        return self.pasts[rel]


def _looser(number: Threshold, old: float, new: float) -> bool:
    return (new - old) * LOOSER.get(number.looser, 0) > 0


def _longest(frame: _Frame) -> float:
    return frame.context.thresholds.get(LONGEST.name, LONGEST.value)


def _head(control: Control) -> tuple[object, ...]:
    """Return what a control file says beside its settings that can decide what is found."""
    return control.reset_style, control.sizes, control.complete, control.stated, control.lists


def _less(before: Open, after: Open) -> dict[Key, Severity]:
    """Return what was found and is not any more, or less severe."""
    return {
        key: severity
        for key, severity in before.items()
        if key not in after or not after[key].at_least(severity)
    }  # fmt: skip
