"""What is new since a revision: a report's findings beside those that the portfolio had there.

The portfolio of that revision is judged by the rules and on the date of today, so a finding is new when a change of a
profile, a control file or portfolio.toml brought it, and not when time did.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from settingslint.checking.check import Check
from settingslint.checking.report import Gone, Key, Report
from settingslint.checking.weakening import Weakening, worst_first
from settingslint.files.names import shown
from settingslint.files.reader import Reader
from settingslint.history.past import Looker
from settingslint.history.repository import Repository
from settingslint.history.snapshots import DISK, Snapshots, TreeFiles
from settingslint.history.weakened import Change, gone, weakenings


def compared(check: Check, report: Report, paths: Sequence[Path], revision: str) -> Report:
    """Return a report that tells what its portfolio had already at a revision.

    A plant is followed when its file moved or its name changed; what it had stands under the names of today.

    Args:
        check: what made the report.
        report: of the files as they are.
        paths: what was named: folders or profiles.
        revision: anything that names a commit.

    Raises:
        NoHistory: where there is no such commit, or no repository that can be read.
    """
    with Repository(check.reader.root) as repository:
        snapshots = Snapshots(repository, check.reader.root)
        id_ = repository.resolve(revision)
        tree = repository.commit(id_).tree
        context = check.reader.portfolio.context
        then = Looker(snapshots.root, id_)
        reader = Reader(snapshots.root, context.as_of, TreeFiles(repository, tree, snapshots.root, {}), then)
        names = {snapshots.rel(file): name for name, file in check.files.items()}
        steps, controls, owner = snapshots.steps(tree, DISK)
        moved = {step.old[0]: step.new[0] for step in steps if step.old is not None and step.new}
        folders = [path.resolve() for path in paths if path.is_dir()]
        before = Check(reader, check.rules)
        if before.shared() == check.memory.shared:
            others = then.touched(check.reader.history.id) if check.reader.history is not None else frozenset()
            if others is not None:
                before.memory, before.other_past = check.memory, others
        files: dict[str, Path] = {}
        every: dict[str, Path] = {}
        today: dict[str, str] = {}
        for rel, _ in snapshots.profiles(tree):
            file = snapshots.root / rel
            name = names.get(moved.get(rel, rel))
            every[names.get(rel) or shown(file)] = file
            if name is not None or any(file.is_relative_to(folder) for folder in folders):
                shown_then = names.get(rel) or shown(file)
                files[shown_then] = file
                today[shown_then] = name or shown_then
        results = before.results(files, every)
        change = Change(steps, controls, owner, DISK, repository.resolve("HEAD"), names.__contains__)
        weaker = weakenings(snapshots, reader, check.reader, change, context.as_of, check.rules)
    now = {result.path: result for result in report.results}
    open_: set[Key] = set()
    accepted: set[Key] = set()
    lost: list[Gone] = []
    farewells: list[Weakening] = []
    for result in results:
        if today[result.path] not in now and today[result.path] not in check.files:
            open_there = sum(one.accepted is None for one in result.findings)
            lost.append(Gone(result.path, result.site, result.plant, open_there))
            farewells.append(gone(result.path, result.site, result.plant, revision, result.findings))
        same = now.get(today[result.path], result)
        for finding in result.findings:
            key = (same.site, same.plant, finding.rule, finding.at)
            (open_ if finding.accepted is None else accepted).add(key)
    told = {check.lost[one.file] for one in lost if one.file in check.lost}
    problems = tuple(one for one in report.problems if one not in told)
    return replace(
        report, problems=problems, known=frozenset(open_), known_from=revision,
        once_accepted=frozenset(accepted - open_), gone=tuple(lost), weakened=worst_first([*weaker, *farewells]),
    )  # fmt: skip
