"""Many plants: finding the files, reading them, asking the rules, and keeping count of what could not be checked."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path, PurePath
from typing import Final

from settingslint.audit import Result, audit, finding_at
from settingslint.files import Disk, Files
from settingslint.model.control import Control, control_from
from settingslint.model.profile import Profile, profile_from
from settingslint.model.source import parse
from settingslint.model.validate import check_schema
from settingslint.model.values import Problem, Unreadable
from settingslint.rules import all_rules
from settingslint.rules.acceptance import ACCEPTANCE, Accepted
from settingslint.rules.base import Draft, Finding, Missing, NotChecked, Rule, Severity
from settingslint.rules.plant import Context, Plant, Summary
from settingslint.units import System, to_si

PORTFOLIO_FILE: Final = "portfolio.toml"
CONTROLS: Final = "controls"


@dataclass(frozen=True, slots=True)
class Portfolio:
    """A folder of plants: `controls/` and `sites/` below `root`, and what portfolio.toml sets."""

    root: Path
    name: str
    context: Context
    severities: Mapping[str, Severity] = field(default_factory=dict)
    longest_acceptance_days: int | None = None


Key = tuple[str, str, str, str]
"""What identifies a finding in two revisions: site, plant, rule, and setting or fact."""


def key_of(result: Result, finding: Finding) -> Key:
    """Return what identifies a finding when lines move and numbers change."""
    return (result.site, result.plant, finding.rule, finding.at)


@dataclass(frozen=True, slots=True)
class Report:
    """All results of one check, in the order of their paths, and the files that could not be read."""

    portfolio: Portfolio
    results: tuple[Result, ...]
    problems: tuple[Problem, ...]
    rules: tuple[Rule, ...]
    known: frozenset[Key] | None = None
    """Findings that an earlier revision had already, by the names of today; None where none was named."""
    known_from: str = ""

    def is_known(self, result: Result, finding: Finding) -> bool:
        """Return whether the earlier revision had a finding already."""
        return self.known is not None and key_of(result, finding) in self.known

    def exit_status(self, stop_at: Severity | None) -> int:
        """Return 2 where a file could not be read, 1 for new findings at or above `stop_at` not accepted, else 0."""
        if self.problems:
            return 2
        return int(
            stop_at is not None
            and any(
                finding.accepted is None and finding.severity.at_least(stop_at) and not self.is_known(result, finding)
                for result in self.results
                for finding in result.findings
            )
        )


def shown(path: Path) -> str:
    """Return a path as messages show it: relative to the working directory where it is below it, with slashes."""
    try:
        return path.resolve().relative_to(Path.cwd()).as_posix()
    except ValueError:
        return path.as_posix()


def root_of(path: Path) -> Path:
    """Return the portfolio's folder for a file or folder in it: the nearest parent with portfolio.toml or controls/."""
    start = path if path.is_dir() else path.parent
    for folder in (start, *start.resolve().parents):
        if (folder / PORTFOLIO_FILE).is_file() or (folder / CONTROLS).is_dir():
            return folder
    return start


def profile_files(path: Path) -> list[Path]:
    """Return the profiles below a folder, sorted; a file is itself."""
    if not path.is_dir():
        return [path]
    below = path / "sites" if (path / "sites").is_dir() else path
    return sorted(file for file in below.rglob("*.toml") if is_profile(file.relative_to(path)))


def is_profile(file: PurePath) -> bool:
    """Return whether a file is a profile, by its path from the portfolio's folder.

    >>> is_profile(PurePath("sites/mill/boiler-1.toml")), is_profile(PurePath("controls/plain.toml"))
    (True, False)
    """
    named = file.suffix == ".toml" and file.name != PORTFOLIO_FILE and file.parts[0] != CONTROLS
    return named and not any(part.startswith(".") for part in file.parts)


class Reader:
    """Reads the files of one portfolio; controls are read once. Problems gather in `problems`."""

    def __init__(self, root: Path, as_of: date, files: Files | None = None) -> None:
        self.problems: list[Problem] = []
        self.root = root
        self.files: Files = files or Disk()
        self._controls: dict[str, Control | None] = {}
        self.portfolio = self._portfolio(as_of)

    def _portfolio(self, as_of: date) -> Portfolio:
        file = self.root / PORTFOLIO_FILE
        plain = Portfolio(self.root, self.root.name, Context(as_of))
        if not self.files.exists(file):
            return plain
        try:
            source = parse(self.files.read(file, shown(file)), shown(file))
            check_schema(source, "portfolio")
        except Unreadable as unread:
            self.problems += unread.problems
            return plain
        data = source.data
        system: System = data.get("units", "metric")
        known = {item.name: item for rule in all_rules() for item in rule.thresholds}
        thresholds: dict[str, float] = {}
        for name, raw in data.get("thresholds", {}).items():
            if name in known:
                thresholds[name] = to_si(float(raw), known[name].kind, system)
            else:
                self.problems.append(source.problem_at_key(("thresholds", name), _unknown("threshold", name, known)))
        rules = {rule.name for rule in all_rules()}
        severities: dict[str, Severity] = {}
        for name, word in data.get("severities", {}).items():
            if name in rules:
                severities[name] = Severity(word)
            else:
                self.problems.append(source.problem_at_key(("severities", name), _unknown("rule", name, rules)))
        hours = None
        if "climate" in data:
            try:
                hours = self.files.hours(self.root, data["climate"], source)
            except Unreadable as unread:
                self.problems += unread.problems
        return Portfolio(
            self.root,
            data["name"],
            Context(as_of, thresholds, hours),
            severities,
            data.get("acceptance", {}).get("longest_days"),
        )

    def control(self, name: str) -> Control | None:
        """Return the control of that name, or None where its file is unreadable (its problems were kept once)."""
        if name not in self._controls:
            file = self.root / CONTROLS / f"{name}.toml"
            try:
                source = parse(self.files.read(file, shown(file)), shown(file))
                check_schema(source, "control")
                self._controls[name] = control_from(source)
            except Unreadable as unread:
                self._controls[name] = None
                if self.files.exists(file):
                    self.problems += unread.problems
        return self._controls[name]

    def profile(self, file: Path) -> Profile:
        """Return the profile of a file.

        Raises:
            Unreadable: where it can't be read or is not valid.
        """
        name = shown(file)
        source = parse(self.files.read(file, name), name)
        check_schema(source, "profile")
        return profile_from(source)

    def plant(self, file: Path) -> Plant:
        """Return the plant of a profile's file.

        Raises:
            Unreadable: where the profile or its control can't be used.
        """
        return self.plant_of(self.profile(file))

    def plant_of(self, profile: Profile) -> Plant:
        """Return the plant of a profile that was read.

        Raises:
            Unreadable: where its control can't be used.
        """
        control = self.control(profile.control)
        if control is None:
            path = self.root / CONTROLS / f"{profile.control}.toml"
            known = self.files.controls(self.root / CONTROLS)
            if self.files.exists(path):
                message = f"its control file {shown(path)} can't be used"
            else:
                message = f"there is no control file {shown(path)}{_nearest(profile.control, known)}"
            raise Unreadable([profile.source.problem(("plant", "control"), message)])
        return Plant(profile, control, self.portfolio.context)


def _nearest(name: str, known: Iterable[str]) -> str:
    near = difflib.get_close_matches(name, list(known), n=1, cutoff=0.5)
    return f"; did you mean {near[0]}?" if near else ""


def _unknown(what: str, name: str, known: Iterable[str]) -> str:
    return f"unknown {what} {name}{_nearest(name, known)}"


def check(
    paths: Sequence[Path],
    as_of: date,
    rules: Sequence[Rule] | None = None,
    progress: Callable[[int, int], None] | None = None,
    keep: dict[str, Plant] | None = None,
) -> Report:
    """Return what the rules say of all plants below the paths.

    Args:
        paths: portfolio folders, site folders or single profiles, all of one portfolio.
        as_of: the date on which temporary values, acceptances and readings are judged.
        rules: the rules to ask; all of them where None.
        progress: called with the number of plants done and the number of all.
        keep: filled with the plants by their path, where somebody wants more of them than the results.
    """
    asked = list(rules) if rules is not None else list(all_rules())
    reader = Reader(root_of(paths[0]), as_of)
    files = list(dict.fromkeys(file for path in paths for file in profile_files(path)))
    results: list[Result] = []
    plants: dict[str, Plant] = {} if keep is None else keep
    for done, file in enumerate(files):
        try:
            plant = reader.plant(file)
        except Unreadable as unread:
            reader.problems += unread.problems
            continue
        plants[plant.profile.path] = plant
        results.append(audit(plant, asked, reader.portfolio.severities))
        if progress:
            progress(done + 1, len(files))
    if not files:
        reader.problems.append(Problem(shown(paths[0]), 1, 1, "no profile found here"))
    reader.problems += _same_names(results, plants)
    results = together(results, asked, plants.__getitem__, reader.portfolio.severities)
    return Report(reader.portfolio, tuple(results), tuple(sorted(set(reader.problems))), tuple(asked))


def _same_names(results: Sequence[Result], plants: Mapping[str, Plant]) -> list[Problem]:
    first: dict[tuple[str, str], str] = {}
    problems = []
    for result in results:
        key = (result.site, result.plant)
        if key in first:
            source = plants[result.path].profile.source
            message = f"the site {result.site} already has a plant named {result.plant}: {first[key]}"
            problems.append(source.problem(("plant", "name"), message))
        else:
            first[key] = result.path
    return problems


def together(
    results: Sequence[Result],
    rules: Sequence[Rule],
    plant_of: Callable[[str], Plant],
    severities: Mapping[str, Severity],
) -> list[Result]:
    """Return the results with what the rules about several plants add to them."""
    by_path = {result.path: result for result in results}
    for rule in rules:
        if rule.scope in ("plant", ACCEPTANCE):
            continue
        for members in _groups(rule.scope, list(by_path.values())):
            found: dict[str, list[Draft]] = {}
            missing: dict[str, list[Missing]] = {}
            for summary, item in rule.check(members):
                if isinstance(item, Missing):
                    missing.setdefault(summary.path, []).append(item)
                else:
                    found.setdefault(summary.path, []).append(item)
            for member in members:
                by_path[member.path] = _with(
                    by_path[member.path], rule, found.get(member.path, []), missing.get(member.path, []),
                    plant_of, severities,
                )  # fmt: skip
        grouped = {member.path for members in _groups(rule.scope, list(by_path.values())) for member in members}
        for path, result in by_path.items():
            if path not in grouped:
                by_path[path] = replace(result, not_applicable=(*result.not_applicable, rule.name))
    return [_acceptances(result, rules, plant_of, severities) for result in by_path.values()]


def _acceptances(
    result: Result, rules: Sequence[Rule], plant_of: Callable[[str], Plant], severities: Mapping[str, Severity]
) -> Result:
    """Return a result with what the last rules say of its acceptances."""
    last = [rule for rule in rules if rule.scope == ACCEPTANCE]
    if not result.summary.accepted:
        return replace(result, not_applicable=(*result.not_applicable, *(rule.name for rule in last)))
    plant = plant_of(result.path)
    known = frozenset(rule.name for rule in rules)
    case = Accepted(result.summary.accepted, result.findings, plant.as_of, known)
    for rule in last:
        result = _with(result, rule, list(rule.check(case)), [], plant_of, severities)
    return result


def _groups(scope: str, results: Sequence[Result]) -> list[list[Summary]]:
    if scope == "portfolio":
        return [[result.summary for result in results]] if results else []
    groups: dict[tuple[str, str], list[Summary]] = {}
    for result in results:
        summary = result.summary
        if scope == "site":
            groups.setdefault((summary.site, ""), []).append(summary)
        elif summary.group is not None:
            groups.setdefault((summary.site, summary.group), []).append(summary)
    return list(groups.values())


def _with(
    result: Result,
    rule: Rule,
    drafts: Sequence[Draft],
    missing: Sequence[Missing],
    plant_of: Callable[[str], Plant],
    severities: Mapping[str, Severity],
) -> Result:
    findings = [
        finding_at(rule, replace(draft, severity=severities.get(rule.name, draft.severity)), plant_of(result.path))
        for draft in drafts
    ]
    if missing:
        needs = tuple(dict.fromkeys(lack.name for lack in missing))
        result = replace(result, not_checked=(*result.not_checked, NotChecked(rule.name, needs, missing[0].why)))
    if findings or not missing:
        result = replace(result, checked=(*result.checked, rule.name))
    ordered = sorted((*result.findings, *findings), key=lambda f: (f.severity.rank, f.line, f.column, f.rule))
    return replace(result, findings=tuple(ordered))


def unlocks(results: Iterable[Result]) -> list[tuple[str, int, int]]:
    """Return what is missing, as (name, checks it holds up, plants), those that unlock most first."""
    checks: dict[str, int] = {}
    plants: dict[str, set[str]] = {}
    for result in results:
        for lack in result.not_checked:
            for name in lack.needs:
                plain = _without_index(name)
                checks[plain] = checks.get(plain, 0) + 1
                plants.setdefault(plain, set()).add(result.path)
    return sorted(
        ((name, count, len(plants[name])) for name, count in checks.items()), key=lambda item: (-item[1], item[0])
    )


def _without_index(name: str) -> str:
    head, bracket, rest = name.partition("[")
    return head + rest.partition("]")[2] if bracket else name
