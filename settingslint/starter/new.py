"""A new portfolio in an empty folder."""

from __future__ import annotations

import re
from datetime import date
from importlib import resources
from pathlib import Path
from typing import Final

from settingslint.files.whole import make_folder as make
from settingslint.files.whole import put
from settingslint.model.validate import SCHEMA_NAMES, schema_text
from settingslint.plain import as_laid_out
from settingslint.units import Kind, System, from_si, to_si
from settingslint.vocabulary.facts import FACTS
from settingslint.vocabulary.settings import SETTINGS

FILES: Final = {
    "portfolio.toml": "portfolio.toml",
    "controls/my-control.toml": "control.toml",
    "sites/first-site/boiler-1.toml": "boiler.toml",
    "README.md": "README.md",
    ".ci/check": "ci.sh",
}
DAY: Final = "2026-01-01"
"""Stands for the day of the first record in the commented profile."""
IGNORED: Final = ".settingslint/\n"


class NotEmpty(Exception):
    """The folder has something in it."""


def make_folder(folder: Path) -> None:
    """Make an empty folder, or take one that is empty.

    Raises:
        NotEmpty: where something is in it.
        OSError: where it can't be made.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise NotEmpty(str(folder))
    make(folder)


def starting_files(today: date, system: System = "us") -> dict[str, str]:
    """Return the files of a new portfolio by path, with the schemas that editors want; the first record is of today."""
    package = resources.files("settingslint.starter") / "files"
    files = {path: (package / name).read_text(encoding="utf-8") for path, name in FILES.items()}
    if system == "metric":
        files = {path: in_metric(text) if path.endswith(".toml") else text for path, text in files.items()}
    profile = "sites/first-site/boiler-1.toml"
    files[profile] = files[profile].replace(DAY, today.isoformat())
    files[".gitignore"] = IGNORED
    files.update({f"schemas/{name}.schema.json": schema_text(name) for name in SCHEMA_NAMES})
    return files


_KINDS: Final = {row.name: row.kind for row in FACTS.values()} | {name: row.kind for name, row in SETTINGS.items()}
_NUMBER: Final = re.compile(r"\b(\w+)( = (?:\{ value = )?)(-?\d+)\b")


def in_metric(text: str) -> str:
    """Return a starting file of US units in metric ones, in round numbers; its comments stay.

    >>> in_metric('units = "us"   # or "metric"\\n[settings]\\nheating_setpoint = 160\\n').splitlines()[2]
    'heating_setpoint = 71'
    """
    setting = Kind.TEXT
    lines = []
    for line in re.sub(r'units = "us"( {4})?', 'units = "metric"', text).replace('or "metric"', 'or "us"').splitlines():
        if head := re.match(r"\[setting\.(\w+)\]", line):
            setting = SETTINGS[head[1]].kind

        def put(found: re.Match[str], of: Kind = setting) -> str:
            kind = of if found[1] in ("low", "high") else _KINDS.get(found[1])
            if kind not in (Kind.POINT, Kind.DIFFERENCE, Kind.POWER, Kind.VOLUME):
                return found[0]
            value = from_si(to_si(float(found[3]), kind, "us"), kind, "metric")
            return f"{found[1]}{found[2]}{value:.1f}" if kind is Kind.POWER else f"{found[1]}{found[2]}{value:.0f}"

        code, gap, comment = line.partition("  #")
        changed = _NUMBER.sub(put, code)
        if gap:
            comment = comment.replace(" F;", " C;").replace(" Btu/h", " kW").replace(" gal;", " L;")
            changed = f"{changed.rstrip():{len(code)}}{gap}{comment}"
        lines.append(changed)
    return "\n".join(lines) + "\n"


def write_files(folder: Path, files: dict[str, str]) -> None:
    """Write files below a folder."""
    for path, text in files.items():
        put(folder / path, as_laid_out(text), root=folder, new=True, mode=0o777 if path == ".ci/check" else 0o666)
