"""Plain data as JSON text, in which every number is one: JSON knows no NaN and no Infinity.

What cannot be computed is left out where it is computed, and said there. A number that is not finite and comes here all
the same has nobody who says why, and its key may be one that readers count on: so nothing is written, in a sentence.
"""

from __future__ import annotations

import json
import math
from typing import Any

from scaling.files.errors import InputError


def json_text(data: object, **how: Any) -> str:
    """Return ``data`` as JSON, spelled as ``json.dumps`` is told; raises InputError for a number that is not finite.

    >>> json_text({"mass": 0.454})
    '{"mass": 0.454}'
    """
    try:
        return json.dumps(data, allow_nan=False, **how)
    except ValueError:
        raise InputError("this number of the result is not finite, so nothing is written", None, _not_finite(data, ""),
                         hint="look with scaling check for a number that no robot has") from None  # fmt: skip


def _not_finite(data: object, key: str) -> str | None:
    """The dotted key of the first number that is not finite, None where there is none."""
    if isinstance(data, float) and not math.isfinite(data):
        return key
    if isinstance(data, dict):
        rows = ((f"{key}.{name}" if key else str(name), each) for name, each in data.items())
    elif isinstance(data, list | tuple):
        rows = ((f"{key}[{place}]", each) for place, each in enumerate(data, 1))
    else:
        return None
    return next((found for name, each in rows if (found := _not_finite(each, name)) is not None), None)
