"""A hit as the teeth give it: one after the other deepens the groove while the machines close, until something stops.

Every tooth digs what the closing of both machines since the last one lets it. What it takes slows the rotor and throws
the opponent; its radial thrust slows the closing. The rotor comes at any moment of the advance, so all figures are
means over the depth of the first tooth. Source of the impact of two bodies along one line: W. Goldsmith, Impact: The
Theory and Physical Behaviour of Colliding Solids, ch. 2, from memory; of the digging, scaling/formulas/impact/dig.py.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields
from typing import Any

import numpy as np

from scaling.book.entry import Array
from scaling.formulas.impact.dig import dig_area

Lanes = Any
"""Rows and columns of lanes, or EVERY."""

EVERY = ...
"""All lanes, which are not looked up one by one."""

THRUST, THRUST_RANGE = 0.5, (0.2, 1.0)
"""Radial force over cutting force of a tooth: no source, anything from 0.2 to 1."""

PHASES = 64
"""Places of the first tooth in the advance, evenly spaced; the outcome jumps where a tooth more is let in, so that a
finer rule gains little: a mean is good to about half a percent."""

FINEST = 400
"""Smallest advance of the groove that is followed tooth by tooth, as a part of the deepest groove. Below it several
teeth count as one, which changes nothing but how often the closing speed is looked at."""

BLOCK = 256
"""Designs at once: so few that their phases stay in the processor's cache."""


def engagement(
    radius: Array,
    tooth_width: Array,
    tooth_height: Array,
    teeth: Array,
    inertia: Array,
    speed: Array,
    mass: Array,
    opponent_mass: Array,
    effective_mass: Array,
    struck_mass: Array,
    closing_speed: Array,
    pressure: Array,
    thrust: Array,
    restitution: Array,
    gravity: Array,
) -> dict[str, Array]:
    """Return what a hit gives, the mean over the depth at which its first tooth comes.

    With D_0 = 0 and D_1 = u, u uniform in (0, b), b = 2 pi c / (z omega): each tooth finds dW = p w [A(D_k) -
    A(D_k-1)] to dig and E_k = m_e v_k^2 / 2 to do it with. If dW < E_k its impulse is J_k = m_e v_k [1 - sqrt(1 -
    dW / E_k)], else it is stopped: J_k = m_e v_k and the rebound e m_e v_1, and the hit ends. Then v falls by J / m_e,
    omega by J r / I, the closing speed c by k_t J (1/m + 1/M); the hit ends where c is gone or the tooth is in to its
    height; else D grows by 2 pi c / (z omega), to at most the tooth's height.

    Inputs, floats or arrays that broadcast: radius of the cutting circle (m), width and height of a tooth (m), teeth,
    inertia (kg m^2) and speed (rad/s) of the rotor, mass of the own machine and of the opponent (kg), effective mass
    of both at the tip along the cut (kg), the opponent's own effective mass there (kg; its mass if hit in line with
    its centre of gravity), closing speed (m/s), pressure on a tooth's front (Pa), radial over cutting force k_t,
    restitution, gravity (m/s^2).

    Returns ``throw`` (m), J^2 / (2 M^2 g) with the sum of impulses; ``impulse`` (N s) and ``energy_given`` (J),
    J^2 / (2 m_2), m_2 the opponent's effective mass; ``work`` (J), what was dug and crushed; ``teeth`` that took part;
    ``depth`` (m) of the groove; ``stopped``, the share of hits that stop the rotor; and ``force`` (N), p w times the
    thickest cut of any of those hits. NaN where an input is not positive (restitution and thrust: negative).

    Valid for a flat ductile face, free machines, hits through both centres of gravity as far as the closing goes, a
    cut that starts and ends at full width, teeth without wear. Against a machine followed in small steps of time, whose
    later teeth find the groove displaced and the closing slowed within a cut, the mean impulse comes out 0 to 18 % high
    for k_t up to 0.7; with k_t = 1 it is up to 1.7 times too high where the closing ends the hit.

    >>> found = engagement(0.042, 0.008, 0.009, 2, 6.08373e-5, 1359.14, 0.454, 0.454, 0.0299395, 0.454, 2.91912,
    ...                    74.2125e6, 0.7, 0.2, 9.80665)
    >>> round(float(found["throw"]), 2), round(float(found["teeth"]), 1)
    (0.99, 1.5)

    Source: this module's.
    """
    return _in_blocks(
        _mean, radius, tooth_width, tooth_height, teeth, inertia, speed, mass, opponent_mass, effective_mass,
        struck_mass, closing_speed, pressure, thrust, restitution, gravity,
    )


def one_hit(
    first_depth: Array,
    radius: Array,
    tooth_width: Array,
    tooth_height: Array,
    teeth: Array,
    inertia: Array,
    speed: Array,
    mass: Array,
    opponent_mass: Array,
    effective_mass: Array,
    struck_mass: Array,
    closing_speed: Array,
    pressure: Array,
    thrust: Array,
    restitution: Array,
    gravity: Array,
) -> dict[str, Array]:
    """Return what a hit gives whose first tooth digs to ``first_depth`` (m): one of those that ``engagement`` averages.

    Inputs and results as there.

    >>> found = one_hit(0.003374, 0.042, 0.008, 0.009, 2, 6.08373e-5, 1359.14, 0.454, 0.454, 0.0299395, 0.454, 2.91912,
    ...                 74.2125e6, 1.0, 0.2, 9.80665)
    >>> float(found["teeth"]), round(float(found["impulse"]), 3)
    (1.0, 1.198)

    Source: this module's.
    """
    with np.errstate(all="ignore"):
        return _in_blocks(
            lambda first, *inputs: _follow(*inputs, first=first[:, None]), first_depth, radius, tooth_width,
            tooth_height, teeth, inertia, speed, mass, opponent_mass, effective_mass, struck_mass, closing_speed,
            pressure, thrust, restitution, gravity,
        )


def first_tooth(
    radius: Array,
    tooth_width: Array,
    tooth_height: Array,
    teeth: Array,
    speed: Array,
    opponent_mass: Array,
    effective_mass: Array,
    struck_mass: Array,
    closing_speed: Array,
    pressure: Array,
    restitution: Array,
    gravity: Array,
) -> dict[str, Array]:
    """Return what the first tooth of a hit gives by itself, the mean over its depth: ``engagement`` with one tooth.

    Inputs and results as there, those of later teeth left out; ``work`` is the same mean as
    ``dig.first_tooth_energy`` has in closed form.

    >>> found = first_tooth(0.042, 0.008, 0.009, 2, 1359.14, 0.454, 0.0299395, 0.454, 2.91912, 74.2125e6, 0.2, 9.80665)
    >>> round(float(found["throw"]), 2)
    0.53

    Source: this module's.
    """
    one = np.ones(())
    return _in_blocks(
        lambda *inputs: _mean(*inputs, most=1), radius, tooth_width, tooth_height, teeth, one, speed, one,
        opponent_mass, effective_mass, struck_mass, closing_speed, pressure, 0 * one, restitution, gravity,
    )


def _in_blocks(model: Callable[..., dict[str, Array]], *inputs: Array) -> dict[str, Array]:
    """Run ``model`` over flat stretches of the batch and put its shape back."""
    shape = np.broadcast(*inputs).shape
    flat = [np.broadcast_to(np.asarray(value, dtype=float), shape).reshape(-1) for value in inputs]
    parts = [
        model(*(value[start : start + BLOCK] for value in flat)) for start in range(0, max(flat[0].size, 1), BLOCK)
    ]
    return {name: np.concatenate([part[name] for part in parts]).reshape(shape) for name in parts[0]}


@dataclass(frozen=True)
class _Designs:
    """What stays the same during a hit, a row a design.

    ``resistance`` p w, ``rebound`` e m_e v_1, ``braking`` closing speed lost per impulse, ``advance`` angle between
    two teeth, ``limit`` the deepest groove.
    """

    resistance: Array
    radius: Array
    effective: Array
    inertia: Array
    rebound: Array
    braking: Array
    advance: Array
    limit: Array

    def take(self, at: Lanes) -> _Designs:
        """Return the designs of the lanes ``at``, a row a lane."""
        if at is EVERY:
            return self
        return _Designs(*(getattr(self, field.name)[at[0], 0] for field in fields(self)))


class _State:
    """Where each lane stands, one design in one phase: its speeds, the groove so far and the next depth, the sums."""

    def __init__(self, designs: _Designs, speed: Array, closing: Array, depth: Array) -> None:
        self.designs = designs
        self.depth, nothing = depth, np.zeros(depth.shape)
        self.tip, self.speed, self.closing = speed * designs.radius + nothing, speed + nothing, closing + nothing
        self.dug, self.area, self.impulse, self.work, self.teeth, self.cut = (nothing.copy() for _ in range(6))
        self.stopped, self.several = nothing, np.ones(depth.shape)

    def tooth(self, at: Lanes) -> Lanes:
        """Let the lanes ``at`` take their next tooth; returns those that go on."""
        own, tip, depth, closing, speed = (
            self.designs.take(at), self.tip[at], self.depth[at], self.closing[at], self.speed[at]
        )
        area = dig_area(own.radius, depth)
        asked = own.resistance * (area - self.area[at])
        energy = own.effective * tip * tip / 2
        digs = asked < energy
        kept = np.sqrt(np.where(digs, 1 - asked / energy, 0.0))
        slowed = own.effective * tip * (1 - kept)
        self.cut[at] = np.maximum(self.cut[at], (depth - self.dug[at]) / self.several[at])
        self.dug[at], self.area[at] = depth, area
        self.impulse[at] += slowed + np.where(digs, 0.0, own.rebound)
        self.work[at] += np.minimum(asked, energy)
        self.teeth[at] += self.several[at]
        self.stopped[at] = ~digs
        self.tip[at] = tip * kept
        self.speed[at] = speed = speed - slowed * own.radius / own.inertia
        self.closing[at] = closing = closing - slowed * own.braking
        step = own.advance * closing / speed
        taken = np.maximum(step, own.limit / FINEST)
        goes_on = digs & (closing > 0) & (speed > 0) & (depth < own.limit)
        self.several[at] = np.minimum(taken / step, FINEST)
        self.depth[at] = np.minimum(depth + taken, own.limit)
        return np.nonzero(goes_on) if at is EVERY else (at[0][goes_on], at[1][goes_on])


def _follow(*inputs: Array, first: Array, most: float = np.inf) -> dict[str, Array]:
    """Follow a flat batch of designs tooth by tooth, the first one digging ``first``, a row a design, a column a phase.

    At most ``most`` teeth. Returns the means over the phases, of ``force`` the greatest.
    """
    (radius, width, height, teeth, inertia, speed, mass, opponent, effective, _, closing, pressure, thrust,
     restitution, _) = (value[:, None] for value in inputs)
    limit = np.minimum(height, 2 * radius)
    designs = _Designs(
        pressure * width, radius, effective, inertia, restitution * effective * speed * radius,
        thrust * (1 / mass + 1 / opponent), 2 * np.pi / teeth, limit,
    )
    state = _State(designs, speed, closing, np.minimum(first, limit))
    going, passes = EVERY, 0
    while passes < most and (going is EVERY or going[0].size):
        going = state.tooth(going)
        passes += 1
    sound = np.all([value > 0 for value in (*inputs[:12], inputs[14])], axis=0)
    sound &= (inputs[12] >= 0) & (inputs[13] >= 0) & np.all(first > 0, axis=1)
    squares = (state.impulse**2).mean(axis=1)
    found = {
        "throw": squares / (2 * inputs[7] ** 2 * inputs[14]), "energy_given": squares / (2 * inputs[9]),
        "force": inputs[11] * inputs[1] * state.cut.max(axis=1), "depth": state.dug.mean(axis=1),
        **{name: getattr(state, name).mean(axis=1) for name in ("impulse", "work", "teeth", "stopped")},
    }
    return {name: np.where(sound, value, np.nan) for name, value in found.items()}


def _mean(*inputs: Array, most: float = np.inf) -> dict[str, Array]:
    """Follow a flat batch of designs in every phase; the tooth may also come so that it digs the whole bite."""
    with np.errstate(all="ignore"):
        bite = 2 * np.pi / inputs[3] * inputs[10] / inputs[5]
        found = _follow(*inputs, first=bite[:, None] * ((np.arange(PHASES) + 0.5) / PHASES), most=most)
        full = inputs[11] * inputs[1] * np.minimum(bite, inputs[2])
        return {**found, "force": np.maximum(found["force"], full)}
