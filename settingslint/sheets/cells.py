"""Tables for spreadsheets, whose cells are taken for what they are, and for no formula."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from typing import Final

from settingslint.plain import Plain, as_laid_out, plain

_FORMULA: Final = ("=", "+", "-", "@", "\t", "\r", "\n")


def inert(cell: object) -> str:
    """Return a cell that no spreadsheet takes for a formula.

    >>> inert("=1+1"), inert(-4), inert(None)
    ("'=1+1", '-4', '')
    """
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "on" if cell else "off"
    if isinstance(cell, int | float):
        return str(cell)
    text = str(cell)
    return f"'{text}" if text.startswith(_FORMULA) else text


def table(head: Sequence[str], rows: Iterable[Iterable[object]]) -> Plain:
    r"""Return rows as CSV text with commas (RFC 4180), each cell inert and on one line.

    >>> table(["name", "why"], [["=a", "b\n\x1b"]])
    "name,why\r\n'=a,b\\x0a\\x1b\r\n"
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(head)
    writer.writerows([plain(inert(cell)) for cell in row] for row in rows)
    return as_laid_out(out.getvalue())


def live(cell: str) -> str:
    """Return what stood in a cell before it was made inert.

    >>> live("'=1+1"), live("'s-Hof"), live("60")
    ('=1+1', "'s-Hof", '60')
    """
    return cell[1:] if cell.startswith("'") and cell[1:].startswith(_FORMULA) else cell
