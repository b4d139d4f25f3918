"""What any TOML file may be made of, whatever it says: how much of it, how long, how large its whole numbers."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from scaling.files.bounds import BOUNDS
from scaling.files.errors import InputError

if TYPE_CHECKING:
    from pathlib import Path

LARGEST_INTEGER = 2**63
"""Size of the largest integer that TOML 1.0 asks a reader to take (section Integer, from memory)."""

DIGITS_A_BIT = 0.30103


DOTTED = re.compile(
    rf"""(?<![\w-])(?:(?:[\w-]+|"[^"\n]*"|'[^'\n]*')[ \t]*\.[ \t]*){{{BOUNDS["dotted key"].most}}}"""
)
"""More names with dots between them than a key may have; what reads TOML takes a time that goes by their square."""


def check_text(text: str, file: Path) -> None:
    """Raise InputError for a file's text that would take too long to be read at all."""
    found = DOTTED.search(text)
    if found is not None:
        line = text.count("\n", 0, found.start()) + 1
        raise BOUNDS["dotted key"].refused(BOUNDS["dotted key"].most + 1, f"{file}, line {line}")


def check_sane(tables: dict[str, Any], file: Path) -> None:
    """Raise InputError for more of anything than a file may hold, and for an integer beyond those of TOML."""
    left = BOUNDS["values of a file"].most
    waiting: list[tuple[str, Any]] = [("", tables)]
    while waiting:
        key, value = waiting.pop()
        left -= 1
        if left < 0:
            given = BOUNDS["values of a file"].most - left
            raise BOUNDS["values of a file"].refused(given + len(waiting), file)
        if isinstance(value, dict):
            BOUNDS["keys of a table"].check(len(value), file, key or None)
            waiting += ((_under(key, name, file), each) for name, each in value.items())
        elif isinstance(value, list):
            BOUNDS["items of a list"].check(len(value), file, key)
            waiting += ((f"{key}[{place}]", each) for place, each in enumerate(value, 1))
        elif isinstance(value, str):
            BOUNDS["text"].check(len(value), file, key)
        elif isinstance(value, int) and abs(value) >= LARGEST_INTEGER:
            digits = max(19, round(value.bit_length() * DIGITS_A_BIT))
            raise InputError("this whole number is too large", file, key, f"about {digits} digits", "at most 18 digits",
                             "mend the number, or write it with a unit")  # fmt: skip


def _under(key: str, name: str, file: Path) -> str:
    BOUNDS["key"].check(len(name), file, f"{key}.{name}" if key else name)
    return f"{key}.{name}" if key else name
