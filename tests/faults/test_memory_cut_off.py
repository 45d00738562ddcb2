"""A check that is killed at any point of writing its memory: the next answer is the one of an empty memory."""

from __future__ import annotations

import os
import secrets
import shutil
import sys
from datetime import date
from pathlib import Path
from typing import Final

import pytest

from settingslint.checking import check as checking
from settingslint.checking import memory
from settingslint.checking.check import Check
from settingslint.files.reader import Reader
from settingslint.history.past import Looker
from settingslint.output import Look, render
from tests.bench.portfolio import make
from tests.history.kit import Work
from tests.history.test_visit_cut_off import _Killer

if sys.platform == "win32":
    pytest.skip("needs fork and SIGKILL", allow_module_level=True)

AS_OF: Final = date(2026, 11, 25)
MOST_POINTS: Final = 100


def answer(folder: Path, kept: Path | None) -> str:
    reader = Reader(folder, AS_OF, history=Looker(folder))
    return render("json", Check(reader, None, kept).report([folder]), Look())


def killed_at(folder: Path, kept: Path, at: int) -> bool:
    """Check in a child that is killed before the step of that number; return whether it was."""
    child = os.fork()
    if child == 0:
        status = 1
        try:
            killer = _Killer(at)
            for owner, name in ((secrets, "token_hex"), (os, "replace"), (Path, "unlink"), (os, "mkdir")):
                killer.watch(owner, name)
            answer(folder, kept)
            status = 0
        finally:
            os._exit(status)
    _, status = os.waitpid(child, 0)
    assert os.WIFSIGNALED(status) or os.WEXITSTATUS(status) == 0
    return os.WIFSIGNALED(status)


def test_killed_at_every_point_of_writing_the_memory(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(checking, "FEWEST_REMEMBERED", 1)
    monkeypatch.setattr(memory, "tool", lambda: b"this program")  # whose files somebody may be working on
    make(tmp_path / "estate", 6)
    work = Work(tmp_path / "estate")
    work.commit("first record")
    before = tmp_path / "before"
    answer(work.folder, before)
    assert list(before.glob("*.memory")) and (before / "history").is_file()
    was = {file: file.read_text(encoding="utf-8") for file in sorted((work.folder / "sites").rglob("*.toml"))}
    for file in list(was)[1:]:
        file.write_text(was[file].replace("heating_setpoint = 1", "heating_setpoint = 2"), encoding="utf-8")
    work.commit("bulk edit")
    for file in list(was)[3:]:  # the same bytes again, with another past
        file.write_text(was[file], encoding="utf-8")
    work.commit("half of it taken back")
    right = answer(work.folder, None)
    points = 0
    for at in range(MOST_POINTS):
        kept = tmp_path / f"kept-{at}"
        shutil.copytree(before, kept)
        if not killed_at(work.folder, kept, at):
            break
        points += 1
        assert answer(work.folder, kept) == right
        assert answer(work.folder, kept) == right
    else:
        raise AssertionError("it never came to its end")
    assert points >= 4
