"""Which part of the mass sum a table of the design file is: named by the file, or plain from word, size and material.

A wedge may stand in the file twice: as a part that weighs something and as a cantilever that bends. Where both plainly
are one thing, what the brief does to the part it does to the table too.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from scaling.files.toml import quoted
from scaling.files.units import format_value
from scaling.robot.likely import Doubt
from scaling.robot.own_parts import WORDS
from scaling.robot.parts import Part

TABLES = tuple(key.removesuffix(".part") for key in WORDS if key.endswith(".part"))
"""Tables that may be a part of the mass sum."""

EQUAL = 1e-6
"""Share by which two stated thicknesses may differ and still be the same."""


PLACES = ("left", "right", "front", "rear", "back", "top", "bottom", "upper", "lower", "inner", "outer")
"""Words behind a noun that say where the thing is."""


def ties_of(numbers: Mapping[str, float], words: Mapping[str, str], parts: Sequence[Part]) -> dict[str, str]:
    """Return the part's name by table: as the file says, else the first part that plainly is that table."""
    found: dict[str, str] = {}
    for table in TABLES:
        if f"{table}.part" in words:
            found[table] = words[f"{table}.part"]
            continue
        alike = [part.name for part in namesakes(table, parts) if unlike(table, part, numbers, words) is None]
        if alike and f"{table}.material" in words:
            found[table] = alike[0]
    return found


def parted(
    numbers: Mapping[str, float], words: Mapping[str, str], parts: Sequence[Part], ties: Mapping[str, str]
) -> list[Doubt]:
    """Return a doubt for each table that differs in thickness or material from its part, or from one of its word."""
    found: list[Doubt] = []
    for table in TABLES:
        if f"{table}.material" not in words:
            continue
        tied = [part for part in parts if part.name == ties.get(table)]
        for part in tied or namesakes(table, parts):
            key = unlike(table, part, numbers, words)
            if key is not None:
                found.append(Doubt((key, f"parts.{quoted(part.name)}"), _differ(table, part, numbers, words)))
    return found


def namesakes(table: str, parts: Sequence[Part]) -> list[Part]:
    """Return the listed parts that go by a table's name, such as 'front wedges' for [wedge], but not 'wedge screws'."""
    wanted = _words(table)
    named = [(part, _words(part.name)) for part in parts if part.key is None]
    return [part for part, words in named if words and words[-1] == wanted[-1] and set(wanted) <= set(words)]


def _words(name: str) -> list[str]:
    """The words of a name in the singular, less what follows a comma and where the thing is, its noun last."""
    spaced = "".join(mark if mark.isalnum() else " " for mark in name.lower().partition(",")[0])
    words = [word.removesuffix("s") for word in spaced.split()]
    while len(words) > 1 and (words[-1] in PLACES or words[-1].isdigit()):
        words.pop()
    return words


def unlike(table: str, part: Part, numbers: Mapping[str, float], words: Mapping[str, str]) -> str | None:
    """Return the key in which a part differs from a table, None where it plainly is that table.

    A part without a thickness of its own, one that is no sheet, follows the factor in every length as the table does.
    """
    if part.material != words.get(f"{table}.material"):
        return f"{table}.material"
    own = numbers.get(f"{table}.thickness")
    if part.thickness is not None and own is not None and abs(part.thickness / own - 1) > EQUAL:
        return f"{table}.thickness"
    return None


def _differ(table: str, part: Part, numbers: Mapping[str, float], words: Mapping[str, str]) -> str:
    own = numbers.get(f"{table}.thickness")
    here = " of ".join([*([] if own is None else [format_value(own, "m")]), words[f"{table}.material"]])
    there = " of ".join(
        [*([] if part.thickness is None else [format_value(part.thickness, "m")]), part.material or "what is not said"]
    )
    return (
        f'[{table}] is {here}, the part "{part.name}" {there}: mend one of them if '
        "they are one thing"
    )
