"""Random designs: the demos with every number that they state multiplied by a lognormal factor of its own.

A stated total mass is left out, since the parts' sum no longer is it; a name, a material and a bolt's size are words.
"""

from __future__ import annotations

import math
import os
import re
import tomllib
from collections import Counter
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from scaling.files.errors import InputError
from scaling.robot.design import Design, read_design

DEMOS = sorted((Path(__file__).parent.parent / "demo_designs").glob("*/design.toml"))

MANY = int(os.environ.get("RANDOM_DESIGNS", "10"))
"""How many are tried: a twentieth of the 200 that RANDOM_DESIGNS=200 asks for."""

SEED = 20260301

FARTHEST = 1.4
"""Factors lie from one over this to this, two standard deviations to either side of 1 in the logarithm."""

NUMBER = re.compile(r"(?P<number>-?\d+\.?\d*(?:e[-+]?\d+)?)(?P<unit>\s*[A-Za-zµΩ°%].*)")


@cache
def random_designs() -> tuple[list[Design], Counter[str]]:
    """Return the valid designs, the demos in turn, and how many loading refused, by the first thing it said."""
    rng, refused = np.random.default_rng(SEED), Counter[str]()
    drawn = _drawn(rng, refused)
    return [next(drawn) for _ in range(MANY)], refused


def _drawn(rng: np.random.Generator, refused: Counter[str]) -> Iterator[Design]:
    texts = [(path, tomllib.loads(path.read_text(encoding="utf-8"))) for path in DEMOS]
    while True:
        for path, tables in texts:
            while True:
                try:
                    yield read_design(_varied({key: each for key, each in tables.items() if key != "mass"}, rng), path)
                    break
                except InputError as error:
                    where, _, said = str(error).splitlines()[0].partition("design.toml: ")
                    refused[re.sub(r"[\d.]+", "#", said.partition(", given")[0] or where)] += 1


def _varied(node: Any, rng: np.random.Generator) -> Any:
    """The same tables with every number in them varied; whole numbers stay whole."""
    if isinstance(node, dict):
        return {key: _varied(value, rng) for key, value in node.items()}
    if isinstance(node, list):
        return [_varied(value, rng) for value in node]
    if isinstance(node, bool):
        return node
    if isinstance(node, int):
        return max(1, round(node * _factor(rng))) if node > 0 else node
    if isinstance(node, float):
        return node * _factor(rng)
    found = NUMBER.fullmatch(node) if isinstance(node, str) else None
    return node if found is None else f"{float(found['number']) * _factor(rng):.9g}{found['unit']}"


def _factor(rng: np.random.Generator) -> float:
    """A lognormal factor within its ends."""
    spread = math.log(FARTHEST)
    return math.exp(float(np.clip(rng.normal(0, spread / 2), -spread, spread)))
