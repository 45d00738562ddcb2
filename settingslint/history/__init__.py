"""All of git: snapshots, changes, notes, timelines, visits."""


class NoHistory(Exception):
    """What is asked of the repository can't be told; the message is for people."""
