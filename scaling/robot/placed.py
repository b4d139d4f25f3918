"""Where the parts stand against what the rest of the file says: the doubts that ``[positions]`` bring."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from scaling.files.units import format_value
from scaling.formulas import book
from scaling.robot.likely import Doubt
from scaling.robot.positions import COVERED, Vector, WholeBody

APART = 0.1
"""Share by which a stated number may differ from that of the parts' positions before it is said."""

BESIDE = 0.05
"""Share of the machine's size by which a part's middle may stand outside it."""

PLANES = {"across": (0, 2), "along": (1, 2), "upright": (0, 1)}
"""The two directions (x, y, z) that lie across a rotor's axis."""

Numbers = Mapping[str, float]
Places = Mapping[str, Sequence[Vector]]


def placed_doubts(
    numbers: Numbers, words: Mapping[str, str], stated: frozenset[str], places: Places, body: WholeBody | None
) -> list[Doubt]:
    """Return each stated number that the places of the parts contradict, and each part outside the machine."""
    found = [*_of_body(numbers, words, places, body), *_of_places(numbers, words, places)]
    told = [
        Doubt((key, "positions"), f"the {book.variables[key].meaning} is stated as {_shown(key, numbers[key])}, the "
              f"parts' positions give {_shown(key, value)}: the stated one counts")
        for key, value in found
        if key in stated and abs(numbers[key] - value) > APART * max(abs(numbers[key]), abs(value))
    ]  # fmt: skip
    return [*told, *_outside(numbers, places)]


def _shown(key: str, value: float) -> str:
    return format_value(value, book.variables[key].unit)


def _of_body(
    numbers: Numbers, words: Mapping[str, str], places: Places, body: WholeBody | None
) -> Iterator[tuple[str, float]]:
    """What the whole sum of the positions says, where they cover enough of the mass."""
    if body is None or body.share < COVERED:
        return
    yield "cg_height", body.centre[2]
    yield "cg_ahead", body.centre[0]
    yield "roll_inertia", body.roll_inertia
    yield "yaw_inertia", body.yaw_inertia
    axis, rotor = words.get("rotor.axis"), places.get("rotor", ())
    if len(rotor) == 1 and axis in ("across", "upright"):
        yield "rotor.hit_inertia", body.pitch_inertia if axis == "across" else body.yaw_inertia


def _of_places(numbers: Numbers, words: Mapping[str, str], places: Places) -> Iterator[tuple[str, float]]:
    """What single places say: heights of the axles, the track, the belt's centre distance."""
    wheels, axis = places.get("wheels", ()), words.get("rotor.axis", "across")
    if wheels:
        yield "wheel.diameter", 2 * sum(z for _, _, z in wheels) / len(wheels)
        across = [y for _, y, _ in wheels]
        if max(across) > min(across):
            yield "track", max(across) - min(across)
    if len(places.get("rotor", ())) != 1:
        return
    rotor = places["rotor"][0]
    yield "rotor.axle_height", rotor[2]
    if axis in ("across", "upright") and "cg_ahead" in numbers:
        yield "rotor.axle_lever", abs(rotor[0] - numbers["cg_ahead"])
    if len(places.get("rotor motor", ())) == 1:
        motor = places["rotor motor"][0]
        yield "rotor.belt.centre_distance", math.hypot(*(rotor[way] - motor[way] for way in PLANES[axis]))


def _outside(numbers: Numbers, places: Places) -> list[Doubt]:
    """Parts whose middle stands outside the machine's box; how far ahead that reaches no key says, only its length."""
    found: list[Doubt] = []
    for name, rows in places.items():
        for x, y, z in rows:
            far = {
                "width": abs(y) - numbers["width"] / 2 * (1 + BESIDE),
                "height": max(-z, z - max(numbers["height"], numbers.get("rotor.axle_height", 0.0)) * (1 + BESIDE)),
                "length": abs(x) - numbers["length"] * (1 + BESIDE),
            }
            beyond = [key for key, over in far.items() if over > 0]
            if beyond:
                found.append(Doubt((f'positions."{name}"', beyond[0]), "the part's middle stands outside the machine"))
                break
    return found
