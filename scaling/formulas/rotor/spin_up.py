"""Numeric models of the rotor's motor: the speed it reaches, spin-up and spin-down.

Speed obeys J domega/dt = T(omega) with no other state, so time, energy and heat are quadratures over
speed. Each runs over a whole batch of designs at once; nothing loops over designs.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, TypeVar

import numpy as np

from scaling.book.entry import Array
from scaling.book.once import each_once
from scaling.book.quadrature import gauss_legendre
from scaling.book.root import rising_root
from scaling.formulas.rotor.converter import motor_current_at_pack_limit, pack_current
from scaling.formulas.rotor.windage import TRANSITION, disc_coefficient, strips_torque

NODES, WEIGHTS = gauss_legendre(16)


@dataclass(frozen=True)
class RotorDrive:
    """A rotor with its motor, pack and air; every field is a float or array of one batch shape, SI units.

    ``strip_drag`` is the drag coefficient of a bar's strips, 0 of what drags as a disc.
    """

    inertia: Array
    motor_inertia: Array
    ratio: Array
    kv: Array
    torque_constant: Array
    resistance: Array
    no_load_current: Array
    current_limit: Array
    voltage: Array
    pack_resistance: Array
    diameter: Array
    width: Array
    windage_factor: Array
    strip_drag: Array
    air_density: Array
    air_viscosity: Array

    @property
    def total_inertia(self) -> Array:
        """Inertia seen at the rotor: its own and the motor's through the ratio squared."""
        return self.inertia + self.motor_inertia * self.ratio**2

    @property
    def transition_speed(self) -> Array:
        """Rotor speed at which the flow along the disc turns turbulent."""
        return TRANSITION * self.air_viscosity / (self.diameter / 2) ** 2

    def windage(self, speed: Array) -> Array:
        """Air drag torque at ``speed``: a bar's strips, or a disc's faces."""
        radius, bar = self.diameter / 2, self.strip_drag > 0
        strips = strips_torque(self.strip_drag, self.air_density, speed, self.width, self.diameter)
        if np.all(bar):  # what no design needs is not worked out
            return self.windage_factor * strips
        coefficient = disc_coefficient(speed * radius**2 / self.air_viscosity)
        faces = coefficient * self.air_density * speed**2 * radius**5 / 2
        return self.windage_factor * np.where(bar, strips, faces)

    def unlimited_current(self, speed: Array) -> Array:
        """Motor current at ``speed`` with no limit, the pack sagging by the same current."""
        return (self.voltage - speed * self.ratio / self.kv) / (self.resistance + self.pack_resistance)

    def current(self, speed: Array) -> Array:
        """Motor current at ``speed`` under the controller's limit."""
        return np.minimum(self.unlimited_current(speed), self.current_limit)

    def friction(self) -> Array:
        """Torque at the rotor of the motor's no-load current: bearings, iron and the belt's motor side."""
        return self.no_load_current * self.ratio * self.torque_constant

    def net_torque(self, speed: Array) -> Array:
        """Torque at the rotor that accelerates it."""
        return self.current(speed) * self.ratio * self.torque_constant - self.friction() - self.windage(speed)

    def brake_slope(self, speed: Array) -> Array:
        """How much the net torque falls with the speed, N m s."""
        losing = self.unlimited_current(speed) < self.current_limit
        motor = self.ratio**2 * self.torque_constant / self.kv / (self.resistance + self.pack_resistance)
        power = np.where(self.strip_drag > 0, 2.0, np.where(speed < self.transition_speed, 1.5, 1.8))
        return np.where(losing, motor, 0.0) + power * self.windage(speed) / speed

    def limit_speed(self) -> Array:
        """Speed above which the current limit no longer acts, 0 when it never does."""
        drop = self.current_limit * (self.resistance + self.pack_resistance)
        return np.maximum((self.voltage - drop) * self.kv / self.ratio, 0.0)


@dataclass(frozen=True)
class PackLimited(RotorDrive):
    """A rotor whose controller also limits what it takes from the pack."""

    pack_limit: Array

    def current(self, speed: Array) -> Array:
        """Motor current at ``speed`` under both limits of the controller."""
        by_pack = motor_current_at_pack_limit(
            self.pack_limit, speed * self.ratio, self.kv, self.resistance, self.voltage, self.pack_resistance
        )["current"]
        return np.minimum(super().current(speed), by_pack)

    def pack_limit_speeds(self) -> tuple[Array, Array]:
        """Speeds between which the limit on the pack's side acts and not the motor's own."""
        power = self.pack_limit * (self.voltage - self.pack_limit * self.pack_resistance)
        begins = power / self.current_limit - self.current_limit * self.resistance
        ends = self.voltage - self.pack_limit * (self.resistance + self.pack_resistance)
        return begins * self.kv / self.ratio, ends * self.kv / self.ratio


Drive = TypeVar("Drive", bound=RotorDrive)


def _reached(drive: RotorDrive) -> Array:
    """Speed at which the net torque is zero, between rest and the unloaded speed."""

    def braked(speed: Array, *own: Array) -> tuple[Array, Array]:
        at = RotorDrive(*own)
        return -at.net_torque(speed), at.brake_slope(speed)

    unloaded = np.asarray(drive.voltage * drive.kv / drive.ratio)
    return rising_root(braked, np.zeros_like(unloaded), unloaded, *vars(drive).values())


@each_once
def as_motored_speed(*inputs: Array) -> dict[str, Array]:
    """Rotor speed at which motor torque, friction and air drag balance, in rad/s.

    Inputs as the fields of RotorDrive, in that order.
    """
    return {"speed": _reached(RotorDrive(*inputs))}


GOAL = 0.95
"""Share of the set speed that ends a spin-up: the speed that a motor reaches is approached without end."""

REACHED = 1 + 1e-6
"""Share of what its motor reaches up to which a rotor's speed is held: room for rounding."""

SHARES = {"50": 0.5, "80": 0.8, "energy_80": 0.8**0.5, "95": GOAL}
"""Shares of the set speed whose times are asked for. They also cut the way into panels that shrink towards the
speed at which the torque goes to zero."""


def _edges(drive: RotorDrive, speed: Array, *bends: Array) -> Array:
    """Return the ends of the integration panels: 0, the ``bends`` of the torque curve, the shares of ``speed``."""
    zero, goal = np.zeros_like(speed), GOAL * speed
    corners = (np.clip(edge, zero, goal) for edge in (*bends, drive.transition_speed))
    return np.sort(np.stack([zero, *corners, *(share * speed for share in SHARES.values())]), axis=0)


def _integrate(drive: RotorDrive, edges: Array) -> tuple[Array, Array, Array]:
    """Time, pack energy and winding heat of each panel between ``edges``, by Gauss and Legendre."""
    half = np.diff(edges, axis=0) / 2
    middle = (edges[1:] + edges[:-1]) / 2
    nodes = NODES.reshape(-1, *[1] * edges.ndim)
    weights = WEIGHTS.reshape(-1, *[1] * edges.ndim)
    speed = middle + half * nodes
    torque = drive.net_torque(speed)
    slowness = np.where(torque > 0, drive.total_inertia / torque, np.inf)  # dt / domega
    current = drive.current(speed)
    given = pack_current(
        current, speed * drive.ratio, drive.kv, drive.resistance, drive.voltage, drive.pack_resistance
    )["current"]
    step = weights * half * slowness

    def panels(rate: Array) -> Array:
        return np.asarray(np.sum(step * rate, axis=0))

    return (
        np.asarray(np.sum(step, axis=0)),
        panels(drive.voltage * given),
        panels(current**2 * drive.resistance),
    )


def _until(target: Array, edges: Array, panels: Array) -> Array:
    """Sum the ``panels`` that end at ``target``, one of the edges, or before."""
    return np.asarray(np.sum(np.where(edges[1:] <= target, panels, 0.0), axis=0))


def _batch(set_speed: Array, inputs: tuple[Array, ...]) -> tuple[Array, RotorDrive]:
    """Return the set speed and the drive, every field of the whole batch's shape."""
    shape = np.broadcast(set_speed, *inputs).shape
    drive = RotorDrive(*(np.broadcast_to(np.asarray(value, dtype=float), shape) for value in inputs))
    return np.broadcast_to(np.asarray(set_speed, dtype=float), shape), drive


@each_once
def spin_up(set_speed: Array, *inputs: Array) -> dict[str, Array]:
    """Spin-up from rest to shares of ``set_speed``: times in s, pack energy and winding heat in J to 95 %.

    The other inputs are the fields of RotorDrive. Where the motor cannot reach the set speed every
    result is NaN. A set speed below the motor's own is governed. ``time_at_limit`` is the part of the time to
    95 % in which the controller's limit holds the current.
    """
    def found(drive: RotorDrive, speed: Array) -> dict[str, Array]:
        corner = np.minimum(drive.limit_speed(), GOAL * speed)
        edges = _edges(drive, speed, corner)
        times, energies, heats = _integrate(drive, edges)
        found = {f"time_{name}": _until(share * speed, edges, times) for name, share in SHARES.items()}
        found["time_at_limit"] = _until(corner, edges, times)
        found["pack_energy"], found["winding_heat"] = np.sum(energies, axis=0), np.sum(heats, axis=0)
        return found

    speed, drive = _batch(set_speed, inputs)
    return _where_reached(_reaches(drive, speed), drive, speed, found)


def spin_up_course(shares: Array, set_speed: float, *inputs: float) -> Array:
    """Return the times (s) from rest to each of the ``shares`` (0 to below 1, rising) of ``set_speed`` (rad/s).

    The other inputs are the fields of RotorDrive, of one rotor. NaN where the motor cannot reach the set speed.
    """
    speed, drive = _batch(np.asarray(set_speed), tuple(np.asarray(value) for value in inputs))
    marks = np.asarray(shares, dtype=float) * speed
    edges = np.sort(np.concatenate([_edges(drive, speed, np.minimum(drive.limit_speed(), GOAL * speed)), marks]))
    with np.errstate(invalid="ignore"):
        times = np.concatenate([[0.0], np.cumsum(_integrate(drive, edges)[0])])
    return np.where(_reaches(drive, speed), times[np.searchsorted(edges, marks)], np.nan)


@each_once
def spin_up_pack_limited(set_speed: Array, pack_limit: Array, *inputs: Array) -> dict[str, Array]:
    """Spin up to 95 % with a limit on the pack's side beside the motor's: time in s; other inputs as ``spin_up``."""
    def found(drive: PackLimited, speed: Array) -> dict[str, Array]:
        edges = _edges(drive, speed, drive.limit_speed(), *drive.pack_limit_speeds())
        return {"time": np.sum(_integrate(drive, edges)[0], axis=0)}

    limit, *own = np.broadcast_arrays(pack_limit, set_speed, *inputs)
    speed, plain = _batch(own[0], tuple(own[1:]))
    drive = PackLimited(**vars(plain), pack_limit=np.asarray(limit, dtype=float))
    return _where_reached(_reaches(drive, speed), drive, speed, found)


@each_once
def spin_up_without_limit(set_speed: Array, *inputs: Array) -> dict[str, Array]:
    """Spin up to 95 % with no current limit: time in s, energy and heat in J, and the time above the limit.

    Inputs as ``spin_up``. The current falls as the speed rises, so it is above the limit up to the speed at
    which the limit would let go.
    """
    def found(limited: RotorDrive, speed: Array) -> dict[str, Array]:
        drive = _without_limit(limited)
        corner = np.minimum(limited.limit_speed(), GOAL * speed)
        edges = _edges(drive, speed, corner)
        times, energies, heats = _integrate(drive, edges)
        return {
            "time": np.sum(times, axis=0),
            "pack_energy": np.sum(energies, axis=0),
            "winding_heat": np.sum(heats, axis=0),
            "time_over_limit": _until(corner, edges, times),
        }

    speed, limited = _batch(set_speed, inputs)
    return _where_reached(_reaches(_without_limit(limited), speed), limited, speed, found)


def _without_limit(drive: RotorDrive) -> RotorDrive:
    return replace(drive, current_limit=np.full_like(drive.current_limit, np.inf))


def _reaches(drive: RotorDrive, speed: Array) -> Any:
    """Whether the motor reaches a speed: the torque only falls with the speed, so it must not be gone there."""
    return drive.net_torque(speed / REACHED) >= 0


def _where_reached(
    reached: Any, drive: Drive, speed: Array, found: Callable[[Drive, Array], dict[str, Array]]
) -> dict[str, Array]:
    """What is ``found`` for the designs whose motors reach the speed, NaN for the others, which are not followed."""
    own = type(drive)(**{name: value[reached] for name, value in vars(drive).items()})
    results: dict[str, Array] = {}
    for name, rows in found(own, speed[reached]).items():
        results[name] = np.full(speed.shape, np.nan)
        results[name][reached] = rows
    return results


@each_once
def spin_down(set_speed: Array, *inputs: Array) -> dict[str, Array]:
    """Time in s from ``set_speed`` to 5 % of it by friction and air drag alone; inputs as ``spin_up``."""
    speed, drive = _batch(set_speed, inputs)
    low = 0.05 * speed
    corner = np.clip(drive.transition_speed, low, speed)
    inner = [low * (speed / low) ** (n / 4) for n in range(5)]
    edges = np.sort(np.stack([*inner, corner]), axis=0)
    half, middle = np.diff(edges, axis=0) / 2, (edges[1:] + edges[:-1]) / 2
    at = middle + half * NODES.reshape(-1, *[1] * edges.ndim)
    slowness = drive.total_inertia / (drive.friction() + drive.windage(at))
    return {"time": np.asarray(np.sum(WEIGHTS.reshape(-1, *[1] * edges.ndim) * half * slowness, axis=(0, 1)))}
