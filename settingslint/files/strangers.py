"""What lies in a portfolio's folder and is no profile: known to hold no plant, or named with what to do.

Known by its name (the tables here) is what certainly holds no plant: pictures, papers, tables, archives, an editor's
copy of a file that lies beside it, folders of programs. Every other file is looked into, and is no plant where no
profile is in it. So photographs, notes and spreadsheets beside a profile are no news, and a profile with a wrong name
or in a wrong place is, whatever it is called. Nothing is read through a link.
"""

from __future__ import annotations

import codecs
import os
import re
import stat
import unicodedata
from collections import deque
from collections.abc import Iterable
from typing import Final, NamedTuple

from settingslint.model.source import LARGEST_FILE
from settingslint.model.toml import loads

ENDING: Final = ".toml"
NESTING: Final = frozenset({"controls", "sites"})
"""A folder with a portfolio file and one of these is a portfolio of its own."""

NEVER_PLANTS: Final = {
    "pictures": "jpg jpeg png gif webp heic heif tif tiff bmp svg ico raw dng",
    "sound and film": "mp3 m4a wav ogg mp4 mov avi mkv webm",
    "papers": "pdf doc docx odt rtf tex ppt pptx odp md rst htm html eml msg log",
    "tables and data": "csv tsv xls xlsx xlsm ods json yaml yml xml sarif geojson parquet db sqlite epw ics vcf",
    "drawings": "dwg dxf ifc rvt vsd vsdx skp",
    "archives": "zip gz tgz bz2 xz zst 7z rar tar",
    "programs": "py pyc js css sh ps1 bat exe msi",
}
"""Endings of files that certainly are no profiles."""
COPIES: Final = (
    ("", "~"), ("", ".bak"), ("", ".orig"), ("", ".rej"), ("", ".old"), ("#", "#"), (".#", ""), ("._", ""),
    (".", ".swp"), (".", ".swo"), (".", ".swx"),
)  # fmt: skip
"""What editors and systems put before and behind the name of a file for their own one beside it."""
OWN: Final = ".settingslint-"
"""How the name of a file begins that this program was writing when it was cut off; what it replaces is there still."""
OF_PROGRAMS: Final = frozenset((
    ".git", ".hg", ".svn", ".jj", ".venv", "venv", ".tox", ".nox", "node_modules", "__pycache__", ".mypy_cache",
    ".ruff_cache", ".pytest_cache", ".hypothesis", "lost+found",
))  # fmt: skip
"""Folders at the top of a portfolio, or beside its sites, that programs fill and nobody else."""
_ENDINGS: Final = frozenset(ending for endings in NEVER_PLANTS.values() for ending in endings.split())

LINK: Final = "a link, which is not followed: nothing behind it was read; put what it leads to in its place"
BROKEN: Final = "a link that leads nowhere: whatever it led to was not read; delete it, or put a folder in its place"
A_FOLDER: Final = "a folder with the name of a profile: a profile is a file; give the folder a name without .toml"
NOT_HERE: Final = "not read: portfolio.toml belongs at the top of a portfolio; if this is a profile, rename it"
NESTED: Final = "a portfolio of its own: nothing in it was read; check it by itself, and keep it elsewhere"
NO_FILE: Final = "not a file and not a folder: not read; delete it"
ALMOST: Final = "not read: the name of a profile ends in .toml, small and with nothing behind it; rename it"
HIDDEN: Final = "hidden, so not read: the name of a profile does not begin with a dot; rename or move it"
NOT_NAMED: Final = "not read, but a profile is in it: the name of a profile ends in .toml; rename or move it"
ELSEWHERE: Final = "not read, but a profile is in it: move it to a site's folder in sites/, or out of the portfolio"


class Stranger(NamedTuple):
    """An entry that is no profile; `among` where it lies where profiles belong, in `sites/`."""

    entry: os.DirEntry[str]
    among: bool = False


def why_unread(one: Stranger, most: int | None = None) -> str:
    """Return why an entry that may hold a plant was not read and what to do, or nothing where it is none.

    Of a folder at most so many entries are looked at, where a number is given.
    """
    entry, name = one.entry, one.entry.name
    if _is_copy(entry.path):
        return ""
    if entry.is_symlink():
        return _behind(entry, one.among)
    if is_folder(entry):
        return _held(entry, one.among, most)
    if one.among and like_a_profile(name):
        return HIDDEN if name.startswith(".") and name.endswith(ENDING) else ALMOST
    if _never(name):
        return ""
    if not _regular(entry):
        return NO_FILE if one.among else ""
    return _inside(entry.path, NOT_NAMED if one.among else ELSEWHERE)


def like_a_profile(name: str) -> bool:
    """Return whether a name is meant as that of a profile, though something is wrong with it.

    >>> [like_a_profile(name) for name in ("b.TOML", "b.toml.txt", "b.toml ", "toml.txt", "b.tom")]
    [True, True, True, False, False]
    """
    if name.isascii() and "toml" not in name.casefold():
        return False
    parts = unicodedata.normalize("NFKC", name).casefold().removeprefix(".").split(".")
    return ENDING[1:] in (part.strip() for part in parts[1:])


def is_nested(names: Iterable[str]) -> bool:
    """Return whether the names in a folder are those of a portfolio."""
    there = frozenset(names)
    return "portfolio.toml" in there and not NESTING.isdisjoint(there)


def is_folder(entry: os.DirEntry[str], through_links: bool = False) -> bool:
    """Return whether an entry is a folder, or, where asked, leads to one."""
    try:
        return entry.is_dir(follow_symlinks=through_links)
    except OSError:
        return False


def _regular(entry: os.DirEntry[str]) -> bool:
    try:
        return entry.is_file(follow_symlinks=False)
    except OSError:
        return False


def _is_copy(path: str) -> bool:
    """Return whether a file is an editor's copy of one that lies beside it, or one that was never complete."""
    folder, name = os.path.split(path)
    if name.startswith(OWN):
        return True
    for before, behind in COPIES:
        if name.startswith(before) and name.endswith(behind):
            original = name[len(before) : len(name) - len(behind)]
            if original and os.path.isfile(os.path.join(folder, original)):
                return not os.path.isdir(path)
    return False


def _never(name: str) -> bool:
    """Return whether a file with that name certainly is no profile."""
    stem, dot, ending = name.rpartition(".")
    return bool(dot) and ending.casefold() in _ENDINGS and not like_a_profile(stem)


def _behind(entry: os.DirEntry[str], among: bool) -> str:
    """Return what is to be said of a link."""
    if is_folder(entry, through_links=True):
        return LINK
    if not os.path.exists(entry.path):
        return BROKEN
    return LINK if among and not _never(entry.name) else ""


def _held(entry: os.DirEntry[str], among: bool, most: int | None) -> str:
    """Return what is to be said of a folder in which no profiles are looked for, by what is in it."""
    first, count, closed, seen = "", 0, "", 0
    open_ = deque([entry.path])
    while open_:
        folder = open_.popleft()
        try:
            with os.scandir(folder) as entries:
                inside = sorted(entries, key=lambda one: one.name)
        except OSError as error:
            closed = closed or _below(entry.path, folder, f"can't be looked into: {error.strerror or error}")
            continue
        seen += len(inside)
        if most is not None and seen > most:
            return f"over {most:,} entries, and in no portfolio: not looked into"
        if is_nested(one.name for one in inside):
            return _below(entry.path, folder, NESTED)
        for one in inside:
            if is_folder(one):
                if among or one.name not in OF_PROGRAMS:
                    open_.append(one.path)
            elif _regular(one) and not _never(one.name) and not _is_copy(one.path):
                said = _inside(one.path, ELSEWHERE)
                if said == ELSEWHERE:
                    count, first = count + 1, first or os.path.relpath(one.path, entry.path)
                elif said:
                    closed = closed or _below(entry.path, one.path, said)
    if not count:
        return closed
    profiles = f"a profile is in it, {first}" if count == 1 else f"{count:,} profiles are in it, the first {first}"
    where = "rename the folder, without a dot at its beginning" if among else "profiles belong in sites/; move it there"
    return f"not read, but {profiles}: {where}, or move it out of the portfolio"


def _below(top: str, path: str, why: str) -> str:
    return why if path == top else f"{os.path.relpath(path, top)}: {why}"


def _inside(path: str, there: str) -> str:
    """Return a text where a profile is in a file, why it can't be looked into, or nothing where none is in it."""
    try:
        content = _read(path)
    except OSError as error:
        return f"can't be looked into: {error.strerror or error}"
    return there if holds_profile(content) else ""


def _read(path: str, most: int = LARGEST_FILE) -> bytes:
    """Return the beginning of a file, nothing where it is none; not through a link.

    Raises:
        OSError: where it can't be read.
    """
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0))
    with os.fdopen(handle, "rb") as stream:
        return stream.read(most) if stat.S_ISREG(os.fstat(handle).st_mode) else b""


def profile_under(path: str) -> tuple[str, str] | None:
    """Return site and name of the profile that a file as a whole is, whatever its name; None where it is none.

    Papers that show one are none, nor is what can't be read. Both are empty where they are not told.
    """
    try:
        if b"\0" in _read(path, 1024):
            return None
        text = _read(path).decode("utf-8-sig", "replace")
    except OSError:
        return None
    try:
        plant = loads(text).get("plant") if "plant" in text or "\\" in text else None
    except (ValueError, RecursionError):
        return ("", "") if _BEGINS.match(text) and holds_profile(text.encode()) else None
    if not isinstance(plant, dict):
        return None
    return str(plant.get("site", "")), str(plant.get("name", ""))


_PLANT: Final = r"""["']?plant["']?[ \t]*"""
_TABLE: Final = re.compile(
    rf"""^[ \t\ufeff]*(\[[ \t]*{_PLANT}\]|{_PLANT}=[ \t]*\{{|{_PLANT}\.[ \t]*[\w"'-]+[ \t]*=)""", re.MULTILINE
)


_BEGINS: Final = re.compile(r"""(?:[ \t]*(?:#[^\n]*)?\r?\n)*[ \t]*(?:["']?(?:format|units|plant)\b|\[)""")
"""How a profile begins, with comments before."""


def holds_profile(content: bytes) -> bool:
    r"""Return whether a profile is in a file's content: its table of the plant, also where the rest is no TOML.

    >>> holds_profile(b'[plant]\nname = "B"'), holds_profile(b'plant.name = "B"'), holds_profile(b'["pl\\u0061nt"]\n')
    (True, True, True)
    >>> holds_profile(b"plant. Then\n[plants]\n")
    False
    """
    wide = content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    text = content.decode("utf-16" if wide else "utf-8", "replace")
    if _TABLE.search(text.replace("\r", "\n")):
        return True
    if "\\" not in text or "\0" in text:
        return False
    try:
        return "plant" in loads(text)
    except (ValueError, RecursionError):
        return False
