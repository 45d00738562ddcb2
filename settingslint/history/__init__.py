"""All of git: snapshots, changes, notes, timelines, visits."""

import os

os.environ.setdefault("GIT_PYTHON_REFRESH", "quiet")  # git that is missing is told where it is needed, not at import


class NoHistory(Exception):
    """What is asked of the repository can't be told; the message is for people."""
