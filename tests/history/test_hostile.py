"""Repositories on hostile ground: nothing they name is run, no path or object breaks a reading command."""

from __future__ import annotations

import os
import shutil
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from settingslint.history import NoHistory
from settingslint.history.notes import Notes, notes
from settingslint.history.repository import Repository
from settingslint.output import Look
from settingslint.output.notes import FORMS, render_notes
from tests.bench.portfolio import text_of
from tests.history.kit import ENVIRONMENT, Work, started
from tests.rules.kit import profile_data, put

PROFILE = "sites/mill/boiler-1.toml"
COMMANDS = (
    ["notes"], ["notes", "HEAD~1..HEAD"], ["notes", "--worktree"], ["timeline", PROFILE], ["check", "--no-memory"],
    ["check", "--no-memory", "--new-since", "HEAD~1"],
)  # fmt: skip


def noted(work: Work, revisions: str | None = None, worktree: bool = False) -> Notes:
    """Return the notes of a repository."""
    with Repository(work.folder) as repository:
        return notes(repository, work.folder, revisions, worktree)


def run(words: list[str], folder: Path, **extra: str) -> subprocess.CompletedProcess[str]:
    """Run the command line in a folder."""
    root = Path(__file__).parents[2]
    environment = {**os.environ, **ENVIRONMENT, "PYTHONPATH": str(root), **extra}
    return subprocess.run(
        [sys.executable, "-m", "settingslint", *words], cwd=folder, env=environment, capture_output=True, text=True,
        check=False, timeout=120,
    )  # fmt: skip


def armed(work: Work) -> Path:
    """Make a repository run a program that leaves a mark, wherever git can be made to; return the mark."""
    mark = work.folder.parent / "ran"
    program = work.folder.parent / "program"
    program.write_text(f'#!/bin/sh\necho "$0 $*" >> "{mark}"\ncat 2>/dev/null\n', encoding="utf-8")
    program.chmod(program.stat().st_mode | stat.S_IXUSR)
    hooks = work.folder / ".git/hooks"
    hooks.mkdir(exist_ok=True)
    for name in ("post-index-change", "reference-transaction", "pre-auto-gc", "fsmonitor-watchman", "post-checkout"):
        shutil.copy(program, hooks / name)
    work.write(".gitattributes", "*.toml diff=evil filter=evil merge=evil\n")
    work.git("add", ".gitattributes")
    work.git("-c", "core.hooksPath=/dev/null", "commit", "-q", "-m", "attributes")
    for key in (
        "diff.external", "diff.evil.command", "diff.evil.textconv", "filter.evil.clean", "filter.evil.smudge",
        "filter.evil.process", "merge.evil.driver", "core.pager", "pager.log", "pager.show", "pager.diff",
        "core.fsmonitor", "core.editor", "core.sshCommand", "core.askPass", "gpg.program", "core.alternateRefsCommand",
        "interactive.diffFilter", "credential.helper", "sequence.editor", "uploadpack.packObjectsHook",
    ):  # fmt: skip
        work.git("config", key, str(program))
    for alias in ("rev-list", "rev-parse", "cat-file", "diff-tree", "notes", "log"):
        work.git("config", f"alias.{alias}", f"!{program}")
    work.git("config", "log.showSignature", "true")
    mark.unlink(missing_ok=True)
    return mark


def test_nothing_that_the_configuration_names_is_run(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.profile(changes={"settings.heating_setpoint": 150})
    work.commit()
    mark = armed(work)
    work.profile(changes={"settings.heating_setpoint": 155})
    for words in (("diff",), ("status",), ("log", "-p", "--ext-diff")):
        work.git(*words, check=False)
        assert mark.exists(), f"git {words} would have run it: without this the test shows nothing"
        mark.unlink()
    for command in COMMANDS:
        done = run(command, work.folder, GIT_EXTERNAL_DIFF=str(work.folder.parent / "program"))
        assert done.returncode in (0, 1), done.stderr
        assert "Traceback" not in done.stderr
        assert not mark.exists(), f"{command}: {mark.read_text(encoding='utf-8')}"


@pytest.mark.parametrize("revision", ["--output=stolen", "-p", "--upload-pack=touch stolen", "--exec=touch stolen"])
def test_revisions_that_look_like_options_are_refused(tmp_path: Path, revision: str) -> None:
    work = started(tmp_path / "p")
    for words in (["notes", "--", revision], ["notes", "--", f"HEAD..{revision}"], ["check", "--new-since", revision]):
        done = run(words, work.folder)
        assert done.returncode == 2
        assert "is no revision" in done.stderr
        assert not (work.folder / "stolen").exists()


@pytest.mark.parametrize(
    "name",
    [
        b"a b/boiler 1.toml", b'qu"ote\'s/$(touch x).toml', b"new\nline/boi\nler.toml", b"tab\t/x.toml",
        b"-dash/-x.toml", b":(top)/*.toml", b"caf\xe9/\xff.toml", "größe/kessel-ü.toml".encode(),
        b"back\\slash/x.toml", b"\x1b[31m/x.toml",
    ],
)  # fmt: skip
def test_odd_names_of_paths(tmp_path: Path, name: bytes) -> None:
    work = started(tmp_path / "p")
    rel = "sites/" + os.fsdecode(name)
    data = profile_data()
    put(data, {"plant.name": "Boiler 2", "plant.serial": "K-2"})
    work.write(rel, text_of(data))
    work.commit()
    put(data, {"settings.heating_setpoint": 150})
    work.write(rel, text_of(data))
    work.commit()
    found = noted(work)
    assert not found.problems
    assert [row.change.name for note in found.notes for row in note.rows] == ["heating_setpoint"]
    for form in FORMS:
        text = render_notes(form, found, Look())
        assert "\x1b" not in text
        assert "boi\nler" not in text
        text.encode("utf-8", "strict")
    done = run(["timeline", "--form", "json", "--", rel], work.folder)
    assert done.returncode == 0, done.stderr
    assert len(noted(work, worktree=True).notes) == 0
    # and moved to another odd name
    work.write("sites/plain.toml", text_of(data))
    (work.folder / rel).unlink()
    work.commit()
    assert [note.moved_from is not None for note in noted(work).notes] == [True]


def test_a_submodule_is_named_and_not_read(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    head = work.git("rev-parse", "HEAD").strip()
    work.git("update-index", "--add", "--cacheinfo", f"160000,{head},sites/other")
    work.git("commit", "-q", "-m", "a submodule")
    found = noted(work)
    assert [one.message for one in found.problems] == ["is a submodule: not read"]


@pytest.mark.parametrize("target", ["/etc/passwd", "../../../../secret.toml", "boiler-1.toml"])
def test_symbolic_links_are_not_followed_in_history(tmp_path: Path, target: str) -> None:
    work = started(tmp_path / "p")
    (work.folder / "sites/mill/link.toml").symlink_to(target)
    work.commit()
    found = noted(work)
    assert [one.message for one in found.problems] == ["is a symbolic link: not followed in history"]
    (work.folder / "sites/mill/link.toml").unlink()
    (work.folder / "sites/folder").symlink_to("/etc")
    work.commit()
    assert "is a symbolic link: not followed in history" in [one.message for one in noted(work).problems]


def test_a_pointer_to_a_large_file_and_a_huge_file(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    oid = "4d7a214614ab2935c943f9e0ff69d22eadbb8f32b1258daaa5e2ca24d17e2393"
    work.write("sites/pointer.toml", f"version https://git-large.example/spec/v1\noid sha256:{oid}\nsize 12345\n")
    work.write("sites/huge.toml", b"# " + b"x" * 3_000_000)
    work.write("sites/none.toml", b"\0\1\2")
    work.commit()
    messages = {Path(one.file).name: one.message for one in noted(work).problems}
    assert messages["pointer.toml"].startswith("only the pointer to a large file")
    assert messages["huge.toml"] == "larger than 1,000,000 bytes: not read"
    assert messages["none.toml"].startswith("not ")
    # what can be read still is
    work.profile(changes={"settings.heating_setpoint": 150})
    work.commit()
    assert [row.change.name for note in noted(work).notes for row in note.rows] == ["heating_setpoint"]


def test_a_missing_object_is_named_and_the_rest_is_read(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.profile("sites/mill/boiler-2.toml", {"plant.name": "Boiler 2", "plant.serial": "K-2"})
    work.profile(changes={"settings.heating_setpoint": 150})
    work.commit()
    id_ = work.git("rev-parse", "HEAD:sites/mill/boiler-2.toml").strip()
    (work.folder / ".git/objects" / id_[:2] / id_[2:]).unlink()
    found = noted(work)
    assert [one.message for one in found.problems] == [f"git object {id_[:10]} can't be read: it is missing or broken"]
    assert [row.change.name for note in found.notes for row in note.rows] == ["heating_setpoint"]


def test_a_partial_clone_fetches_nothing(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.profile(changes={"settings.heating_setpoint": 150})
    work.commit()
    work.git("config", "uploadpack.allowFilter", "true")
    clone = tmp_path / "clone"
    Work(tmp_path / "other").git("clone", "-q", "--no-checkout", "--filter=blob:none", work.folder.as_uri(), str(clone))
    mark = tmp_path / "ran"
    subprocess.run(["git", "config", "remote.origin.uploadpack", f"touch {mark};"], cwd=clone, check=True)
    done = run(["notes", "--portfolio", str(clone)], clone)
    assert "Traceback" not in done.stderr
    assert done.returncode == 2
    assert "can't be read" in done.stdout + done.stderr
    assert "Nothing is told of" in done.stdout
    assert not mark.exists()
    subprocess.run(["git", "cat-file", "-p", f"HEAD:{PROFILE}"], cwd=clone, check=False, capture_output=True)
    assert mark.exists(), "git alone would have run it: without this the test shows nothing"


def test_a_broken_repository_is_one_line(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    (work.folder / ".git/HEAD").write_bytes(b"\xff\xfe\0")
    with pytest.raises(NoHistory):
        noted(work)
    done = run(["notes"], work.folder)
    assert done.returncode == 2
    assert len(done.stderr.strip().splitlines()) == 1
    done = run(["check", "--no-memory"], work.folder)
    assert "Traceback" not in done.stderr


def test_objects_named_by_another_hash(tmp_path: Path) -> None:
    folder = tmp_path / "p"
    subprocess.run(["git", "init", "-q", "--object-format=sha256", str(folder)], check=True)
    work = object.__new__(Work)
    work.folder, work.day = folder, 1
    work.control()
    work.profile()
    work.commit()
    with pytest.raises(NoHistory, match="SHA-256"):
        noted(work)
    assert run(["check", "--no-memory"], folder).returncode in (0, 1)


def test_commits_that_say_anything(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.profile(changes={"settings.heating_setpoint": 150})
    work.commit()
    tree = work.git("rev-parse", "HEAD^{tree}").strip()
    parent = work.git("rev-parse", "HEAD~1").strip()
    for rest in (
        "author \xff\xfe <x> 99999999999999999999 +9999\ncommitter x <x> 0 +0000\n\n\xff",
        "author nobody\ncommitter x <x> 0 +0000\n\nno author",
        "author \x1b[31m <x> -1 -0000\ncommitter x <x> 0 +0000\nencoding no-such\n\n\x07",
    ):
        head = f"tree {tree}\nparent {parent}\n{rest}"
        done = subprocess.run(
            ["git", "hash-object", "-t", "commit", "-w", "--stdin", "--literally"], cwd=work.folder, check=True,
            input=head.encode("latin-1"), capture_output=True,
        )  # fmt: skip
        found = noted(work, done.stdout.decode().strip())
        assert [row.change.name for note in found.notes for row in note.rows] == ["heating_setpoint"]
        for form in FORMS:
            assert "\x1b" not in render_notes(form, found, Look())
