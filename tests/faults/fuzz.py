"""Hostile content for everything that reads a file: random, structured, or guided by coverage.

    python -m tests.faults.fuzz --minutes 5                    structured, all readers, random seed
    python -m tests.faults.fuzz --cases 1000000 --seed 7       a recorded run
    python -m tests.faults.fuzz --guided profile --minutes 5   guided by coverage (needs the package atheris)

A reader may refuse a content with `Unreadable`, one line for each problem, and nothing else. Whatever else comes out,
or takes more than ten seconds, is printed with the content; it then becomes a case in `test_hostile_content.py`.
"""

from __future__ import annotations

import argparse
import io
import json
import random
import sys
import tempfile
import time
import traceback
from collections.abc import Callable, Mapping
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any, Final

from settingslint.checking.audit import audit
from settingslint.files.reader import Reader
from settingslint.files.weather import read_hours
from settingslint.history.readings import readings_of
from settingslint.model.control import Control
from settingslint.model.control_file import control_from
from settingslint.model.profile import profile_from
from settingslint.model.source import Source, parse
from settingslint.model.treatment import resolve
from settingslint.model.validate import SCHEMA_NAMES, check_schema
from settingslint.model.values import Unreadable
from settingslint.rules import all_rules
from settingslint.rules.plant import Context, Plant
from settingslint.sheets.read import table_of

HOME: Final = Path(__file__).parents[2] / "profiles"
AS_OF: Final = date(2026, 11, 25)
SLOW: Final = 10.0
"""Seconds of a processor that one content may take."""
SEEDS: Final = 100
"""Structured contents from which a guided run starts."""
RULES: Final = tuple(rule for rule in all_rules() if rule.scope == "plant")


@cache
def _profiles() -> tuple[str, ...]:
    return tuple(file.read_text(encoding="utf-8") for file in sorted(HOME.glob("sites/*/*.toml")))


@cache
def _controls() -> tuple[str, ...]:
    return tuple(file.read_text(encoding="utf-8") for file in sorted(HOME.glob("controls/*.toml")))


@cache
def _control(index: int) -> Control:
    return control_from(parse(_controls()[index].encode(), "control.toml"))


@cache
def _profile(index: int) -> Source:
    return parse(_profiles()[index].encode(), "profile.toml")


# -- the readers -----------------------------------------------------------------------------------------------------


def read_profile(content: bytes) -> None:
    """Read a profile; where it is valid, resolve it and ask all rules."""
    source = parse(content, "profile.toml")
    check_schema(source, "profile")
    profile = profile_from(source)
    for index in range(len(_controls())):
        if _control(index).name == profile.control:
            audit(Plant(profile, _control(index), Context(AS_OF)), RULES)


def read_control(content: bytes) -> None:
    """Read a control file; where it is valid, resolve a profile with it."""
    source = parse(content, "control.toml")
    check_schema(source, "control")
    resolve(control_from(source), profile_from(_profile(0)))


class _Memory:
    """A portfolio folder in memory that has one file."""

    def __init__(self, content: bytes) -> None:
        self.content = content

    def read(self, path: Path, name: str) -> bytes:
        return self.content

    def exists(self, path: Path) -> bool:
        return path.name == "portfolio.toml"

    def controls(self, folder: Path) -> list[str]:
        return []

    def hours(self, root: Path, name: str, source: Source) -> Any:
        raise Unreadable([source.problem(("climate",), "none here")])


def read_portfolio(content: bytes) -> None:
    """Read portfolio.toml."""
    Reader(Path("/nowhere"), AS_OF, _Memory(content))


def read_csv(content: bytes) -> None:
    """Read a spreadsheet."""
    table_of(content, "sheet.csv")


def read_readings(content: bytes) -> None:
    """Read the readings of a visit."""
    read = readings_of(content, "readings", _control(0), "us")
    for system in ("us", "metric"):
        read.found(system)
        read.left(system)
        read.facts_of_visit(system)


def read_weather(content: bytes) -> None:
    """Read a weather file."""
    read_hours(io.BytesIO(content), "weather.csv")


def read_json(content: bytes) -> None:
    """Put any JSON before each of the schemas."""
    try:
        data = json.loads(content)
    except (ValueError, RecursionError):
        return
    if isinstance(data, dict):
        for name in SCHEMA_NAMES:
            try:
                check_schema(Source(f"{name}.toml", "", data), name)
            except Unreadable:
                continue


READERS: Final[Mapping[str, Callable[[bytes], None]]] = {
    "profile": read_profile, "control": read_control, "portfolio": read_portfolio, "csv": read_csv,
    "readings": read_readings, "weather": read_weather, "json": read_json,
}  # fmt: skip

# -- structured content ----------------------------------------------------------------------------------------------

ODD: Final = (
    "nan", "inf", "-inf", "-0", "0", "1e308", "1e-308", "9" * 400, "0x7fffffffffffffff", "true", "false", '""', '"off"',
    "[]", "{}", "[[]]", '"\\u202e"', '"\\u0000"', '"\\ud7ff"', "2026-02-30", "2026-02-28", "9999-12-31", "1979-05-27",
    "00:00:00", "2026-11-25T00:00:00Z", '"' + "x" * 300 + '"', '"=1+1"', '"<script>"', '"../../x"', "1_000", "+5", ".5",
    "-459.67", "-460", "1e12", "1e13", '{ value = 1, until = 2026-01-01 }', '{ left = "default" }', "{ value = nan }",
)  # fmt: skip
BITS: Final = (
    b"\0", b"\xff", b"\xed\xa0\x80", b"\xe2\x80\xae", b"\r", b"\r\n", b"\n\n", b"[", b"]", b"{", b"}", b'"', b'"""',
    b"'", b"=", b"#", b".", b",", b";", b"\t", b"\xef\xbb\xbf", b"[[", b"a." * 40, b"[" * 60, b"{a=" * 60,
)  # fmt: skip


def _lines_of(rng: random.Random, text: str) -> bytes:
    """Change some lines of a valid text: values, keys, order, doubles, losses."""
    lines = text.split("\n")
    for _ in range(rng.choice((1, 1, 1, 2, 3, 8))):
        index = rng.randrange(len(lines))
        line = lines[index]
        act = rng.random()
        if act < 0.5 and "=" in line:
            lines[index] = f"{line.partition('=')[0]}= {rng.choice(ODD)}"
        elif act < 0.6 and "=" in line:
            lines[index] = f"{rng.choice(lines).partition('=')[0]}={line.partition('=')[2]}"
        elif act < 0.7:
            lines.insert(rng.randrange(len(lines)), rng.choice(lines))
        elif act < 0.8:
            del lines[index]
            lines = lines or [""]
        elif act < 0.9:
            other = rng.randrange(len(lines))
            lines[index], lines[other] = lines[other], lines[index]
        else:
            lines[index] = line[: rng.randrange(len(line) + 1)] + rng.choice(ODD)
    return "\n".join(lines).encode("utf-8", "surrogatepass")


def _bytes_of(rng: random.Random, content: bytes) -> bytes:
    """Put odd bytes into a content, or cut it."""
    for _ in range(rng.choice((0, 0, 1, 2, 5))):
        at = rng.randrange(len(content) + 1)
        content = content[:at] + rng.choice(BITS) + content[at + rng.choice((0, 0, 1, 20)) :]
    return content if rng.random() < 0.95 else content[: rng.randrange(len(content) + 1)]


def _json_of(rng: random.Random, depth: int = 0) -> Any:
    kind = rng.randrange(9 if depth < 5 else 6)
    if kind < 6:
        return (None, True, rng.randint(-(10**20), 10**20), rng.uniform(-1e9, 1e9), "x" * rng.randrange(9), "")[kind]
    if kind == 6:
        return [_json_of(rng, depth + 1) for _ in range(rng.randrange(4))]
    words = ("format", "units", "plant", "settings", "control", "setting", "value", "treatments", "emitter", "x")
    return {rng.choice(words): _json_of(rng, depth + 1) for _ in range(rng.randrange(5))}


CSV: Final = (
    "Site;Boiler;Control;Serial;Heating set point (F);Tank [F]\nMill;1;example-a;A1;164;145\nQuay;2;example-a;A2;1,5;\n"
)
READINGS: Final = (
    'units = "us"\nserial = "A-2207"\n[visit]\non = 2026-11-25\nby = "R. Holm"\n[found]\nheating_setpoint = 160\n'
    '[left]\nheating_setpoint = { value = 164, why = "cold" }\ntank_setpoint = 145\n'
)
PORTFOLIO: Final = (
    'format = 1\nname = "x"\nunits = "us"\nclimate = "c.csv"\n[thresholds]\nshort_of_need = 4\n[severities]\n'
    'keep-warm-with-tank = "record"\n[acceptance]\nlongest_days = 400\n'
)


@cache
def _weather() -> str:
    return "\n".join((HOME / "climate" / "synthetic-cool.csv").read_text(encoding="utf-8").splitlines()[:40]) + "\n"


def content_for(rng: random.Random, reader: str) -> bytes:
    """Return a content for a reader: mostly a valid one with a few odd things in it."""
    if reader == "json":
        return json.dumps(_json_of(rng)).encode()
    texts: dict[str, tuple[str, ...]] = {
        "profile": _profiles(), "control": _controls(), "portfolio": (PORTFOLIO,), "csv": (CSV,),
        "readings": (READINGS,), "weather": (_weather(),),
    }  # fmt: skip
    text = rng.choice(texts[reader])
    return _bytes_of(rng, _lines_of(rng, text))


# -- runs ------------------------------------------------------------------------------------------------------------


def fault_of(reader: str, content: bytes) -> str | None:
    """Return what a reader did wrong with a content, or None."""
    begun = time.process_time()
    try:
        READERS[reader](content)
    except Unreadable as refused:
        if not refused.problems or any("\n" in one.message for one in refused.problems):
            return "refused without a clear line"
    except Exception:
        return traceback.format_exc()
    took = time.process_time() - begun
    return f"took {took:.1f} s" if took > SLOW else None


def structured(seed: int, cases: int | None, minutes: float | None) -> int:
    """Run structured cases; return the number of faults."""
    rng = random.Random(seed)
    names = list(READERS)
    done: dict[str, int] = dict.fromkeys(names, 0)
    end = time.monotonic() + minutes * 60 if minutes is not None else float("inf")
    faults = 0
    while (cases is None or sum(done.values()) < cases) and time.monotonic() < end:
        reader = names[sum(done.values()) % len(names)]
        content = content_for(rng, reader)
        done[reader] += 1
        fault = fault_of(reader, content)
        if fault:
            faults += 1
            print(f"--- {reader}, seed {seed}, case {sum(done.values())}\n{fault}\n{content!r}\n", flush=True)
    each = ", ".join(f"{name} {count:,}" for name, count in done.items())
    print(f"{sum(done.values()):,} cases with seed {seed} ({each}): {faults} faults")
    return faults


def guided(reader: str, minutes: float) -> None:
    """Let atheris look for contents that reach new code; a fault ends the run with the content."""
    import atheris

    def one(content: bytes) -> None:
        fault = fault_of(reader, content)
        if fault:
            raise AssertionError(fault)

    rng = random.Random(1)
    with tempfile.TemporaryDirectory() as corpus:
        for index in range(SEEDS):
            (Path(corpus) / str(index)).write_bytes(content_for(rng, reader))
        atheris.instrument_all()
        limits = [
            f"-max_total_time={int(minutes * 60)}",
            "-max_len=20000",
            f"-artifact_prefix={tempfile.gettempdir()}/",
        ]
        atheris.Setup([sys.argv[0], corpus, *limits], one)
        atheris.Fuzz()


def main() -> int:
    """Run from the command line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--minutes", type=float)
    parser.add_argument("--cases", type=int)
    parser.add_argument("--seed", type=int, default=random.randrange(10**6))
    parser.add_argument("--guided", choices=list(READERS))
    options = parser.parse_args()
    if options.guided:
        guided(options.guided, options.minutes or 1)
        return 0
    return int(structured(options.seed, options.cases, options.minutes or (None if options.cases else 1)) > 0)


if __name__ == "__main__":
    raise SystemExit(main())
