"""A fault of this program at one plant: said as such, with its place, while everything else is checked."""

from __future__ import annotations

from settingslint.model.values import Problem, one_line


def fault(path: str, what: str, error: Exception) -> Problem:
    """Return what is said of an error that no file of the user's explains.

    Args:
        path: the profile at which it happened, as messages show it.
        what: what was being done.
        error: the error.
    """
    said = one_line(f"{type(error).__name__}: {error}")
    text = f"settingslint itself failed here, {what} ({said}): please report it; everything else was checked"
    return Problem(path, 1, 1, text)
