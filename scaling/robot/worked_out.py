"""What a design's numbers give: its whole mass, where that sits, how fast the rotor turns, who stands opposite.

For the numbers of one design, or for arrays of them by ``row_by_row``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from scaling.book.alike import alike
from scaling.files.errors import InputError
from scaling.formulas import book
from scaling.formulas.impact.clash import ACROSS
from scaling.formulas.rotor.shapes import single
from scaling.robot.derived import set_strip_drag
from scaling.robot.estimates import Estimate, opponent_estimate
from scaling.robot.own_parts import own_parts
from scaling.robot.part_rows import reconcile, with_the_rest
from scaling.robot.parts import Part
from scaling.robot.positions import COVERED, Vector, WholeBody, whole_body


def whole_sum(
    listed: tuple[Part, ...] | None, numbers: Mapping[str, Any], words: Mapping[str, str], file: Path,
    notes: list[str],
) -> tuple[Part, ...]:
    """Every part of the robot: those with tables of their own, the ``listed`` ones, and what is left; None: no list."""
    parts = (*own_parts(numbers, words), *(listed or ()))
    if not parts:
        raise InputError("the design has no parts", file, "parts", allowed="at least one [[parts]] table")
    if listed is None:
        if "mass" not in numbers:
            allowed = 'the weighed mass of the whole robot, such as "454 g", or [[parts]] tables'
            raise InputError("the design lists no parts and states no mass", file, "mass", allowed=allowed)
        notes.append(
            "no parts are listed: all that the weighed mass holds beside those with tables of their own is taken as "
            "one part that grows as factor³ (common practice, no source)"
        )
        return with_the_rest(parts, numbers["mass"], file)
    return reconcile(parts, numbers.get("mass"), file)


def use_positions(
    places: Mapping[str, Sequence[Vector]],
    parts: tuple[Part, ...],
    numbers: dict[str, float],
    file: Path,
) -> WholeBody | None:
    """Take centre of gravity and inertias from the parts' positions where the file does not state them."""
    body = whole_body(parts, places, numbers["mass"])
    if body is None or not alike(body.share >= COVERED):
        return body
    found = {
        "cg_height": body.centre[2],
        "cg_ahead": body.centre[0],
        "roll_inertia": body.roll_inertia,
        "yaw_inertia": body.yaw_inertia,
    }
    _take(found, numbers, file)
    return body


def use_place_of_rotor(
    body: WholeBody | None,
    places: Sequence[Vector],
    numbers: dict[str, float],
    words: dict[str, str],
    file: Path,
) -> None:
    """Take from the positions how the machine answers a hit: its inertia in the rotor's plane, the axle's lever.

    A rotor across the machine hits up or down ahead of it and an upright one sideways, both at the front: the lever is
    how far the axle is ahead of the centre of gravity. One along the machine hits wherever it is met; its lever must be
    stated.
    """
    axis = words.get("rotor.axis")
    if body is None or not alike(body.share >= COVERED) or len(places) != 1 or axis not in ("across", "upright"):
        return
    inertia = body.pitch_inertia if axis == "across" else body.yaw_inertia
    _take({"rotor.hit_inertia": inertia}, numbers, file)
    numbers.setdefault("rotor.axle_lever", abs(places[0][0] - numbers["cg_ahead"]))


def _take(found: dict[str, float], numbers: dict[str, float], file: Path) -> None:
    """Set what the parts' positions give and the file does not state."""
    for key, value in found.items():
        if alike(value <= 0):
            raise InputError(
                "the positions of the parts give what cannot be",
                file,
                "positions",
                f"{key} {value:.3g}",
                "above zero",
                "x is ahead of the rear contact, z above the floor",
            )
        numbers.setdefault(key, value)


def set_rotor_speed(numbers: dict[str, Any], traits: frozenset[str], file: Path) -> None:
    """Set the speed that the motor reaches where the file states none, and what hangs on it.

    The speed of a bar whose drag is stated over a disc's is that at which a disc's drag is met.
    """
    waiting = "rotor.strip_drag" not in numbers
    if "rotor.speed" not in numbers:
        numbers["rotor.speed"] = _speed_reached({"rotor.strip_drag": 0.0} | numbers, traits, file)
    if waiting:
        set_strip_drag(numbers)


def _speed_reached(numbers: dict[str, Any], traits: frozenset[str], file: Path) -> Any:
    reached = book.evaluate(numbers, traits, only=["rotor_speed_as_motored"]).get("rotor_speed_as_motored")
    if reached is None or not alike(reached > 0):
        raise InputError(
            "the rotor's speed cannot be worked out",
            file,
            "rotor.speed",
            hint="state rotor.speed, or the rotor's motor and the pack",
        )
    return single(reached)


def set_opponent(numbers: dict[str, Any], traits: frozenset[str]) -> list[Estimate]:
    """Without an ``[attacker]``, let the class's opponent have this robot's own rotor; returns what that estimates."""
    names = ("specific_energy", "tip_speed", "hit_bite_depth")
    own = book.evaluate(numbers, traits, only=names)
    if any(key.startswith("attacker.") for key in numbers) or not set(names) <= set(own):
        return []
    found = {
        "attacker.specific_energy": single(own["specific_energy"]) * numbers["mass"] / numbers["mass_limit"],
        "attacker.tip_speed": single(own["tip_speed"]),
        "attacker.bite": single(own["hit_bite_depth"]),
        "attacker.tooth_width": numbers["rotor.tooth_width"],
        "attacker.diameter": numbers["rotor.diameter"],
    }
    numbers |= found | {"attacker.tip_angle": ACROSS}
    return [opponent_estimate(key, value) for key, value in found.items()]
