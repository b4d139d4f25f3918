"""A belt between a running motor and a pulley that has stopped dead, as equations of motion.

A general-purpose integrator solves them (scipy); nothing of the book is used, so that the two can disagree.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.integrate import solve_ivp


@dataclass(frozen=True)
class Stop:
    """Peaks of the tight span's tension (N), of both's sum and difference; slip's heat (J), time to rest (s)."""

    tension: float
    shaft: float
    pull: float
    heat: float
    time: float


def at_rest(_: float, state: np.ndarray) -> float:
    """Speed of the motor, the second of the state: it is to fall through zero."""
    return float(state[1])


at_rest.terminal = True  # type: ignore[attr-defined]
at_rest.direction = -1  # type: ignore[attr-defined]


def toothed(inertia: float, speed: float, radius: float, stiffness: float, rest: float, mount: float = np.inf) -> Stop:
    """A belt that cannot slip: two spans of ``stiffness`` that cannot push, a light motor on a mount that gives."""
    mount_mass = 1e-6 * inertia / radius**2
    damping = 0.0 if np.isinf(mount) else 0.2 * np.sqrt(mount * mount_mass)

    def spans(state: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        wound, moved = radius * state[0], state[2]
        return np.maximum(rest + stiffness * (wound - moved), 0), np.maximum(rest - stiffness * (wound + moved), 0)

    def motion(_: float, state: np.ndarray) -> list[float]:
        tight, slack = spans(state)
        slowing = -radius * (tight - slack) / inertia
        if np.isinf(mount):
            return [state[1], slowing, 0.0, 0.0]
        return [state[1], slowing, state[3],
                (tight + slack - 2 * rest - mount * state[2] - damping * state[3]) / mount_mass]

    longest = np.pi * np.sqrt(inertia / stiffness) / radius * (1 + stiffness / mount)
    found = solve_ivp(motion, (0, longest), [0, speed, 0, 0], events=at_rest, rtol=1e-8, atol=1e-12, method="LSODA")
    assert found.status == 1
    tight, slack = spans(found.y)
    peaks = (float(span.max()) for span in (tight, tight + slack, tight - slack))
    return Stop(*peaks, heat=0.0, time=float(found.t[-1]))


def slipping(
    inertia: float, speed: float, radius: float, stiffness: float, rest: float, grip: float, wrap: float
) -> Stop:
    """A friction belt, its arc on the motor's pulley cut into short, light, stiff pieces, each with Coulomb friction.

    ``grip`` is the friction with the groove's wedge in it. The capstan law is not put in: it comes out of the pieces.
    """
    count, creep = 12, 0.02 * speed * radius
    piece = 2e-5 * inertia / radius**2 / count
    joint = 25 * stiffness * count

    def tensions(moved: np.ndarray) -> np.ndarray:
        ends = np.maximum([rest + stiffness * moved[0], rest - stiffness * moved[-1]], 0)
        return np.concatenate([ends[:1], np.maximum(rest + joint * np.diff(moved), 0), ends[1:]])

    def motion(_: float, state: np.ndarray) -> np.ndarray:
        moved, moving = state[2 : 2 + count], state[2 + count : 2 + 2 * count]
        pull, slide = tensions(moved), radius * state[1] - moving
        rub = grip * (pull[1:] + pull[:-1]) / 2 * wrap / count * np.tanh(slide / creep)
        slowing = -radius * rub.sum() / inertia
        return np.concatenate([[state[1], slowing], moving, (np.diff(pull) + rub) / piece, [np.sum(rub * slide)]])

    start = np.concatenate([[0, speed], np.zeros(count), np.full(count, radius * speed), [0]])
    longest = 20 * inertia * speed / (rest * radius)
    with np.errstate(over="ignore", invalid="ignore"):  # the solver's trial steps for its Jacobian
        found = solve_ivp(motion, (0, longest), start, events=at_rest, rtol=1e-3, atol=1e-8, method="Radau")
    assert found.status == 1
    pulls = np.array([tensions(moved) for moved in found.y[2 : 2 + count].T])
    tight, slack = pulls[:, 0], pulls[:, -1]
    peaks = (float(span.max()) for span in (tight, tight + slack, tight - slack))
    return Stop(*peaks, heat=float(found.y[-1, -1]), time=float(found.t[-1]))


def on_a_mount(inertia: float, speed: float, radius: float, span: float, mount: float, mass: float, rest: float,
          ) -> tuple[float, float]:
    """Peak tension up to the motor's first standstill, and the mount's first peak of force."""

    def spans(state: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        wound, shifted = radius * state[0], state[2]
        return np.maximum(rest + span * (wound - shifted), 0), np.maximum(rest - span * (wound + shifted), 0)

    def motion(_: float, state: np.ndarray) -> list[float]:
        tight, slack = spans(state)
        return [state[1], -radius * (tight - slack) / inertia, state[3],
                (tight + slack - 2 * rest - mount * state[2]) / mass]

    def stands(_: float, state: np.ndarray) -> float:
        return float(state[1])

    stands.direction = -1  # type: ignore[attr-defined]
    quick = np.pi * np.sqrt(inertia / radius**2 * (1 / span + 1 / mount))
    slow = np.pi * np.sqrt(mass * (1 / span + 1 / mount))
    longest = 3 * (quick + slow)
    found = solve_ivp(motion, (0, longest), [0, speed, 0, 0], events=stands, rtol=1e-8, atol=1e-12,
                      max_step=longest / 4000)
    until = found.t <= found.t_events[0][0]
    tight, _ = spans(found.y)
    return float(tight[until].max()), float((mount * found.y[2])[until].max() + 2 * rest)
