"""What a file is, so that a design is read without what only a brief needs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any


def is_brief(tables: Mapping[str, Any]) -> bool:
    """Whether the tables of a file are a brief's, which names its design; else they are a design's."""
    return "reference" in tables
