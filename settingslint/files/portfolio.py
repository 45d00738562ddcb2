"""What portfolio.toml holds: the portfolio's name, the owner's numbers and severities, its weather."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from settingslint.files.finding import PORTFOLIO_FILE
from settingslint.files.names import shown
from settingslint.files.owner import Owner, owner_of
from settingslint.files.reading import Files
from settingslint.model.source import parse
from settingslint.model.validate import check_schema
from settingslint.model.values import Problem, Unreadable
from settingslint.rules.base import Severity
from settingslint.rules.plant import Context
from settingslint.vocabulary.plausible import by_name


@dataclass(frozen=True, slots=True)
class Portfolio:
    """A folder of plants: `controls/` and `sites/` below `root`, and what portfolio.toml sets."""

    root: Path
    name: str
    context: Context
    severities: Mapping[str, Severity] = field(default_factory=dict)
    owner: Owner = field(default_factory=Owner)


def portfolio_of(root: Path, files: Files, as_of: date) -> tuple[Portfolio, list[Problem]]:
    """Return what the portfolio file of a folder sets, and what of it can't be taken; without one, nothing is set."""
    file = root / PORTFOLIO_FILE
    plain = Portfolio(root, root.name, Context(as_of))
    if not files.exists(file):
        return plain, []
    try:
        source = parse(files.read(file, shown(file)), shown(file))
        check_schema(source, "portfolio")
    except Unreadable as unread:
        return plain, unread.problems
    data, owner = source.data, owner_of(source)
    problems = [*owner.problems]
    hours = None
    if "climate" in data:
        try:
            hours = files.hours(root, data["climate"], source)
        except Unreadable as unread:
            problems += unread.problems
    return Portfolio(
        root,
        data["name"],
        Context(as_of, owner.thresholds, hours, by_name(one.row for one in owner.usual)),
        owner.severities,
        owner,
    ), problems
