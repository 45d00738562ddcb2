"""Reports for the tests of all forms: the kit's plant, a few rules made for this, and text that means harm."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

from settingslint.checking.audit import ASSUMED, CHECKED, Coverage, Result, audit
from settingslint.checking.report import Key, Report
from settingslint.files.portfolio import Portfolio
from settingslint.model.values import Problem
from settingslint.rules.base import (
    ASK,
    DAMAGE,
    DANGER,
    LIKELY,
    RECORD,
    WASTE,
    Draft,
    Missing,
    Remedy,
    celsius_of,
    found,
)
from settingslint.rules.plant import Context, Plant
from settingslint.rules.rule import Rule, rule
from tests.rules.kit import AS_OF, make_plant, rule_named

HOSTILE: Final = (
    "plain",
    "\x00\x01\x08\x0b\x1b[31mred\x1b[0m\x7f\x85\x9b2J",
    "\u202edlrow\u202c \u2066hidden\u2069 \u200b\ufeff",
    "\ud800 caf\udce9 \udfff",
    "\ufffe\uffff \ufdd0 \U0001fffe",
    "]]> --> <!-- <script>alert(1)</script> &amp; &#0; \"'",
    "[click](https://example.org/) www.example.org ![](x) `code` **b** | a | <b> @everyone #1 ~~s~~\n\n# Title\n- item",
    "line one\nline two\r\nthree\u2028four\u2029five\tsix",
    "sites/a:12:3: danger: not true [made-up]",
    "=1+1",
    "é水\U0001f525" * 40,
)
"""Control, bidirectional and half characters, what XML forbids, and what XML, Markdown and terminals take for more."""


@rule(
    "store-too-warm", severity=DANGER, needs=("tank_setpoint",), cautions=("scald",),
    source="a rule for tests", thresholds=(),
)  # fmt: skip
def store_too_warm(plant: Plant) -> Iterator[Draft | Missing]:
    """The store is warmer than a rule for tests likes.

    It compares the effective tank temperature with 55 C.
    """
    if plant.point("tank_setpoint") > 55:
        yield found(
            "tank_setpoint", f"the store runs at {plant.show('tank_setpoint')}",
            {"store": celsius_of(plant.point("tank_setpoint")), "most": celsius_of(55.0)},
            Remedy("lower the store", {"tank_setpoint": 54.0}),
        )  # fmt: skip


@rule(
    "plate-kept-warm", severity=WASTE, certainty=LIKELY, needs=("keep_warm",), cautions=("hygiene",),
    source=("a rule for tests", "another source"), assumes="that somebody is at home",
)  # fmt: skip
def plate_kept_warm(plant: Plant) -> Iterator[Draft | Missing]:
    """The plate is kept warm."""
    if not plant.is_off("keep_warm"):
        yield found("keep_warm", f"kept warm: {plant.show('keep_warm')}")


@rule("ask-about-the-loop", severity=RECORD, certainty=ASK, needs=(), cautions=("record",), source="a rule for tests")
def ask_about_the_loop(plant: Plant) -> Iterator[Draft | Missing]:
    """Somebody should ask about the loop."""
    yield found("hot_water.circulation_loop", f"{plant.profile.name} of {plant.profile.site}: is there a loop?")


@rule("gas-known", severity=DAMAGE, needs=("gas.fuel",), cautions=("firing",), source="a rule for tests")
def gas_known(plant: Plant) -> Iterator[Draft | Missing]:
    """The gas is known."""
    yield from ()


RULES: Final = (store_too_warm, plate_kept_warm, ask_about_the_loop, gas_known)
ACCEPTED: Final[dict[str, Any]] = {
    "accepted": [
        {
            "rule": "store-too-warm",
            "setting": "tank_setpoint",
            "because": "water-safety plan",
            "by": "M. Okoro",
            "until": "2027-03-31",
        }
    ]
}


def result_of(
    changes: dict[str, Any] | None = None, drop: Sequence[str] = (), path: str = "sites/a/one.toml"
) -> Result:
    """Return what the rules say of the kit's plant with changes, with nothing assumed: `thin` is about that."""
    return audit(make_plant(changes, drop=drop, path=path), RULES, assume=False)


def report_of(
    *results: Result,
    problems: Sequence[Problem] = (),
    name: str = "Riverside estate",
    known: frozenset[Key] | None = None,
    known_from: str = "",
    rules: tuple[Rule, ...] = RULES,
) -> Report:
    """Return a report of results."""
    portfolio = Portfolio(Path(), name, Context(AS_OF))
    return Report(portfolio, results, tuple(problems), rules, known, known_from)


def ordinary() -> Report:
    """Return a report with every kind of thing in it."""
    return report_of(
        result_of({"settings.keep_warm": 3}, ["gas.fuel"]),
        result_of({"plant.name": "Boiler 2", **ACCEPTED}, path="sites/a/two.toml"),
        result_of({"plant.site": "Quay House"}, ["settings.tank_setpoint", "gas"], "sites/b/one.toml"),
        problems=[Problem("sites/b/two.toml", 3, 7, "plant.size: expected text, found 3")],
    )


def hostile(text: str) -> Report:
    """Return a report with a text in every place that people can write into: names, facts, paths, messages."""
    plain = result_of({"settings.keep_warm": 3, **ACCEPTED}, ["gas.fuel"])
    accepted = {"because": text, "by": text, "until": ""}
    findings = [
        replace(
            one, says=f"it says {text}", file=text, accepted=accepted if number else None,
            remedy=Remedy(text, {"operating_mode": text}, False), effective=text,
        )
        for number, one in enumerate(plain.findings)
    ]  # fmt: skip
    result = replace(plain, path=text, plant=text, site=text, findings=tuple(findings))
    return report_of(
        result, problems=[Problem(text, 1, 1, text)], name=text, known=frozenset(), known_from=text,
    )  # fmt: skip


def thin() -> Report:
    """Return a report on a plant of which little is recorded: a danger that is asked, waste that is likely, a rule that
    was checked with assumptions and found nothing, and one that was not checked."""
    whole = result_of({"settings.keep_warm": 3}, ["gas.fuel"])
    danger, waste, _ = whole.findings
    findings = (
        replace(danger, certainty=ASK, asks=("hot_water.mixing_valve",)),
        replace(waste, assumed=("site.coldest",)),
    )
    codes = {"store-too-warm": ASSUMED, "plate-kept-warm": CHECKED, "ask-about-the-loop": ASSUMED, "gas-known": 0}
    coverage = Coverage(tuple(codes), bytes(codes.values()))
    return report_of(replace(whole, findings=findings, coverage=coverage))


def one_cause() -> Report:
    """Return a report on a plant of which two rules see the same cause, and a third another one."""
    whole = result_of({"settings.keep_warm": 3})
    danger, waste, _ = whole.findings
    speaks = replace(danger, rule="tank-below-hygiene-temperature", remarks=("assumes one tank", "owner's number 50 C"))
    likely = replace(danger, rule="cool-tank-without-hygiene-measure", certainty=LIKELY, at="hygiene_cycle", line=7)
    asked = replace(
        danger, rule="tap-too-hot", certainty=ASK, asks=("hot_water.mixing_valve",), case="if not",
        question="Is there a mixing valve?", at="outlet_setpoint",
    )  # fmt: skip
    rules = tuple(rule_named(one.rule) for one in (speaks, likely, asked))
    return report_of(replace(whole, findings=(likely, speaks, asked, waste)), rules=(*RULES, *rules))
