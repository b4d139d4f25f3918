"""Text of a stranger as a report may show it."""

from __future__ import annotations


def plain(text: str) -> str:
    """Text of a stranger on one line, without marks that do not print or turn the reading direction."""
    if not text.isprintable():
        text = "".join(mark if mark.isprintable() else " " for mark in text)
    return " ".join(text.split())
