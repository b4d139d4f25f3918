"""What contradicts itself at a port: dimensions that do not fit, and numbers of the brief that are unlikely."""

from __future__ import annotations

from collections.abc import Mapping

from scaling.files.toml import quoted
from scaling.files.units import format_value
from scaling.port.derived_again import port_words
from scaling.port.scaled import first
from scaling.port.terms import Terms
from scaling.robot.derived import table_of
from scaling.robot.doubts import doubts
from scaling.robot.likely import Doubt
from scaling.robot.likeness import TABLES, namesakes, unlike
from scaling.robot.parts import Part
from scaling.robot.possible import SLACK, contradictions
from scaling.study.problem import Problem

LEAST_EDGE = 1.2
"""Least distance from a hole's middle to the edge over the hole's diameter: EN 1993-1-8:2005, table 3.3, as quoted
by a secondary page. Plastics want more."""

PARTED = 0.01
"""Share by which a part's thickness and that of its table may have grown differently."""


def fit_problems(terms: Terms, variables: Mapping[str, float]) -> list[Problem]:
    """Dimensions of the port that cannot both be, and bolts that are larger than their edge allows."""
    own = terms.design.variables
    found = [
        Problem("does_not_fit", f"{each.reason}; {each.other} sets the bound", each.key, each.value, own.get(each.key),
                each.bound)
        for each in contradictions(variables, terms.design.traits)
    ]
    cut = {problem.about for problem in found}
    return found + [problem for problem in _edges(own, variables) if problem.about not in cut]


def _edges(own: Mapping[str, float], variables: Mapping[str, float]) -> list[Problem]:
    """Holes nearer to their edge than the standard allows, and nearer than the reference's are."""
    found: list[Problem] = []
    for hole in [key for key in variables if key.endswith(".hole_diameter")]:
        edge = f"{table_of(hole)}.edge_distance"
        if edge not in variables or not own[hole] > 0:
            continue
        share = min(LEAST_EDGE, own[edge] / own[hole])
        limit = variables[edge] / share
        if variables[hole] > limit * (1 + SLACK):
            said = f"its middle must be {share:.3g} diameters from the edge, {edge} gives less"
            found.append(Problem("does_not_fit", said, hole, variables[hole], own[hole], limit))
    return found


def doubtful_problems(terms: Terms, variables: Mapping[str, float], reached: float | None) -> list[Problem]:
    """What the brief says that is unlikely at the port, or parts a table from the part that it is.

    ``reached`` is the rotor speed that the motor reaches there.
    """
    design, words = terms.design, port_words(terms)
    stated = frozenset({*terms.brief.numbers, *terms.brief.words})
    known = {doubt.keys for doubt in design.doubts}
    found = doubts(variables, words, stated, reached, design.stated)
    found += parted_at_the_port(terms, variables, words)
    return [Problem("doubtful_input", doubt.text) for doubt in found if doubt.keys not in known]


def parted_at_the_port(terms: Terms, variables: Mapping[str, float], words: Mapping[str, str]) -> list[Doubt]:
    """Tables that the brief parts from the sheet that they seem to be: one has another material or thickness now."""
    design, tied = terms.design, terms.tables_of_parts
    now = {part.name: part for part in terms.parts}
    found: list[Doubt] = []
    for table in TABLES:
        if table in tied or f"{table}.material" not in words:
            continue
        for part in _candidates(table, design.parts):
            if unlike(table, part, design.variables, design.choices) is None:
                told = _parted(table, part, now[part.name], terms, variables, words)
                found += [] if told is None else [told]
    return found


def _candidates(table: str, parts: tuple[Part, ...]) -> list[Part]:
    """Parts of the table's word, else every sheet that the file lists."""
    return namesakes(table, parts) or [part for part in parts if part.key is None and part.thickness is not None]


def _parted(
    table: str, own: Part, now: Part, terms: Terms, variables: Mapping[str, float], words: Mapping[str, str]
) -> Doubt | None:
    brief, material, thickness = terms.brief, f"{table}.material", f"{table}.thickness"
    named = f"parts.{quoted(own.name)}"
    if now.material != words[material]:
        return Doubt((material, named), f"[{table}] is of {words[material]}, [{named}] of {now.material or 'another'}: "
                     f"name the part with {table}.part if they are one thing")
    change = brief.parts.get(own.name)
    told = thickness in brief.numbers or (change is not None and change.thickness is not None)
    if not told or own.thickness is None or thickness not in variables:
        return None
    grown = first(now.thickness_at(terms.factor)) / own.thickness
    if abs(variables[thickness] / terms.design.variables[thickness] / grown - 1) <= PARTED:
        return None
    sizes = [format_value(value, "m") for value in (variables[thickness], first(now.thickness_at(terms.factor)))]
    return Doubt((thickness, named), f"[{table}] is {sizes[0]} thick, [{named}] {sizes[1]}: name the part with "
                 f"{table}.part if they are one thing")
