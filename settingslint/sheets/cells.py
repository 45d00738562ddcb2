"""Cells that a spreadsheet takes for what they are, and no formula."""

from __future__ import annotations

from typing import Final

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
    text = str(cell).encode("utf-8", "replace").decode("utf-8")
    return f"'{text}" if text.startswith(_FORMULA) else text


def live(cell: str) -> str:
    """Return what stood in a cell before it was made inert.

    >>> live("'=1+1"), live("'s-Hof"), live("60")
    ('=1+1', "'s-Hof", '60')
    """
    return cell[1:] if cell.startswith("'") and cell[1:].startswith(_FORMULA) else cell
