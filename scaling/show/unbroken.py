"""Text that is not broken within a number and its unit."""

from __future__ import annotations

import re

NO_BREAK = "\N{NO-BREAK SPACE}"


def solid(text: str) -> str:
    """The text with no break between a number and what it counts, nor around an arrow."""
    text = re.sub(r"(?<=\d) (?=[^\W\d]|%|°)", NO_BREAK, text)
    return re.sub(r" -> ", f"{NO_BREAK}->{NO_BREAK}", text)
