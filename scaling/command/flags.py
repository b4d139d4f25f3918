"""How the verbs read the flags that several of them share."""

from __future__ import annotations

from scaling.files.errors import InputError


def scale_factors(text: str) -> float | tuple[float, ...]:
    """Return the scale factor that ``--factor`` says, or its three along x, y and z."""
    from scaling.files.units import parse

    values = tuple(parse(each, "1", None, "--factor") for each in text.split(","))
    if len(values) not in (1, 3) or min(values) <= 0:
        raise InputError("this is not a scale", None, "--factor", text, "one number above zero, or three")
    return values[0] if len(values) == 1 else values
