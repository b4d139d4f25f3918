"""Words of the trade for what a file calls by another: said as a hint, for some mean two things."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scaling.files.errors import nearest

if TYPE_CHECKING:
    from collections.abc import Collection

MEANT: dict[str, tuple[str, str]] = {
    "vertical": ("across", 'a vertical spinner turns about an axis "across" the machine, a horizontal one "upright"'),
    "horizontal": ("upright", 'a horizontal spinner turns about an "upright" axis, a vertical one "across"'),
    "beater": ("drum", 'did you mean "drum"?'),
    "blade": ("bar", 'did you mean "bar"?'),
    "disk": ("disc", 'did you mean "disc"?'),
    "v-belt": ("flat", 'did you mean "flat"?'),
    "timing": ("toothed", 'did you mean "toothed"?'),
    "cw": ("clockwise", 'did you mean "clockwise"?'),
    "ccw": ("anticlockwise", 'did you mean "anticlockwise"?'),
    "counterclockwise": ("anticlockwise", 'did you mean "anticlockwise"?'),
    "back": ("rear", 'did you mean "rear"?'),
    "plate": ("sheet", 'did you mean "sheet"?'),
    "inch": ("in", 'did you mean "in"?'),
    "inches": ("in", 'did you mean "in"?'),
}
"""By each such word the word of a file, and the hint where that word may stand there."""


def word_meant(word: str, allowed: Collection[str]) -> str | None:
    """Return a hint on which of the words that are ``allowed`` a file's ``word`` means, None where none is near.

    >>> word_meant("Beater", ("disc", "ring", "bar", "drum"))
    'did you mean "drum"?'
    """
    plain = word.strip().casefold()
    if plain in allowed:
        return f'did you mean "{plain}"?'
    if plain in MEANT and MEANT[plain][0] in allowed:
        return MEANT[plain][1]
    return nearest(plain, allowed)
