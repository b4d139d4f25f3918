"""The span of each number over known machines, brought to one size: what is usual for a robot of a given mass."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path

TABLE = Path(__file__).parent / "spans.toml"


@cache
def spans() -> dict[str, tuple[float, float]]:
    """Return the least and largest value of each key, as a similar machine of 1 kg with a pack of 1 V has it (SI)."""
    table = tomllib.loads(TABLE.read_text(encoding="utf-8"))["spans"]
    return {key: (float(low), float(high)) for key, (low, high) in table.items()}
