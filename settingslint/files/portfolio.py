"""What portfolio.toml holds: the portfolio's name, the owner's numbers and severities, its weather."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from settingslint.files.finding import PORTFOLIO_FILE
from settingslint.files.names import shown
from settingslint.files.reading import Files
from settingslint.model.source import parse
from settingslint.model.validate import check_schema
from settingslint.model.values import Problem, Unreadable, nearest
from settingslint.rules import all_rules
from settingslint.rules.base import Severity
from settingslint.rules.plant import Context
from settingslint.units import System, to_si


@dataclass(frozen=True, slots=True)
class Portfolio:
    """A folder of plants: `controls/` and `sites/` below `root`, and what portfolio.toml sets."""

    root: Path
    name: str
    context: Context
    severities: Mapping[str, Severity] = field(default_factory=dict)
    longest_acceptance_days: int | None = None


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
    data, problems = source.data, list[Problem]()
    system: System = data.get("units", "metric")
    known = {item.name: item for rule in all_rules() for item in rule.thresholds}
    thresholds: dict[str, float] = {}
    for name, raw in data.get("thresholds", {}).items():
        if name in known:
            thresholds[name] = to_si(float(raw), known[name].kind, system)
        else:
            problems.append(source.problem_at_key(("thresholds", name), _unknown("threshold", name, known)))
    rules = {rule.name for rule in all_rules()}
    severities: dict[str, Severity] = {}
    for name, word in data.get("severities", {}).items():
        if name in rules:
            severities[name] = Severity(word)
        else:
            problems.append(source.problem_at_key(("severities", name), _unknown("rule", name, rules)))
    hours = None
    if "climate" in data:
        try:
            hours = files.hours(root, data["climate"], source)
        except Unreadable as unread:
            problems += unread.problems
    longest = data.get("acceptance", {}).get("longest_days")
    return Portfolio(root, data["name"], Context(as_of, thresholds, hours), severities, longest), problems


def _unknown(what: str, name: str, known: Iterable[str]) -> str:
    return f"unknown {what} {name}{nearest(name, known)}"
