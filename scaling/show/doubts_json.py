"""The doubts about a design as plain data."""

from __future__ import annotations

from typing import Any

from scaling.robot.design import Design


def doubts_json(design: Design) -> list[dict[str, Any]]:
    """Return the doubts about a design, each with the keys that it is about and its words."""
    return [{"keys": list(doubt.keys), "text": doubt.text} for doubt in design.doubts]
