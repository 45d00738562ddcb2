"""What lies beside the named plants: the rest of their sites, so that rules about a site see it whole."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path, PurePath
from typing import Final

from settingslint.files.reader import Reader, profile_of
from settingslint.model.values import Unreadable
from settingslint.rules.summary import Summary, summary_of


@dataclass(frozen=True, slots=True)
class Beside:
    """The plants of the same sites that were not named.

    `unread` names for a site a profile of it that can't be read; `whole` says whether the whole portfolio was asked
    for.
    """

    summaries: tuple[Summary, ...] = ()
    unread: Mapping[str, str] | None = None
    whole: bool = True


ALONE: Final = Beside()
"""Nothing lies beside what was named."""


def beside(
    reader: Reader,
    sites: Mapping[str, str],
    every: Mapping[str, Path],
    files: Mapping[str, Path],
    failed: Iterable[str],
) -> Beside:
    """Return what lies beside some plants.

    Args:
        reader: reads the portfolio.
        sites: the sites of the plants that were read, by their paths as they are shown.
        every: all profiles of the portfolio by their paths.
        files: those that were named.
        failed: those of them that can't be read, and what else may hold a plant and was not read.
    """
    summaries: list[Summary] = []
    unread: dict[str, str] = {}
    names = set(sites.values())
    folders: dict[PurePath, set[str]] = {}
    for path, site in sites.items():
        folders.setdefault(PurePath(path).parent, set()).add(site)

    def lost(name: str, content: bytes) -> None:
        near = folders.get(PurePath(name).parent, set())
        for site in names:
            if site in near or _may_name(content, (site,)):
                unread.setdefault(site, name)

    for name in failed:
        lost(name, _content(reader, files[name], name) if name in files else b"")
    for name, file in every.items():
        if name in files:
            continue
        content = _content(reader, file, name)
        if not _may_name(content, names):
            continue
        try:
            profile = profile_of(content, name)
            if profile.site in names:
                summaries.append(summary_of(reader.plant_of(profile)))
        except Unreadable:
            lost(name, content)
    return Beside(tuple(summaries), unread, every.keys() <= files.keys())


def _content(reader: Reader, file: Path, name: str) -> bytes:
    try:
        return reader.files.read(file, name)
    except Unreadable:
        return b""


def _may_name(content: bytes, sites: Iterable[str]) -> bool:
    """Return whether a profile can be of one of some sites: the name stands there, or may be spelt with escapes."""
    return b"\\" in content or any(site.encode("utf-8", "surrogatepass") in content for site in sites)
