"""What is remembered is never stale: whatever changes, the answer is the one of an empty memory."""

from __future__ import annotations

import json
import os
import pickle
import random
import shutil
import sys
import tempfile
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from settingslint.checking import check as checking
from settingslint.checking import memory, workers
from settingslint.checking.audit import audit as real_audit
from settingslint.checking.check import check
from settingslint.files.reading import DIGEST_SIZE, digest
from settingslint.output import Look, render
from tests.bench.portfolio import make

AS_OF = date(2026, 11, 25)
TOOL = memory.tool
CLIMATE = Path(__file__).parents[2] / "profiles" / "climate" / "synthetic-cool.csv"


@pytest.fixture(autouse=True)
def _few(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(checking, "FEWEST_REMEMBERED", 1)
    monkeypatch.setattr(memory, "tool", lambda: b"this program")  # whose files somebody may be working on


@pytest.fixture(scope="module")
def estate(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("estate")
    make(folder, 12)
    return folder


@pytest.fixture
def audits(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The profiles that are audited from here on, in their order."""
    seen: list[str] = []

    def audit(plant: Any, *rest: Any) -> Any:
        seen.append(Path(plant.profile.path).as_posix())
        return real_audit(plant, *rest)

    monkeypatch.setattr(workers, "audit", audit)
    return seen


def answer(folder: Path, kept: Path | None, as_of: date = AS_OF, **more: Any) -> str:
    return render("json", check([folder], as_of, memory=kept, **more), Look())


# -- any input, changed in any way ---------------------------------------------------------------------------------


class World:
    """A portfolio, the date and the memory, of which anything can change."""

    def __init__(self, folder: Path, chance: random.Random) -> None:
        self.folder = folder / "estate"
        self.kept = folder / "memory"
        self.as_of = AS_OF
        self.chance = chance
        make(self.folder, 4, seed=7)
        shutil.copy(CLIMATE, self.folder / "hours.csv")
        self.owner: dict[str, str] = {}

    def any_file(self, below: str) -> Path | None:
        files = sorted((self.folder / below).rglob("*.toml"))
        return self.chance.choice(files) if files else None

    def edit(self, file: Path | None) -> None:
        """Change one line in one of the ways in which people and accidents change lines."""
        if file is None:
            return
        lines = file.read_text(encoding="utf-8", errors="replace").split("\n")
        at = self.chance.randrange(len(lines))
        ways: list[Callable[[str], str]] = [
            lambda line: line.replace("1", "2", 1), lambda line: line.replace("0", "5", 1),
            lambda line: line.replace("true", "false"), lambda line: "", lambda line: line + " # a remark",
            lambda line: line.upper(), lambda line: line + "\n\n", lambda line: line.replace("Boiler", "Kettle"),
            lambda line: line.replace("kit", "kit-b"), lambda line: line.replace("2026", "2025"),
        ]  # fmt: skip
        lines[at] = self.chance.choice(ways)(lines[at])
        file.write_text("\n".join(lines), encoding="utf-8")

    def edit_profile(self) -> None:
        self.edit(self.any_file("sites"))

    def edit_control(self) -> None:
        self.edit(self.any_file("controls"))

    def swap_profiles(self) -> None:
        one, other = self.any_file("sites"), self.any_file("sites")
        if one and other:
            a, b = one.read_bytes(), other.read_bytes()
            stamp = one.stat()
            one.write_bytes(b)
            other.write_bytes(a)
            os.utime(one, ns=(stamp.st_atime_ns, stamp.st_mtime_ns))  # times of files say nothing

    def copy_profile(self) -> None:
        if file := self.any_file("sites"):
            file.with_name(f"copy-{self.chance.randrange(3)}.toml").write_bytes(file.read_bytes())

    def move_profile(self) -> None:
        if file := self.any_file("sites"):
            new = self.folder / "sites" / f"moved-{self.chance.randrange(3)}" / file.name
            new.parent.mkdir(exist_ok=True)
            file.rename(new)

    def remove_profile(self) -> None:
        if file := self.any_file("sites"):
            file.unlink()

    def break_file(self) -> None:
        if file := self.any_file(self.chance.choice(["sites", "controls"])):
            file.write_bytes(file.read_bytes()[: self.chance.randrange(400)])

    def remove_control(self) -> None:
        if file := self.any_file("controls"):
            file.rename(file.with_suffix(".gone"))

    def own(self) -> None:
        """Change what the owner sets: thresholds, severities, the weather file, the units."""
        choices = {
            "need_margin": "[thresholds]\nneed-margin = 9\n",
            "severities": '[severities]\nkeep-warm-with-tank = "danger"\n',
            "climate": 'climate = "hours.csv"\n',
            "units": 'units = "metric"\n',
            "days": "[acceptance]\nlongest_days = 9\n",
        }
        name = self.chance.choice(sorted(choices))
        if self.owner.pop(name, None) is None:
            self.owner[name] = choices[name]
        parts = sorted(self.owner.values(), key=lambda text: text.startswith("["))
        (self.folder / "portfolio.toml").write_text('format = 1\nname = "P"\n' + "".join(parts), encoding="utf-8")

    def warm_up(self) -> None:
        file = self.folder / "hours.csv"
        file.write_text(file.read_text(encoding="utf-8").replace(",1", ",2", 40), encoding="utf-8")

    def time_passes(self) -> None:
        self.as_of += timedelta(days=self.chance.choice([-400, -1, 1, 30, 400]))


CHANGES = [
    World.edit_profile, World.edit_profile, World.edit_profile, World.edit_control, World.swap_profiles,
    World.copy_profile, World.move_profile, World.remove_profile, World.break_file, World.remove_control, World.own,
    World.own, World.warm_up, World.time_passes,
]  # fmt: skip


@settings(max_examples=30, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.lists(st.sampled_from(CHANGES), min_size=1, max_size=6), st.integers(0, 2**32))
def test_any_change_of_any_input_gives_the_answer_of_an_empty_memory(
    changes: list[Callable[[World], None]], seed: int
) -> None:
    with tempfile.TemporaryDirectory() as name:
        world = World(Path(name), random.Random(seed))
        answer(world.folder, world.kept, world.as_of)
        for change in changes:
            change(world)
            remembered = answer(world.folder, world.kept, world.as_of)
            assert remembered == answer(world.folder, None, world.as_of), change.__name__
            assert remembered == answer(world.folder, world.kept, world.as_of), "and once more"


# -- what it saves ---------------------------------------------------------------------------------------------------


def test_nothing_changed_is_audited_and_one_changed_is_one(estate: Path, tmp_path: Path, audits: list[str]) -> None:
    folder, kept = shutil.copytree(estate, tmp_path / "p"), tmp_path / "m"
    first = answer(folder, kept)
    assert len(audits) == 12
    audits.clear()
    assert answer(folder, kept) == first
    assert audits == []
    changed = folder / "sites" / "site-00000" / "boiler-04.toml"
    changed.write_text(changed.read_text(encoding="utf-8") + "# a remark\n", encoding="utf-8")
    answer(folder, kept)
    assert [Path(one).name for one in audits] == ["boiler-04.toml"]


def test_a_changed_control_concerns_its_plants_only(estate: Path, tmp_path: Path, audits: list[str]) -> None:
    folder, kept = shutil.copytree(estate, tmp_path / "p"), tmp_path / "m"
    answer(folder, kept)
    audits.clear()
    control = folder / "controls" / "kit-b.toml"
    control.write_text(control.read_text(encoding="utf-8") + "# a remark\n", encoding="utf-8")
    answer(folder, kept)
    ours = [file for file in folder.rglob("sites/**/*.toml") if 'control = "kit-b"' in file.read_text(encoding="utf-8")]
    assert 0 < len(audits) == len(ours) < 12


def test_another_program_remembers_nothing(
    estate: Path, tmp_path: Path, audits: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    answer(estate, tmp_path)
    audits.clear()
    monkeypatch.setattr(memory, "tool", lambda: b"another")
    answer(estate, tmp_path)
    assert len(audits) == 12


def test_the_program_is_known_by_its_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    package = shutil.copytree(Path(memory.__file__).parents[1], tmp_path / "settingslint")
    monkeypatch.setattr(memory, "__file__", str(package / "checking" / "memory.py"))
    before = TOOL()
    assert before == TOOL()
    rule = package / "rules" / "heating" / "need.py"
    rule.write_text(rule.read_text(encoding="utf-8") + "\n", encoding="utf-8")
    assert TOOL() != before


def test_few_plants_are_not_remembered(
    estate: Path, tmp_path: Path, audits: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(checking, "FEWEST_REMEMBERED", 13)
    answer(estate, tmp_path)
    assert list(tmp_path.iterdir()) == []


# -- damage ----------------------------------------------------------------------------------------------------------


class Harm:
    def __reduce__(self) -> tuple[Any, tuple[str]]:
        return os.mkdir, (str(Path(tempfile.gettempdir()) / "settingslint-harm"),)


def damages() -> Iterator[Callable[[bytes], bytes]]:
    head = len(memory.HEAD)
    yield lambda content: b""
    yield lambda content: content[:-1]
    yield lambda content: content[: head + 10]
    yield lambda content: content + b"\0"
    yield lambda content: content[:-40] + bytes([content[-40] ^ 1]) + content[-39:]
    yield lambda content: content.replace(b"memory 1", b"memory 2")
    yield lambda content: b"\x80\x04N."
    # well-formed, with the right digest, and meaning harm
    yield lambda content: _with_body(content, pickle.dumps([("sites/a.toml", Harm())]))
    yield lambda content: _with_body(content, pickle.dumps("nothing of ours"))


def _kept(file: Path) -> object:
    """Return what a file of the memory holds, which must be whole. Its bytes tell also which parts were one object."""
    content = file.read_bytes()
    start = len(memory.HEAD) + DIGEST_SIZE
    told, body = content[start : start + DIGEST_SIZE], content[start + DIGEST_SIZE :]
    assert content.startswith(memory.HEAD)
    assert told == digest(body)
    return content[:start], memory.unpack(body)


def _with_body(content: bytes, body: bytes) -> bytes:
    start = len(memory.HEAD) + DIGEST_SIZE
    return content[:start] + digest(body) + body


@pytest.mark.parametrize("number", range(9))
def test_a_damaged_memory_is_passed_over_and_written_anew(estate: Path, tmp_path: Path, number: int) -> None:
    harm = Path(tempfile.gettempdir()) / "settingslint-harm"
    first = answer(estate, tmp_path)
    files = sorted(tmp_path.glob("*.memory"))
    good = [_kept(file) for file in files]
    assert files and all(good)
    damage = list(damages())[number]
    for file in files:
        file.write_bytes(damage(file.read_bytes()))
    assert answer(estate, tmp_path) == first
    assert not harm.exists()
    assert [_kept(file) for file in files] == good
    assert sorted(tmp_path.glob("*.memory")) == files


def test_nothing_but_parts_of_results_is_read() -> None:
    with pytest.raises(pickle.UnpicklingError, match="mkdir"):
        memory.unpack(pickle.dumps(Harm()))


def test_where_it_can_t_be_written_the_answer_is_the_same(
    estate: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = answer(estate, None)
    in_the_way = tmp_path / "file"
    in_the_way.write_text("", encoding="utf-8")
    assert answer(estate, in_the_way / "below") == first

    def full(*_: Any, **more: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", full)
    assert answer(estate, tmp_path / "m") == first
    assert [file for file in (tmp_path / "m").iterdir() if file.name != "history"] == []  # and no leftovers


def test_a_memory_is_for_its_owner_only(estate: Path, tmp_path: Path) -> None:
    answer(estate, tmp_path / "m")
    assert (tmp_path / "m").stat().st_mode & 0o077 == 0
    assert all(file.stat().st_mode & 0o077 == 0 for file in (tmp_path / "m").glob("*.memory"))


# -- where it lies ---------------------------------------------------------------------------------------------------


@pytest.mark.skipif(os.name != "posix", reason="other platforms have other rules")
def test_it_lies_where_the_platform_says(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """XDG Base Directory Specification 0.8: $XDG_CACHE_HOME, else $HOME/.cache; a relative path is to be ignored."""
    monkeypatch.setenv("HOME", "/home/somebody")
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setenv("XDG_CACHE_HOME", "/var/somewhere")
    one = memory.folder_for(tmp_path / "one")
    assert one.parent == Path("/var/somewhere/settingslint")
    monkeypatch.setenv("XDG_CACHE_HOME", "somewhere")
    assert memory.folder_for(tmp_path / "one").parent == Path("/home/somebody/.cache/settingslint")
    monkeypatch.delenv("XDG_CACHE_HOME")
    assert memory.folder_for(tmp_path / "one").parent == Path("/home/somebody/.cache/settingslint")
    assert memory.folder_for(tmp_path / "one") != memory.folder_for(tmp_path / "two")


def test_packed_results_are_the_same(estate: Path) -> None:
    results = check([estate], AS_OF).results
    assert memory.unpack(memory.pack(results)) == results
    assert json.loads(answer(estate, None))["totals"]["plants"] == 12
