"""Names of bolts as people write them, and which bolt of the shelf each is near."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Protocol

INCH = 25.4
_METRIC = re.compile(r"m ?(\d+(?:[.,]\d+)?) ?(?:[x×*-] ?\d+(?:[.,]\d+)?)? ?(?:mm)?")
_NUMBERED = re.compile(r"(?:#|no\.? ?)? ?(\d{1,2}) ?-+ ?\d{2}(?: ?un[cf])?")
_FRACTION = re.compile(r"(\d{1,2})/(\d{1,2})(?:\"|in)? ?(?:-+ ?\d{2})?(?: ?un[cf])?")


class _Bolt(Protocol):
    @property
    def diameter(self) -> float: ...


def bolt_meant(name: str, known: Mapping[str, _Bolt]) -> str | None:
    """Return a hint on which of the bolts that are ``known`` a ``name`` may mean, None where it is one or none.

    The number n of a screw of the inch series is a diameter of 0.060 + 0.013 n inch (ASME B1.1, from memory).

    >>> from scaling.shop.stock import bolts
    >>> shelf = {bolt.size: bolt for bolt in bolts()}
    >>> bolt_meant("#4-40", shelf)
    'it is 2.84 mm thick, the nearest here is "M3"; or add it by a file of your own'
    >>> bolt_meant("M3x10", shelf)
    'write "M3"'
    """
    if name in known:
        return None
    plain = name.strip().casefold()
    if (found := _METRIC.fullmatch(plain)) is not None:
        word = f"M{found[1].replace(',', '.')}"
        return f'write "{word}"' if word in known else None
    if (found := _NUMBERED.fullmatch(plain)) is not None and int(found[1]) <= 14:
        thick = (0.060 + 0.013 * int(found[1])) * INCH
    elif (found := _FRACTION.fullmatch(plain)) is not None and int(found[2]):
        thick = int(found[1]) / int(found[2]) * INCH
    else:
        return None
    near = min(known, key=lambda each: abs(known[each].diameter * 1e3 - thick))
    return f'it is {thick:.3g} mm thick, the nearest here is "{near}"; or add it by a file of your own'
