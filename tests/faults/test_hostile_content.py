"""Contents that once broke a reader, and a short structured run; `tests.faults.fuzz` runs for as long as one likes."""

from __future__ import annotations

import pytest

from tests.faults.fuzz import READERS, fault_of, structured

CASES = [
    ("weather", b"a\rb,SYNTHETIC\nDate (MM/DD/YYYY),Time (HH:MM),Dry-bulb (C)\n"),
    (
        "weather",
        b"0,PLACE,XX\nDate (MM/DD/YYYY),Time (HH:MM),Dry-bulb (C)\n01/01/2001,01:00,-3.5\x1e\n01/01/2001,02:00,-4\n",
    ),
    ("profile", b"a = " + b"[" * 5000),
    ("profile", b"a." * 20_000 + b"b = 1"),
    ("profile", b"x = " + b"9" * 900_000),
    ("profile", b'x = "' + b"y" * 999_000 + b'"'),
    ("profile", b"\n".join(b"[t%d]" % i for i in range(60_000))),
    ("profile", b"x = nan\ny = inf"),
    ("profile", 'x = "\u202e"'.encode() + b"\xed\xa0\x80"),
    ("control", b"\n".join(b"[[a]]" for _ in range(60_000))),
    ("csv", b"a;b\n" + b'"' * 5001),
    ("csv", b"a," * 100_000),
    ("json", b"[" * 100_000),
    ("json", b'{"units": "us", "format": 1, "plant": ' + b'{"x": ' * 500 + b"1" + b"}" * 500 + b"}"),
    ("readings", b"setting,found\n" + b"heating_setpoint,160\n" * 20_000),
]


@pytest.mark.parametrize(("reader", "content"), CASES, ids=[f"{name}-{index}" for index, (name, _) in enumerate(CASES)])
def test_content_that_is_hard_on_a_reader(reader: str, content: bytes) -> None:
    assert fault_of(reader, content) is None


def test_a_fault_is_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(content: bytes) -> None:
        raise KeyError(content)

    monkeypatch.setitem(READERS, "csv", broken)
    assert "KeyError" in (fault_of("csv", b"x") or "")


def test_structured_contents() -> None:
    assert structured(20261125, 1400, None) == 0
