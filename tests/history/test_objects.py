"""Commits and trees read from their bytes: like git reads them, and nothing but `NoHistory` for what is none."""

from __future__ import annotations

import os
from datetime import datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from settingslint.history import NoHistory
from settingslint.history.objects import read_commit, read_tree, trailers
from settingslint.history.repository import Repository
from tests.history.kit import started

ID = "0" * 40
PIECES = st.sampled_from([
    b"tree ", b"parent ", b"author ", b"encoding ", b"\n", b"\n\n", b"0" * 40, b"a" * 40, b"A <a@b> 1 +0100", b"<",
    b">", b"utf-8", b"latin-1", b"100644 ", b"40000 ", b"\0", b"x" * 20, b"name", b"-1 +9999", b"99999999999 -0000",
])  # fmt: skip
CONTENT = st.binary(max_size=80) | st.lists(PIECES | st.binary(max_size=4), max_size=14).map(b"".join)


@settings(max_examples=200, deadline=None)
@given(CONTENT | CONTENT.map(lambda content: b"tree " + b"0" * 40 + b"\n" + content))
def test_any_bytes_are_a_commit_or_are_none(content: bytes) -> None:
    try:
        commit = read_commit(ID, content, cut=False)
    except NoHistory:
        return
    assert all(len(one) == 40 and set(one) <= set("0123456789abcdef") for one in (commit.tree, *commit.parents))
    assert isinstance(commit.at, datetime)
    assert commit.author.isprintable()


@settings(max_examples=200, deadline=None)
@given(CONTENT)
def test_any_bytes_are_a_tree_or_are_none(content: bytes) -> None:
    try:
        entries = list(read_tree(content))
    except NoHistory:
        return
    assert all(len(node.id) == 40 for _, node in entries)


def test_trees_and_commits_are_those_that_git_prints(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    for name in (b"sites/a b.toml", b"sites/\xff\xfe.toml", b"sites/new\nline.toml", "sites/größe.toml".encode()):
        work.write(os.fsdecode(name), "x")
    (work.folder / "link").symlink_to("nowhere")
    work.commit("Subject  with blanks \n\nA body.\n\nVisit-Date: 2026-02-03\nVisit-Step: as left", author="J. Lind é")
    with Repository(work.folder) as repository:
        head = repository.commit(repository.resolve("HEAD"))
        listed = [one.partition("\t") for one in work.git("ls-tree", "-r", "-z", "HEAD").split("\0") if one]
        wanted = {path: tuple(about.split()) for about, _, path in listed}
        found = {path: (f"{node.mode:06o}", "blob", node.id) for path, node in repository.files(head.tree, "")}
    assert found == wanted
    printed = work.git("log", "-1", "--format=%H%n%T%n%P%n%an%n%aI%n%s%n%(trailers:only,unfold)").split("\n")
    assert [head.id, head.tree, *head.parents, head.author, head.at.isoformat()] == printed[:5]
    assert head.subject == printed[5]
    assert head.trailers == dict(line.split(": ") for line in printed[6:] if line)


@pytest.mark.parametrize(
    ("message", "found"),
    [
        ("no trailers here", {}), ("", {}), ("a\n\nVisit-Step: as found", {"Visit-Step": "as found"}),
        ("a\n\nVisit-Step: as found\nnot one", {}), ("a\n\nVisit-Step: one\nVisit-Step: two", {"Visit-Step": "one"}),
    ],
)  # fmt: skip
def test_trailers(message: str, found: dict[str, str]) -> None:
    assert trailers(message) == found
