"""Laws fix the scale factor. Each is one record: its sentence, what it needs of the brief, and its factor."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

import numpy as np

from scaling.book.entry import Array
from scaling.files.errors import InputError
from scaling.formulas import book
from scaling.port.asked import Brief, LawRequest
from scaling.robot.design import Design
from scaling.robot.parts import Part, mass_at


@dataclass(frozen=True)
class Closure:
    """The factor at which a mass sum meets its target, or None with the reason why there is none."""

    factor: float | None
    reason: str = ""


@dataclass(frozen=True)
class Law:
    """One law.

    ``target`` says whether the brief's request states the port's length under that key, and ``takes_key`` whether it
    may name the design's length that is compared. ``compares`` is the design's key that the law compares, by the key
    that is named if any, and ``factor`` what it fixes. A law that ``closes_mass`` meets the limit by its factor, so
    that no lever is pulled. ``origin`` says where the factor comes from, of the length under ``{key}``.
    """

    name: str
    sentence: str
    origin: str
    compares: Callable[[Design, str | None], str]
    factor: Callable[[Design, Brief, LawRequest, tuple[Part, ...]], Closure]
    target: Literal["required", "optional", "none"] = "none"
    takes_key: bool = False
    closes_mass: bool = False

    def __str__(self) -> str:
        return self.sentence


def law_factor(design: Design, brief: Brief, request: LawRequest, parts: tuple[Part, ...]) -> Closure:
    """The factor that a law fixes, or the reason why there is none; raises InputError where it lacks what it needs."""
    return law_of(request.law).factor(design, brief, request, parts)


def _by_mass(_design: Design, brief: Brief, _request: LawRequest, parts: tuple[Part, ...]) -> Closure:
    return close_mass(lambda factor: mass_at(parts, factor), brief.allowed_mass)


def _by_length(design: Design, brief: Brief, request: LawRequest, _parts: tuple[Part, ...]) -> Closure:
    """The port's length, from the request or the brief's numbers, over the reference's."""
    key = LAWS[request.law].compares(design, request.key)
    target = request.target if request.target is not None else brief.numbers.get(key)
    if key not in design.variables:
        raise InputError(
            f"the {request.law} law needs a length that the design does not state", brief.file or design.file,
            "laws.key" if request.key is not None else "laws.law", request.key or request.law,
            f"a length of {design.file.name}", f"state {key} there, or ask for another law",
        )  # fmt: skip
    if target is None:
        raise InputError(
            f"the {request.law} law needs a length to scale to",
            brief.file,
            f"port.{key}",
            hint="state it there, or as the law's target",
        )
    own = design.variables[key]
    if own <= 0:
        raise InputError("the design states no length above zero there, so that no factor follows", brief.file,
                         f"laws.{request.law}.key", key, "the key of a length that the design has")  # fmt: skip
    return Closure(target / own)


def _length_key(_design: Design, key: str | None) -> str:
    return key or "length"


def _motor_key(design: Design, _key: str | None) -> str:
    """The motor whose diameter fixes the factor: the rotor's, else the drive's."""
    return "rotor.motor.diameter" if "rotor.motor.diameter" in design.variables else "drive.motor.diameter"


LAWS: dict[str, Law] = {
    law.name: law
    for law in (
        Law(
            "length",
            "a length of the port is given: the envelope's, or that of a named key",
            "{key} given",
            _length_key,
            _by_length,
            target="required",
            takes_key=True,
        ),
        Law(
            "mass",
            "the mass limit less the margin is met by the sum of the parts as they really follow the factor",
            "sum of the parts",
            lambda _design, _key: "mass",
            _by_mass,
            closes_mass=True,
        ),
        Law(
            "motor-diameter",
            "the ratio of the two motors' diameters: the rotor's, or the drive's on a robot without rotor",
            "motor diameters",
            _motor_key,
            _by_length,
            target="optional",
        ),
    )
}
"""Every law by name. What asks for a law reads it here, so that a new law is one more record."""

AS_DRAWN = Law(
    "as-drawn",
    "the ratio of a length of a machine that a design file of its own describes to the reference's",
    "{key} as drawn",
    lambda _design, key: key or "length",
    lambda _design, _brief, _request, _parts: Closure(None, "its factor is the drawn machine's"),
    takes_key=True,
)
"""The law of a machine that is there already, as built or drawn: a brief cannot ask for it."""


LEAST_DRIFT = Law(
    "least-drift",
    "factor and free dimensions are those at which the port drifts least in what the objective weighs, within every "
    "limit",
    "least drift",
    lambda _design, _key: "mass",
    _by_mass,
    closes_mass=True,
)
"""The law that frees dimensions: its port is found by solving, which needs what only a whole study knows. With the
dimensions that were found kept, the parts' masses give the factor."""

ASKED = (*LAWS, LEAST_DRIFT.name)
"""Names of the laws that a brief may ask for."""


def law_of(name: str) -> Law:
    """Return the law of that name, whether a brief may ask for it or not."""
    return {AS_DRAWN.name: AS_DRAWN, LEAST_DRIFT.name: LEAST_DRIFT}.get(name) or LAWS[name]


SIMILAR_MACHINE = (
    "A motor or pack that the brief does not name is taken as a similar machine: mass and power as factor³, "
    "diameter as the factor, the same current density and the same surface speed, wound for the port's pack "
    "voltage (speed constant as 1/factor, resistance as 1/factor³, currents as factor³, each corrected by the "
    "ratio of pack voltages)."
)


def check_law(name: str, key: object, target: float | None, file: Path | None, where: str) -> None:
    """Raise InputError where a law has not what it needs, or a key or target that it cannot use."""
    law = law_of(name)
    lengths = {each.key for each in book.variables.values() if each.unit == "m" and each.length_power == 1}
    if law.target == "required" and target is None:
        allowed = 'text such as "180 mm"'
        raise InputError(f"the {name} law needs the port's length", file, f"{where}.target", allowed=allowed)
    if key is not None and (not law.takes_key or key not in lengths):
        takes = " or ".join(other.name for other in LAWS.values() if other.takes_key)
        raise InputError(
            "this key cannot be the length that is given",
            file,
            f"{where}.key",
            key,
            f"with the {takes} law, the dotted key of a length of the design file",
        )
    if law.target == "none" and target is not None:
        raise InputError(f"the {name} law takes no length", file, f"{where}.target", hint="leave it out")


def naive_factor(mass_limit: float, reference_mass: float) -> float:
    """Cube root of the mass ratio: what the factor would be if every part followed factor^3."""
    return float((mass_limit / reference_mass) ** (1 / 3))


LEAST, MOST = 1e-3, 1e3
"""Factors between which a mass sum is closed."""


CUTS, FEW = 32, 256
"""Parts into which a range of factors is cut at once, in halves beyond so many ranges: many masses in one array cost
little more than one."""


def close_mass(total_mass: Callable[[Any], Any], target: float) -> Closure:
    """Return the largest factor at which ``total_mass`` is within ``target`` (kg), or why there is none.

    ``total_mass`` takes a factor or an array of them. The sum rises with it, smoothly or in the steps of a shelf, so
    that the last factor within the target is found to the last bit of a float.
    """
    if target <= 0:
        return Closure(None, "the margin takes up the whole mass limit")
    if total_mass(LEAST) > target:
        return Closure(None, f"what does not scale weighs {total_mass(LEAST) * 1e3:.0f} g, more than the "
                             f"{target * 1e3:.0f} g that the limit leaves")
    if total_mass(MOST) <= target:
        return Closure(None, "the parts' mass hardly grows with the factor, so the limit is never reached")
    return Closure(float(largest_within(total_mass, target, LEAST, MOST, ())))


def largest_within(
    total_mass: Callable[[Any], Any], target: float, least: float, most: float, shape: tuple[int, ...]
) -> Array:
    """Return the largest factor from ``least`` to ``most`` at which the mass is within ``target`` (kg).

    ``total_mass`` takes arrays of factors whose last axes are of ``shape``, and gives a mass for each. NaN where all
    factors are within the target or none is. The sum rises with the factor, smoothly or in the steps of a shelf, so
    that cutting a range again and again finds the last factor within the target to the last bit of a float.
    """
    low, high = np.full(shape, least), np.full(shape, most)
    nowhere = (total_mass(low) > target) | (total_mass(high) <= target)
    cuts = CUTS if low.size <= FEW else 2
    shares = (np.arange(1, cuts) / cuts).reshape(-1, *[1] * low.ndim)
    while True:
        middle = (low + high) / 2
        if np.all((middle == low) | (middle == high)):
            return np.asarray(np.where(nowhere, np.nan, low))
        factors = low + (high - low) * shares
        last = np.sum(total_mass(factors) <= target, axis=0)[None]
        ends = np.concatenate([low[None], factors, high[None]])
        low, high = (np.take_along_axis(ends, place, axis=0)[0] for place in (last, last + 1))
