"""A belt between a running motor and a pulley that has stopped dead, as equations of motion.

General-purpose integrators solve them (scipy); nothing of the book is used, so that the two can disagree.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.integrate import solve_ivp


@dataclass(frozen=True)
class Stop:
    """Peak tensions (N) of the tight span and of the sum of both, heat (J) and time (s) of the slip."""

    tension: float
    shaft: float
    heat: float
    slipping: float


def toothed(
    inertia: float, speed: float, radius: float, stiffness: float, rest: float, mount: float = np.inf
) -> Stop:
    """A belt that cannot slip, two spans of ``stiffness`` that cannot push, a light motor on a mount that gives."""
    mount_mass = 1e-6 * inertia / radius**2
    damping = 0.0 if np.isinf(mount) else 0.2 * np.sqrt(mount * mount_mass)

    def spans(state: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        wound, moved = radius * state[0], state[2]
        return (np.maximum(rest + stiffness * (wound - moved), 0), np.maximum(rest - stiffness * (wound + moved), 0))

    def motion(_: float, state: np.ndarray) -> list[float]:
        tight, slack = spans(state)
        if np.isinf(mount):
            return [state[1], -radius * (tight - slack) / inertia, 0.0, 0.0]
        pulled = (tight + slack - 2 * rest - mount * state[2] - damping * state[3]) / mount_mass
        return [state[1], -radius * (tight - slack) / inertia, state[3], pulled]

    def stopped(_: float, state: np.ndarray) -> float:
        return float(state[1])

    stopped.terminal = True  # type: ignore[attr-defined]
    stopped.direction = -1  # type: ignore[attr-defined]
    slowest = np.pi * np.sqrt(inertia / stiffness) / radius * (1 + stiffness / mount)
    found = solve_ivp(motion, (0, slowest), [0, speed, 0, 0], events=stopped, rtol=1e-8, atol=1e-12, method="LSODA")
    assert found.status == 1
    tight, slack = spans(found.y)
    return Stop(float(tight.max()), float((tight + slack).max()), 0.0, 0.0)


def slipping(
    inertia: float, speed: float, radius: float, stiffness: float, rest: float, grip: float, wrap: float
) -> Stop:
    """A friction belt, its arc on the motor's pulley cut into short stiff pieces, each with Coulomb friction.

    ``grip`` is the friction with the groove's wedge in it. The capstan law is not put in: it comes out of the pieces.
    """
    count, creep = 24, 2e-3 * speed * radius
    piece = np.full(count, 1e-6 * inertia / radius**2 / count)
    joint = 30 * stiffness * count

    def tensions(moved: np.ndarray) -> np.ndarray:
        inner = rest + joint * np.diff(moved)
        ends = np.maximum([rest + stiffness * moved[0], rest - stiffness * moved[-1]], 0)
        return np.concatenate([ends[:1], np.maximum(inner, 0), ends[1:]])

    def friction(state: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        moved, moving = state[2 : 2 + count], state[2 + count : 2 + 2 * count]
        pull = tensions(moved)
        slide = radius * state[1] - moving
        pressed = (pull[1:] + pull[:-1]) / 2 * wrap / count
        return pull, grip * pressed * np.tanh(slide / creep), slide

    def motion(_: float, state: np.ndarray) -> np.ndarray:
        moving = state[2 + count : 2 + 2 * count]
        pull, rub, slide = friction(state)
        pushed = (np.diff(pull) + rub) / piece
        heat, time = np.sum(rub * slide), np.mean(slide > 5 * creep)
        return np.concatenate([[state[1], -radius * rub.sum() / inertia], moving, pushed, [heat, time]])

    def stopped(_: float, state: np.ndarray) -> float:
        return float(state[1])

    stopped.terminal = True  # type: ignore[attr-defined]
    stopped.direction = -1  # type: ignore[attr-defined]
    start = np.concatenate([[0, speed], np.zeros(count), np.full(count, radius * speed), [0, 0]])
    longest = 20 * inertia * speed / (rest * radius)
    found = solve_ivp(motion, (0, longest), start, events=stopped, rtol=1e-5, atol=1e-9, method="LSODA")
    assert found.status == 1
    pulls = np.array([tensions(moved) for moved in found.y[2 : 2 + count].T])
    return Stop(float(pulls[:, 0].max()), float((pulls[:, 0] + pulls[:, -1]).max()), *map(float, found.y[-2:, -1]))
