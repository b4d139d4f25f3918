"""A machine's side and top outline from its stated dimensions and places, as polygons in metres.

The frame is the design file's: x ahead of the rear contact, y to the left, z above the floor. What no key says stands
as simply as it can: wheels as wide as width less track leaves, a body as long as its wall, rail or lid, parts without
a place at the end where they belong.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np

from scaling.book.entry import Array

Role = Literal["body", "wall", "wheel", "wedge", "motor", "belt", "rotor", "bore"]
Vector = tuple[float, float, float]

BAR_TILT = math.radians(32)
"""How a bar stands in the picture: it turns, so no angle is its own."""

SLOPE = math.radians(25)
"""Slope of a wedge whose place does not tell it."""

WHEEL_SHARE = 0.45
"""Most width of a wheel over its diameter: beyond, width less track is more than the wheel."""


@dataclass(frozen=True)
class Shape:
    """A filled polygon, shape (points, 2), and what it is."""

    role: Role
    points: Array


@dataclass(frozen=True)
class View:
    """One view: its shapes from back to front, the centre of gravity, the cutting circle, axles.

    ``turn`` is 1 where the rotor turns anticlockwise in the picture, -1 the other way.
    """

    shapes: tuple[Shape, ...]
    centre: tuple[float, float]
    low: tuple[float, float]
    high: tuple[float, float]
    sweep: Array | None = None
    axles: tuple[tuple[float, float], ...] = ()
    turn: int = 1


@dataclass(frozen=True)
class Machine:
    """What is known of a machine's shape: numbers in SI and words by key, the places of parts, and how many of each.

    ``ties`` names the part that a table is.
    """

    numbers: Mapping[str, float]
    words: Mapping[str, str]
    places: Mapping[str, Sequence[Vector]]
    ties: Mapping[str, str]
    counts: Mapping[str, int]

    def __getitem__(self, key: str) -> float:
        return self.numbers[key]

    def of(self, *keys: str) -> float | None:
        """Return the first of ``keys`` that has a number, None where none has."""
        return next((self.numbers[key] for key in keys if key in self.numbers), None)

    def placed(self, table: str) -> Sequence[Vector]:
        """Return the places of the part that a table is."""
        return self.places.get(self.ties.get(table, ""), ())

    @property
    def axis(self) -> str | None:
        """Which way the rotor's axle lies; None without a rotor."""
        return self.words.get("rotor.axis", "across") if "rotor.diameter" in self.numbers else None

    @property
    def wheel_width(self) -> float:
        """Width of a wheel that reaches the machine's side, no more than a wheel has."""
        return float(np.clip(self["width"] - self["track"], 0.15 * self["wheel.diameter"],
                             WHEEL_SHARE * self["wheel.diameter"]))

    @property
    def axles(self) -> list[float]:
        """How far ahead of the rear contact each axle with wheels stands."""
        pairs = int(self.numbers.get("wheel.count", 2)) // 2
        return [0.0] if pairs < 2 else [float(x) for x in np.linspace(0.0, self["wheelbase"], pairs)]

    @property
    def rotor_reach(self) -> float:
        """How far the rotor reaches ahead of its middle."""
        return (self["rotor.width"] if self.axis == "along" else self["rotor.diameter"]) / 2

    @cached_property
    def rear(self) -> float:
        """Where the machine's length begins: from the rotor's stated place, else behind the wheels."""
        wheels = -self["wheel.diameter"] / 2
        if self.axis is not None and (known := self.places.get("rotor")):
            return min(wheels, known[0][0] + self.rotor_reach - self["length"])
        if len(self.axles) > 1:
            return min(wheels, (self["wheelbase"] - self["length"]) / 2)
        return wheels

    @property
    def front(self) -> float:
        """Where the machine's length ends."""
        return self.rear + self["length"]

    @property
    def rotor(self) -> Vector:
        """Middle of the rotor: its place, else ahead of the centre of gravity, else at the front end."""
        if known := self.places.get("rotor"):
            return known[0]
        height = self.of("rotor.axle_height") or self["height"] / 2
        flush = self.front - self.rotor_reach
        lever = self.of("rotor.axle_lever")
        ahead = flush if lever is None else min(flush, self["cg_ahead"] + lever)
        return (ahead, 0.0, height)

    @property
    def turn(self) -> int:
        """1 for a rotor that turns anticlockwise as it is drawn, -1 for the other way."""
        return -1 if self.words.get("rotor.spin") in ("down", "clockwise") else 1

    @property
    def body(self) -> tuple[float, float]:
        """From where to where the chassis reaches along the machine."""
        room = self.front
        if self.axis == "across":
            room = self.rotor[0] - self.rotor_reach
        elif self.axis is not None:
            room = self.front - 0.5 * self.rotor_reach
        elif "wedge.length" in self.numbers:
            room = self.front - self["wedge.length"] * math.cos(SLOPE)
        stated = self.of("wall.length", "rail.length", "lid.length")
        end = room if stated is None else self.rear + stated
        return self.rear, float(np.clip(end, self.rear + 0.3 * self["length"], max(room, self.rear + stated)
                                        if self.axis is None and stated else room))

    @property
    def half_width(self) -> float:
        """Half the chassis's width: to its walls, else its lid's, else what the wheels leave."""
        inside = (self["track"] - self.wheel_width) / 2
        if walls := (self.placed("wall") or self.placed("rail")):
            return max(abs(y) for _, y, _ in walls) + (self.of("wall.thickness", "rail.thickness") or 0.0) / 2
        lid = self.of("lid.width")
        return min(inside, lid / 2) if lid else inside

    @property
    def bottom(self) -> float:
        """Height of the chassis's underside above the floor."""
        return self.numbers.get("ground_clearance", 0.05 * self["height"])

    @property
    def top(self) -> float:
        """Height of the chassis's upper side above the floor."""
        walls = self.of("wall.height", "rail.height")
        return self.of("body_height") or (self["height"] if walls is None else self.bottom + walls)


def side_view(machine: Machine) -> View:
    """Return what is seen from the right: x ahead, z up."""
    shapes = [*_chassis_side(machine), *_wedges_side(machine), *_drive_side(machine)]
    wheel = machine["wheel.diameter"] / 2
    shapes += [Shape("wheel", _circle(x, wheel, wheel)) for x in machine.axles]
    axles = [(x, wheel) for x in machine.axles]
    sweep = None
    if machine.axis is not None:
        x, _, z = machine.rotor
        shapes += _rotor_seen(machine, (x, z), {"across": "end", "upright": "flat", "along": "upright"}[machine.axis])
        axles += [(x, z)]
        sweep = _circle(x, z, machine["rotor.diameter"] / 2) if machine.axis == "across" else None
    return _view(shapes, (machine["cg_ahead"], machine["cg_height"]), sweep, axles,
                 ((machine.rear, 0.0), (machine.front, machine["height"])), machine.turn)


def top_view(machine: Machine) -> View:
    """Return what is seen from above: x ahead, y to the left."""
    tread, half = machine.wheel_width, machine["track"] / 2
    shapes = [
        Shape("wheel", box(x - machine["wheel.diameter"] / 2, x + machine["wheel.diameter"] / 2,
                            side * half - tread / 2, side * half + tread / 2, 0.25 * tread))
        for x in machine.axles for side in (-1, 1)
    ]  # fmt: skip
    shapes += [*_chassis_top(machine), *_wedges_top(machine), *_drive_top(machine)]
    sweep, axles = None, []
    if machine.axis is not None:
        x, y, _ = machine.rotor
        shapes += _rotor_seen(machine, (x, y), {"across": "flat", "upright": "end", "along": "upright"}[machine.axis])
        axles = [(x, y)]
        sweep = _circle(x, y, machine["rotor.diameter"] / 2) if machine.axis == "upright" else None
    wide = machine["width"] / 2
    return _view(shapes, (machine["cg_ahead"], machine.numbers.get("cg_left", 0.0)), sweep, axles,
                 ((machine.rear, -wide), (machine.front, wide)), machine.turn)


def _view(
    shapes: list[Shape], centre: tuple[float, float], sweep: Array | None, axles: list[tuple[float, float]],
    frame: tuple[tuple[float, float], tuple[float, float]], turn: int,
) -> View:
    points = np.concatenate([*(shape.points for shape in shapes), *([] if sweep is None else [sweep]), np.array(frame)])
    (left, below), (right, above) = points.min(axis=0), points.max(axis=0)
    return View(tuple(shapes), centre, (float(left), float(below)), (float(right), float(above)), sweep, tuple(axles),
                turn)


def _chassis_side(machine: Machine) -> list[Shape]:
    back, end = machine.body
    corner = 0.12 * machine.top
    found = [Shape("body", box(back, end, machine.bottom, machine.top, corner))]
    tall, long = machine.of("wall.height", "rail.height"), machine.of("wall.length", "rail.length")
    if tall and long:
        default = (back + long / 2, 0.0, machine.bottom + tall / 2)
        x, _, z = (*machine.placed("wall"), *machine.placed("rail"), default)[0]
        found.append(Shape("wall", box(x - long / 2, x + long / 2, z - tall / 2, z + tall / 2, corner)))
    elif machine.axis == "across":  # something has to hold the rotor
        ahead, _, up = machine.rotor
        root, half = (machine.bottom + machine.top) / 2, 0.1 * machine.top
        tip = [(ahead, up - half), (ahead + half, up), (ahead, up + half)]
        arm = [(end, root - 2 * half), *tip, (end, root + 2 * half)]
        found.append(Shape("wall", np.array(arm)))
    return found


def _chassis_top(machine: Machine) -> list[Shape]:
    back, end = machine.body
    half = machine.half_width
    found = [Shape("body", box(back, end, -half, half, 0.1 * half))]
    thick, long = machine.of("wall.thickness", "rail.thickness"), machine.of("wall.length", "rail.length")
    if thick and long:
        x, _, _ = (*machine.placed("wall"), *machine.placed("rail"), (back + long / 2, 0.0, 0.0))[0]
        for side in (-1, 1):
            middle = side * (half - thick / 2)
            found.append(Shape("wall", box(x - long / 2, x + long / 2, middle - thick / 2, middle + thick / 2,
                                            0.25 * thick)))  # fmt: skip
    elif machine.axis == "across":
        ahead, y, _ = machine.rotor
        wide = 0.05 * machine["width"]
        inner = machine.numbers.get("rotor.width", 0.0) / 2 + 0.4 * wide
        for low in (y - inner - wide, y + inner):
            found.append(Shape("wall", box(end, ahead + wide, low, low + wide, 0.3 * wide)))
    return found


def _wedge_places(machine: Machine) -> list[tuple[float, float, float, float]]:
    """Tip (x, y), slope and run along the floor of each wedge; none where the design has none."""
    if "wedge.length" not in machine.numbers:
        return []
    long = machine["wedge.length"]
    if known := machine.placed("wedge"):
        found = []
        for x, y, z in known:
            slope = math.asin(min(0.9, max(0.1, 2 * z / long)))
            found.append((x + long * math.cos(slope) / 2, y, slope, long * math.cos(slope)))
        return found
    count = machine.counts.get(machine.ties.get("wedge", ""), 1)
    room = machine.front - machine.body[1]
    slope = math.acos(min(math.cos(SLOPE), max(0.4, room / long))) if machine.axis is None else SLOPE
    run = long * math.cos(slope)
    tip = machine.front if machine.axis is None else machine.body[1] + 0.8 * run
    apart = 0.0 if count == 1 else max(0.0, (machine["width"] - machine.numbers.get("wedge.width", 0.0)) / 2)
    return [(tip, side * apart, slope, run) for side in ((0,) if count == 1 else (-1, 1))]


def _wedges_side(machine: Machine) -> list[Shape]:
    found = []
    for tip, _, slope, run in _wedge_places(machine)[:1]:
        up, thick = run * math.tan(slope), machine.numbers.get("wedge.thickness", 0.05 * run)
        lift = thick / math.cos(slope)
        corners = [(tip, 0.0), (tip - run, up), (tip - run, up + lift), (tip - lift, lift)]
        found.append(Shape("wedge", np.array(corners)))
    return found


def _wedges_top(machine: Machine) -> list[Shape]:
    half = machine.numbers.get("wedge.width", 0.1 * machine["width"]) / 2
    return [Shape("wedge", box(tip - run, tip, y - half, y + half, 0.0)) for tip, y, _, run in _wedge_places(machine)]


def _motor(machine: Machine) -> tuple[Vector, float, float] | None:
    """Place, diameter and length of the rotor's motor, None where one of them is not known."""
    wide, long = machine.of("rotor.motor.diameter"), machine.of("rotor.motor.length")
    if machine.axis is None or wide is None or long is None:
        return None
    if machine.words.get("rotor.transmission") == "hub":
        x, y, z = machine.rotor
        return (x, y, z - long / 2) if machine.axis == "upright" else (x, y, z), wide, long
    known = machine.places.get("rotor motor")
    return (known[0], wide, long) if known else None


def _drive_side(machine: Machine) -> list[Shape]:
    """The rotor's motor and belt as seen from the side."""
    if (found := _motor(machine)) is None:
        return []
    (x, _, z), wide, long = found
    if machine.axis != "across":
        flat = (wide, long) if machine.axis == "upright" else (long, wide)
        return [Shape("motor", box(x - flat[0] / 2, x + flat[0] / 2, z - flat[1] / 2, z + flat[1] / 2, 0.0))]
    shapes = [Shape("motor", _circle(x, z, wide / 2))]
    pulley = machine.of("rotor.belt.pulley_diameter")
    if pulley is not None:
        ahead, _, up = machine.rotor
        shapes.append(Shape("belt", _belt((x, z), pulley / 2, (ahead, up), pulley * machine["rotor.ratio"] / 2)))
    return shapes


def _drive_top(machine: Machine) -> list[Shape]:
    """The rotor's motor as seen from above."""
    if (found := _motor(machine)) is None:
        return []
    (x, y, _), wide, long = found
    if machine.axis == "upright":
        return [Shape("motor", _circle(x, y, wide / 2))]
    flat = (wide, long) if machine.axis == "across" else (long, wide)
    return [Shape("motor", box(x - flat[0] / 2, x + flat[0] / 2, y - flat[1] / 2, y + flat[1] / 2, 0.0))]


def _rotor_seen(machine: Machine, middle: tuple[float, float], how: str) -> list[Shape]:
    """The rotor along its axle (``end``), or from its side, its diameter along x (``flat``) or across it."""
    x, y = middle
    reach, half = machine["rotor.diameter"] / 2, machine.numbers.get("rotor.width", 0.1 * machine["rotor.diameter"]) / 2
    if how == "end":
        bore = machine.numbers.get("rotor.bore", 0.1 * reach) / 2
        outline = _rotor_end(machine) * np.array([1.0, machine.turn]) + np.array([x, y])
        return [Shape("rotor", outline), Shape("bore", _circle(x, y, bore))]
    wide, tall = (reach, half) if how == "flat" else (half, reach)
    return [Shape("rotor", box(x - wide, x + wide, y - tall, y + tall, 0.0))]


def _rotor_end(machine: Machine) -> Array:
    """The rotor along its axle about its middle, its teeth leading as it turns anticlockwise in the picture."""
    reach = machine["rotor.diameter"] / 2
    tooth = min(machine.numbers.get("rotor.tooth_height", 0.0), 0.5 * reach)
    thick = machine.numbers.get("rotor.tooth_thickness", 0.2 * reach)
    teeth = max(1, int(machine.numbers.get("rotor.teeth", 2)))
    if machine.words.get("rotor.shape") == "bar" and "rotor.chord" in machine.numbers:
        chord, body = machine["rotor.chord"] / 2, reach - tooth
        tip = math.sqrt(max(reach**2 - chord**2, body**2))
        lead = min(thick, 1.6 * chord)
        # One end from its trailing corner to the tip that leads, then the other, which is the same half a turn on.
        end = np.array([(chord, body), (lead - chord, body), (-chord, tip)])
        points, turn = np.concatenate([end, -end]), BAR_TILT
    else:
        angles, body = np.linspace(0, 2 * np.pi, 181)[:-1], reach - tooth
        half_angle = thick / max(body, 1e-9) / 2
        steps = (angles % (2 * np.pi / teeth)) < 2 * half_angle
        radius = np.where(steps, reach, body)
        points = np.stack([radius * np.cos(angles), radius * np.sin(angles)], axis=1)
        turn = BAR_TILT
    spun = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    return np.asarray(points @ spun.T)


def _belt(one: tuple[float, float], small: float, other: tuple[float, float], large: float) -> Array:
    """The outline of a belt round two pulleys."""
    reach = math.dist(one, other)
    along = math.atan2(other[1] - one[1], other[0] - one[0])
    lean = math.acos(float(np.clip((small - large) / max(reach, 1e-9), -1.0, 1.0)))
    near = along + np.linspace(lean, 2 * np.pi - lean, 17)
    far = along + np.linspace(-lean, lean, 17)
    return np.concatenate([
        np.stack([one[0] + small * np.cos(near), one[1] + small * np.sin(near)], axis=1),
        np.stack([other[0] + large * np.cos(far), other[1] + large * np.sin(far)], axis=1),
    ])  # fmt: skip


def _circle(x: float, y: float, radius: float) -> Array:
    angles = np.linspace(0, 2 * np.pi, 57)
    return np.stack([x + radius * np.cos(angles), y + radius * np.sin(angles)], axis=1)


def box(left: float, right: float, low: float, high: float, corner: float) -> Array:
    """A rectangle with rounded corners."""
    corner = min(corner, (right - left) / 2, (high - low) / 2)
    turns = np.linspace(0, np.pi / 2, 5)
    middles = [(right - corner, high - corner), (left + corner, high - corner), (left + corner, low + corner),
               (right - corner, low + corner)]  # fmt: skip
    return np.concatenate([
        np.stack([x + corner * np.cos(turns + k * np.pi / 2), y + corner * np.sin(turns + k * np.pi / 2)], axis=1)
        for k, (x, y) in enumerate(middles)
    ])  # fmt: skip
