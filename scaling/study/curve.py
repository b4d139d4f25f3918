"""A port along the factor: its quantities from below the reference's size to above its own, and what else changes."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from scaling.book.distinct import distinct
from scaling.book.entry import Array
from scaling.formulas import book
from scaling.port.asked import AS_BRIEFED, Brief, LawRequest, Variation
from scaling.port.inputs import inputs_at
from scaling.robot.derived import table_of
from scaling.robot.design import Design
from scaling.robot.parts import Part
from scaling.study.results import Curve

STEEPEST = 6.0
"""Power of the factor beyond which a class that follows it would say nothing of a robot's growth: twice a volume's."""

ALIKE = 1e-6
"""Share within which a number of the curve's at factor 1 is the reference's."""


def curve_of(
    design: Design, brief: Brief, request: LawRequest, parts: tuple[Part, ...], factor: float, grid: Array,
    variation: Variation = AS_BRIEFED,
) -> Curve:
    """Return the curve of the port at ``factor`` over the factors of ``grid``, 1 and its own among them.

    The class grows along the curve from the reference's own to the port's, and the opponent with it: a robot between
    the two meets an opponent between the two.
    """
    factors = distinct(np.concatenate([grid, [1.0, factor]]))
    limits = class_along(design.variables["mass_limit"], brief.mass_limit, factor, factors)
    inputs = inputs_at(design, brief, request, parts, factors, replace(variation, mass_limit=limits))
    here = int(np.searchsorted(factors, 1.0))
    at_one = {key: float(value[here]) for key, value in inputs.variables.items()}
    return Curve(factors, book.evaluate(inputs.variables, design.traits), changed_beside(design, brief, parts, at_one))


def class_along(own: float, limit: float, factor: float, factors: Array) -> Array:
    """Return the mass limit (kg) at each of the ``factors``: ``own`` at 1, ``limit`` at ``factor``, a power between.

    Where no sensible power does that, as for a port as large as the reference, it is ``limit`` throughout.
    """
    steps = math.log(factor)
    power = math.log(limit / own) / steps if steps else math.inf
    return own * factors**power if 0 <= power <= STEEPEST else np.full_like(factors, limit)


def changed_beside(
    design: Design, brief: Brief, parts: tuple[Part, ...], at_one: Mapping[str, float]
) -> tuple[str, ...]:
    """Return what a port changes beside its size, in a few words each, by its variables at factor 1."""
    own = design.variables
    changed = {key for key, value in at_one.items() if key in own and not math.isclose(value, own[key], rel_tol=ALIKE)}
    if not changed:
        return ()
    stated = [key for key in (*brief.numbers, *brief.words) if key in changed or key in brief.words]
    tables = [table_of(key) for key in stated]
    found = [table if table and tables.count(table) > 1 else key for key, table in zip(stated, tables, strict=True)]
    others = zip(design.parts, parts, strict=True)
    found += [part.name for old, part in others if not math.isclose(old.total, float(part.at(1.0)), rel_tol=ALIKE)]
    found += ["the opponent's class"] if "mass_limit" in changed else []
    return tuple(dict.fromkeys(found)) or tuple(sorted(changed))
