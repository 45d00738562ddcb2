"""Each commit of a long random history, told by the notes and by a naive reading of what `git show` prints."""

from __future__ import annotations

import random
import tomllib
from datetime import date
from pathlib import Path
from typing import Any

from settingslint.history.notes import notes
from settingslint.history.repository import Repository
from settingslint.history.snapshots import Snapshots
from settingslint.history.walk import events
from tests.bench.portfolio import TYPED, make, toml
from tests.history.kit import Work

COMMITS = 60
Changes = set[tuple[str, str, Any, Any]]
"""Path, setting, value typed before and after, as the files hold them."""


def history(folder: Path) -> Work:
    """Make a history of edits as people make them, some of which change nothing."""
    chance = random.Random(7)
    files = make(folder, 12)
    work = Work(folder)
    work.commit("first record")
    for number in range(COMMITS):
        for file in chance.sample(files, chance.choice([1, 1, 1, 2, 3])):
            text = file.read_text(encoding="utf-8")
            match chance.randrange(5):
                case 0:
                    text = f"# remark {number}\n{text}"
                case 1:
                    name = chance.choice(sorted(TYPED))
                    text = "\n".join(line for line in text.split("\n") if not line.startswith(f"{name} = "))
                case _:
                    lines = text.split("\n")
                    for name in chance.sample(sorted(TYPED), chance.randint(1, 3)):
                        value = toml(chance.choice(TYPED[name]))
                        said = f"{name} = {{ value = {value} }}" if chance.random() < 0.3 else f"{name} = {value}"
                        lines = [said if line.startswith(f"{name} = ") else line for line in lines]
                    text = "\n".join(lines)
            file.write_text(text, encoding="utf-8")
        work.commit(f"commit {number}")
    return work


def naive(work: Work, id_: str) -> Changes:
    """Return what a commit changed by reading both sides of every file that git names."""
    changes: Changes = set()
    for path in work.git("show", "--format=", "--name-only", "--no-renames", id_).split("\n"):
        if path.startswith("sites/"):
            old, new = (tomllib.loads(work.git("show", f"{one}:{path}"))["settings"] for one in (f"{id_}~1", id_))
            for name in {**old, **new}:
                before, after = (_plain(one.get(name)) for one in (old, new))
                if before != after:
                    changes.add((path, name, before, after))
    return changes


def _plain(value: Any) -> Any:
    return value.get("value") if isinstance(value, dict) else value


def test_each_commit_by_itself_and_all_of_them_as_git_shows_them(tmp_path: Path) -> None:
    work = history(tmp_path / "p")
    ids = work.git("rev-list", "--reverse", "HEAD").split()
    wanted = {id_: naive(work, id_) for id_ in ids[1:]}
    assert sum(map(len, wanted.values())) > COMMITS, "the history is worth comparing"
    with Repository(work.folder) as repository:
        told: dict[str, Changes] = {id_: set() for id_ in ids[1:]}
        first, last = (repository.commit(one) for one in (ids[0], ids[-1]))
        for event in events(Snapshots(repository, work.folder), first, last, date(2026, 11, 25)):
            for change in event.differences.settings:
                before, after = (_in_file(change.name, value) for value in change.typed)
                if before != after:
                    told[event.commit.id].add((event.rel, change.name, before, after))
        assert told == wanted
        for id_ in random.Random(1).sample(ids[1:], 12):
            rows = {
                (Path(note.path).relative_to(work.folder).as_posix(), row.change.name)
                for note in notes(repository, work.folder, id_).notes
                for row in note.rows
                if row.change.typed[0] != row.change.typed[1]
            }
            assert rows == {(path, name) for path, name, _, _ in wanted[id_]}


POINTS = (
    "heating_setpoint", "reset_endpoint", "warm_weather_shutdown", "tank_setpoint", "hot_water_boiler_setpoint",
    "high_limit",
)  # fmt: skip


def _in_file(name: str, value: Any) -> Any:
    """Return an SI value as the US file holds it; units by hand, independent of the project's table."""
    if not isinstance(value, float):
        return value
    if name in POINTS:
        return round(value * 1.8 + 32, 6)
    if name in {"heating_differential", "tank_differential", "night_setback"}:
        return round(value * 1.8, 6)
    if name in {"priority_time_limit", "pump_overrun", "minimum_off_time"}:
        return value / 60
    if name == "keep_warm":
        return value / 3600
    return value
