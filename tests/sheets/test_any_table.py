"""Whatever a table holds, import ends in valid profiles and plain words, and never in a fault."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import Final

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from settingslint.model.profile import profile_from
from settingslint.model.source import parse
from settingslint.model.validate import check_schema
from settingslint.model.values import Unreadable
from settingslint.sheets.give import columns
from settingslint.sheets.match import OTHER_NAMES
from settingslint.sheets.read import table_of
from settingslint.sheets.take import take

HEADERS: Final = st.one_of(
    st.sampled_from(columns("us")), st.sampled_from([one for names in OTHER_NAMES.values() for one in names]),
    st.text(max_size=12),
)  # fmt: skip
CELLS: Final = st.one_of(
    st.sampled_from(["", "60", "1,234.5", "1.234,5", "~41", "n/a", "off", "yes", "default", "=1+1", "2026-13-45",
                     "60 C", "tank", "1e999", "-", "9" * 400, "\u0660", "½", "2026-02-30", "0"]),
    st.text(max_size=10), st.integers(-(10**6), 10**6).map(str),
    st.floats(allow_nan=True, allow_infinity=True).map(str),
)  # fmt: skip


@settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.lists(HEADERS, min_size=1, max_size=8), st.data())
def test_any_table_becomes_valid_profiles_or_is_told(headers: list[str], data: st.DataObject) -> None:
    names = ["site", "boiler", *headers]
    rows = data.draw(st.lists(st.lists(CELLS, min_size=len(headers), max_size=len(headers)), min_size=1, max_size=4))
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(names)
    writer.writerows([["A", str(index), *row] for index, row in enumerate(rows)])
    try:
        table = table_of(out.getvalue().encode("utf-8", "surrogatepass"), "t.csv")
    except Unreadable:
        return
    taken = take(table, Path("nowhere"), system="us", control="kit")
    assert len(taken.profiles) + len({one.line for one in taken.problems}) >= len(table.rows) or taken.problems
    for text in taken.profiles.values():
        source = parse(text.encode(), "x.toml")
        check_schema(source, "profile")
        profile_from(source)


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=200))
def test_any_bytes_are_a_table_or_are_told(content: bytes) -> None:
    try:
        table = table_of(content, "t.csv")
    except Unreadable:
        return
    take(table, Path("nowhere"), system="metric", control="kit")
