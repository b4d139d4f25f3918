"""Facts on a mistake as one sentence that stays short whatever a stranger's file holds, in TOML's own spelling."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, time
from typing import Any

LONGEST = 290
"""Characters of the longest sentence; with the command's name before it, it stays below 300."""

LONGEST_PIECE = 60
"""Characters of a key or of what was given."""

MOST_LISTED = 10
"""Names of a list that are said; of more only the number."""

ROOM = (("allowed", 100), ("file", 70), ("hint", 80), ("allowed", 50), ("file", 40), ("problem", 70), ("hint", 45))
"""What a sentence that is too long is cut in, in this order, and how many characters it keeps."""


def sentence(file: object, key: object, problem: str, given: object, allowed: str | None, hint: str | None) -> str:
    """Return one sentence: where (file and dotted key), what is wrong, what was given, what is allowed, the mend.

    What is quoted is cut to LONGEST_PIECE characters, its control characters and marks of direction are spelled out.
    """
    pieces = {"file": _quoted(file), "problem": _line(problem), "allowed": _line(allowed), "hint": _line(hint)}
    place, value = _cut(_quoted(key), LONGEST_PIECE, within=True), None if given is None else shown(given)
    for name, least in ROOM:
        over = len(_joined(place, value, **pieces)) - LONGEST
        if over > 0:
            pieces[name] = _cut(pieces[name], max(least, len(pieces[name]) - over), within=name == "file")
    return _cut(_joined(place, value, **pieces), LONGEST)


def _joined(key: str, given: str | None, file: str, problem: str, allowed: str, hint: str) -> str:
    text = ": ".join(part for part in (file, key, problem) if part)
    text += "" if given is None else f", given {given}"
    text += f", allowed: {allowed}" if allowed else ""
    text += f"; {hint}" if hint else ""
    return text if text.endswith(("?", ".")) else f"{text}."


def shown(value: object, most: int = LONGEST_PIECE) -> str:
    r"""Return ``value`` as TOML spells it, cut to ``most`` characters.

    >>> shown(True), shown("12\tmm"), shown([1, "a"])
    ('true', '"12\\tmm"', '[1, "a"]')
    """
    if isinstance(value, str):
        return f'"{_cut(escaped(value), most - 2)}"'
    return _cut(_spelled(value), most)


def _spelled(value: object) -> str:
    """A value of a TOML file, or of an array's, as TOML spells it."""
    if hasattr(value, "tolist"):
        value = value.tolist()  # an array's
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int) and value.bit_length() > 200:  # which Python refuses to write in decimals beyond a length
        return hex(value)
    if isinstance(value, int | float):
        return repr(value)
    if isinstance(value, date | time):
        return value.isoformat()
    if isinstance(value, Mapping):
        return f"{{{', '.join(f'{escaped(str(name))} = {shown(each)}' for name, each in _some(value.items()))}}}"
    if isinstance(value, Sequence) and not isinstance(value, str):
        return f"[{', '.join(map(shown, _some(value)))}]"
    return "nothing" if value is None else f'"{escaped(str(value))}"'


def _some(values: Iterable[Any]) -> list[Any]:
    """No more of many than a message may hold."""
    return [each for _, each in zip(range(LONGEST_PIECE), values, strict=False)]


def listed(names: Iterable[object]) -> str:
    """Return names with commas between them, MOST_LISTED at most and how many more there are.

    >>> listed("abc"), listed(range(12))
    ('a, b, c', '0, 1, 2, 3, 4, 5, 6, 7, 8, 9 and 2 more')
    """
    words = [_cut(escaped(str(name)), LONGEST_PIECE) for name in names]
    more = len(words) - MOST_LISTED
    return ", ".join(words[:MOST_LISTED]) + (f" and {more} more" if more > 0 else "")


def calm(name: str) -> str:
    """Return a name that a file of another program holds, cut to LONGEST_PIECE characters, with nothing that steers."""
    return _cut(escaped(name), LONGEST_PIECE)


def escaped(text: str) -> str:
    """Return ``text`` with what does not print, or turns the direction of what follows, spelled as TOML does."""
    if text.isprintable():
        return text
    short = {"\t": "\\t", "\n": "\\n", "\r": "\\r"}
    return "".join(
        mark if mark.isprintable() else short.get(mark) or f"\\u{ord(mark):04x}" if ord(mark) < 0x10000
        else f"\\U{ord(mark):08x}" for mark in text
    )  # fmt: skip


def _quoted(text: object) -> str:
    return "" if text is None else escaped(str(text))


def _line(text: str | None) -> str:
    """Words of our own, and names within them, on one line."""
    plain = "".join(mark if mark.isprintable() else " " for mark in text or "")
    words = " ".join(plain.split())
    return words if words.endswith("...") else words.rstrip(".")


def _cut(text: str, most: int, within: bool = False) -> str:
    """Cut ``text`` to ``most`` characters, its middle where what ends it matters."""
    if len(text) <= most:
        return text
    tail = (most - 3) // 2 if within else 0
    return f"{text[: most - 3 - tail]}...{text[len(text) - tail :]}"
