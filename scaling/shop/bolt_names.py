"""Names of bolts as people write them, and which bolt of the shelf each is near."""

from __future__ import annotations

import re
from collections.abc import Mapping

INCH = 25.4
_METRIC = re.compile(r"m ?(\d+(?:[.,]\d+)?) ?(?:[x×*-] ?\d+(?:[.,]\d+)?)? ?(?:mm)?")
_NUMBERED = re.compile(r"(?:#|no\.? ?)? ?(\d{1,2}) ?-+ ?\d{2}(?: ?un[cf])?")
_FRACTION = re.compile(r"(\d{1,2})/(\d{1,2})(?:\"|in)? ?(?:-+ ?\d{2})?(?: ?un[cf])?")


def bolt_meant(name: str, known: Mapping[str, float]) -> str | None:
    """Return a hint on which bolt ``name`` may be, None where it reads as none; ``known`` are diameters in m by name.

    The number n of a screw of the inch series is a diameter of 0.060 + 0.013 n inch (ASME B1.1, from memory).

    >>> bolt_meant("#4-40", {"M2.5": 2.5e-3, "M3": 3e-3})
    'it is 2.84 mm thick, the nearest here is "M3"; or add it by a file of your own'
    >>> bolt_meant("M3x10", {"M2.5": 2.5e-3, "M3": 3e-3})
    'write "M3"'
    """
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
    near = min(known, key=lambda each: abs(known[each] * 1e3 - thick))
    return f'it is {thick:.3g} mm thick, the nearest here is "{near}"; or add it by a file of your own'
