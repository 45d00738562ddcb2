"""Checking many plants: what is remembered is used again, the rest is audited, then all are looked at together."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Final

from settingslint.checking.audit import Result, finding_at
from settingslint.checking.beside import Beside, beside
from settingslint.checking.lost import lost
from settingslint.checking.memory import Memory, common
from settingslint.checking.report import Report
from settingslint.checking.several import together
from settingslint.checking.workers import FEWEST, Outcome, outcome, outcomes_by_workers
from settingslint.files.finding import CONTROLS, control_files, found, profile_files, root_of
from settingslint.files.names import all_shown, shown
from settingslint.files.reader import Reader
from settingslint.files.reading import digest
from settingslint.model.values import Problem, Unreadable
from settingslint.rules import all_rules
from settingslint.rules.base import Draft, Finding
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule

Progress = Callable[[int, int], None]
"""Is told the number of plants done and the number of all."""
FEWEST_REMEMBERED: Final = 40
"""With fewer plants, reading the memory costs more than it saves."""
PLANTS_HELD: Final = 16
"""Plants that are held while rules about several plants place what they find; each is some 200 KB."""


def check(
    paths: Sequence[Path],
    as_of: date,
    rules: Sequence[Rule] | None = None,
    progress: Progress | None = None,
    keep: dict[str, Plant] | None = None,
    memory: Path | None = None,
    workers: int = 1,
) -> Report:
    """Return what the rules say of all plants below the paths.

    Args:
        paths: portfolio folders, site folders or single profiles, all of one portfolio.
        as_of: the date on which temporary values, acceptances and readings are judged.
        rules: the rules to ask; all of them where None.
        progress: told how far it is.
        keep: filled with the plants by their path, where somebody wants more of them than the results.
        memory: folder in which results are remembered; none are where None.
        workers: processes that work at once.
    """
    check_ = Check(Reader(root_of(paths[0]), as_of), rules, memory, workers)
    return check_.report(paths, progress, keep)


class Check:
    """One check of plants that one reader reads."""

    def __init__(
        self, reader: Reader, rules: Sequence[Rule] | None = None, memory: Path | None = None, workers: int = 1
    ) -> None:
        self.reader = reader
        self.rules = tuple(rules) if rules is not None else all_rules()
        self.workers = workers if rules is None else 1
        self.folder = memory
        self.memory = Memory()
        self.files: dict[str, Path] = {}
        """The profiles of the last report by their names as they are shown."""
        self.other_past: frozenset[str] = frozenset()
        """Profiles of which nothing that is remembered counts, since their past is another."""
        self.unread: tuple[str, ...] = ()
        """Entries of the last report that may hold a plant and were not read, as they are shown."""
        self.lost: Mapping[str, Problem] = {}
        """What the last report says of plants that git tracks and that were not read, by their paths as shown."""

    def report(
        self, paths: Sequence[Path], progress: Progress | None = None, keep: dict[str, Plant] | None = None
    ) -> Report:
        """Return what the rules say of all plants below the paths."""
        reader = self.reader
        here = reader.root.resolve()
        for path in paths[1:]:
            if root_of(path).resolve() != here:
                message = "lies in another portfolio than the first path: check each by itself"
                reader.problems.append(Problem(shown(path), 1, 1, message))
        paths = [paths[0], *(path for path in paths[1:] if root_of(path).resolve() == here)]
        looks = [found(path) for path in paths]
        files = {name: file for file, name in all_shown(file for look in looks for file in look.profiles)}
        self.files = files
        unread = [one for look in looks for one in look.problems]
        self.unread = tuple(one.file for one in unread)
        if len(files) >= FEWEST_REMEMBERED and keep is None:
            self.memory = Memory(self.shared(), self.folder)
            if reader.history is not None:
                self.memory.follow(reader.history.id, reader.history.touched)
        every = dict(files)
        if any(path.resolve() == here for path in paths):
            strange = {one.path for look in looks for one in look.unread}
            for file in control_files(reader.root / CONTROLS):
                if file not in strange:  # also one that no plant names is told where it can't be read
                    reader.control(file.stem)
        else:
            every.update((name, file) for file, name in all_shown(profile_files(reader.root)))
        results = self.results(files, every, progress, keep)
        if not files and not unread:
            unread = [Problem(shown(paths[0]), 1, 1, "no profile found here")]
        plants = {(one.site, one.plant) for one in results}
        self.lost = lost(reader, paths, files, plants, self.unread)
        self.memory.save()
        problems = tuple(
            sorted(
                {*reader.problems, *unread, *self.lost.values(), *(one for result in results for one in result.faults)}
            )
        )
        return Report(
            reader.portfolio, tuple(results), problems, self.rules, no_history=self._no_history(results)
        )  # fmt: skip

    def _no_history(self, results: Sequence[Result]) -> str:
        if not any("history" in lack.needs for result in results for lack in result.not_checked):
            return ""
        return self.reader.history.why_not() if self.reader.history is not None else ""

    def shared(self) -> bytes:
        """Return what identifies all that the plants share beside their controls."""
        return common(self.reader.portfolio.context, dict(self.reader.portfolio.severities), self.rules)

    def results(
        self,
        files: Mapping[str, Path],
        every: Mapping[str, Path],
        progress: Progress | None = None,
        keep: dict[str, Plant] | None = None,
    ) -> list[Result]:
        """Return the results of profiles by their shown names; what can't be read goes to the reader's problems.

        `every` are all profiles of the portfolio: rules about several plants see the whole sites of those that were
        asked for.
        """
        reader = self.reader
        remembered = {} if keep is not None else self._remembered(files)
        results: list[Result] = []
        failed: list[str] = []
        work = self._work([(file, name) for name, file in files.items() if name not in remembered], keep)
        for done, name in enumerate(files):
            result = remembered.pop(name, None)
            if result is None:
                new = next(work)
                if isinstance(new, Unreadable):
                    reader.problems += new.problems
                    failed.append(name)
                    continue
                result = new[2]
                if not result.history:  # what can't be read today may be there tomorrow
                    self.memory.keep(name, *new)
            results.append(result)
            if progress:
                progress(done + 1, len(files))

        @lru_cache(maxsize=PLANTS_HELD)
        def plant_of(name: str) -> Plant:
            return keep[name] if keep is not None else reader.plant(files[name])

        near = beside(reader, {one.path: one.site for one in results}, every, files, (*failed, *self.unread))
        reader.problems += _same_names(results, near, plant_of)
        return self._together(results, near, plant_of)

    def _remembered(self, files: Mapping[str, Path]) -> dict[str, Result]:
        """Return the results that are remembered of files that are as they were."""
        if not self.memory.shared:
            return {}
        reader = self.reader
        found = {}
        for name, file in files.items():
            if name in self.other_past:
                continue
            try:
                content = digest(reader.files.read(file, name))
            except Unreadable:
                continue
            result = self.memory.recall(name, content, reader.control_digest)
            if result is not None:
                found[name] = result
        return found

    def _work(self, files: Sequence[tuple[Path, str]], keep: dict[str, Plant] | None) -> Iterator[Outcome]:
        """Yield the outcomes of files in their order."""
        if self.workers > 1 and len(files) >= FEWEST and keep is None:
            yield from outcomes_by_workers(self.reader, files, self.workers)
            return
        for file, name in files:
            yield outcome(self.reader, self.rules, file, name, keep)

    def _together(self, results: Sequence[Result], near: Beside, plant_of: Callable[[str], Plant]) -> list[Result]:
        made: dict[str, list[tuple[str, Draft, Finding]]] = {}

        def place(result: Result, rule: Rule, draft: Draft) -> Finding:
            before = self.memory.placed(result.path)
            found = next((one for at, what, one in before if at == rule.name and what == draft), None)
            if found is None:
                found = finding_at(rule, draft, plant_of(result.path))
            made.setdefault(result.path, []).append((rule.name, draft, found))
            return found

        portfolio = self.reader.portfolio
        whole = together(
            results,
            self.rules,
            portfolio.context.as_of,
            portfolio.severities,
            place,
            portfolio.context.thresholds,
            near,
        )
        for result in results:
            self.memory.place(result.path, made.get(result.path, []))
        return whole


def _same_names(results: Sequence[Result], near: Beside, plant_of: Callable[[str], Plant]) -> list[Problem]:
    """Return a problem at every plant but the first, by path, of those that share site and name."""
    named: dict[tuple[str, str], list[str]] = {}
    for result in results:
        named.setdefault((result.site, result.plant), []).append(result.path)
    for one in near.summaries:
        if (one.site, one.name) in named:
            named[one.site, one.name].append(one.path)
    own = {result.path for result in results}
    problems = []
    for (site, name), paths in named.items():
        first, *others = sorted(paths)
        for path in own.intersection(others):
            message = f"the site {site} already has a plant named {name}: {first}"
            problems.append(plant_of(path).profile.source.problem(("plant", "name"), message))
    return problems
