"""Walls and lids as plates under a hit taken: what ends them, and the elastic stress that marks them.

A plate ends by a mechanism of plastic hinges, or by the tooth that punches a piece out of it; a laminate, which does
not yield, by the energy that perforates it. The margins rest on what a bite gives on the mean, with the energy square
to the plate that of a tooth that runs along it; those of the deepest bite and a hit square on stand beside them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from scaling.book.algebra import Expression, least, symbols
from scaling.book.entry import Model, Quantity, Validity, Variable
from scaling.files.schema import Choice
from scaling.formulas.impact.force import PUNCH
from scaling.formulas.impact.taken import (
    AT_MOST,
    BLOW,
    BLOW_ASSUMES,
    ENGAGED,
    blow,
    crush_force,
    glancing_energy,
    taken_energy,
    tooth_area_bound,
)
from scaling.formulas.structure import collapse, perforation, plates


def _laminate(table: str, mark: str) -> tuple[Variable, ...]:
    """Inputs of the law by which a laminate is perforated; its known point does not scale."""
    return (
        Variable(f"{table}.fibre_share", f"V_{mark}", "1", f"share of fibres in the {table}'s volume; 0: no laminate",
                 allowed="not negative", derived=True),
        Variable(f"{table}.perforation_energy", f"U_{mark}0", "J", "energy that perforates a laminate whose thickness "
                 "times share of fibres times width of the tooth is perforation_area", default=perforation.UNIT_ENERGY),
        Variable(f"{table}.perforation_area", f"A_{mark}0", "m^2", "product for which perforation_energy is known",
                 default=perforation.UNIT_AREA),
    )


VARIABLES = (
    Variable("wall.length", "a_w", "m", "length of one side wall between its supports", 1),
    Variable("wall.height", "b_w", "m", "height of one side wall between its supports", 1),
    Variable("wall.thickness", "t_w", "m", "thickness of one side wall", 1),
    Variable("wall.strength", "S_w", "Pa", "strength of the wall's material", derived=True),
    Variable("wall.modulus", "E_w", "Pa", "modulus of the wall's material", derived=True),
    Variable("wall.poisson", "nu_w", "1", "Poisson's ratio of the wall's material", derived=True),
    *_laminate("wall", "w"),
    Variable("lid.length", "a_l", "m", "length of the lid between its supports, a round one's diameter", 1),
    Variable("lid.width", "b_l", "m", "width of the lid between its supports, a round one's diameter", 1),
    Variable("lid.thickness", "t_l", "m", "thickness of the lid", 1),
    Variable("lid.strength", "S_l", "Pa", "strength of the lid's material", derived=True),
    Variable("lid.modulus", "E_l", "Pa", "modulus of the lid's material", derived=True),
    Variable("lid.poisson", "nu_l", "1", "Poisson's ratio of the lid's material", derived=True),
    *_laminate("lid", "l"),
)

_EDGES = ("hinged", "clamped")
_EDGES_MEANING = "hinged: edges held but free to turn, as by screws; clamped: held against turning as well"
CHOICES = {
    "wall.material": Choice(None, "material of the side walls"),
    "wall.edges": Choice(_EDGES, _EDGES_MEANING, default="hinged"),
    "lid.material": Choice(None, "material of the lid"),
    "lid.edges": Choice(_EDGES, _EDGES_MEANING, default="hinged"),
    "lid.shape": Choice(("rectangular", "round"), "outline of the lid", default="rectangular"),
}

_ROARK = "roark7 table 11.4 case"
_PLATES = "woinowsky-krieger ch. 3:"
_HINGES = "johansen1962: yield lines, M_p = S t^2 / 4,"

PlateModel = Callable[..., dict[str, Any]]


@dataclass(frozen=True)
class _Support:
    """One way of holding a panel under a force on its middle; an empty ``traits`` is the plainest way."""

    traits: tuple[str, ...]
    stress: PlateModel
    stiffness: PlateModel
    source: str
    collapse: PlateModel
    mechanism: str


_RECTANGULAR = (
    _Support(("edges=clamped",), plates.clamped_force_stress, plates.clamped_force_stiffness,
             f"{_ROARK} 8b: clamped rectangular plate, force over a small circle in the middle",
             collapse.clamped_panel, f"{_HINGES} fan all round, 4 pi M_p"),
    _Support((), plates.hinged_force_stress, plates.hinged_force_stiffness,
             f"{_ROARK} 1b, as seen on a copied page: simply supported rectangular plate, force over a small "
             "circle in the middle",
             collapse.hinged_panel, f"{_HINGES} along the diagonals, or a fan to each end"),
)
_ROUND = (
    _Support(("shape=round", "edges=clamped"), plates.round_clamped_force_stress, plates.round_clamped_force_stiffness,
             f"{_PLATES} clamped round plate, force over a small circle in the middle",
             collapse.round_clamped_panel, f"{_HINGES} fan, 4 pi M_p"),
    _Support(("shape=round",), plates.round_hinged_force_stress, plates.round_hinged_force_stiffness,
             f"{_PLATES} simply supported round plate, force over a small circle in the middle",
             collapse.round_hinged_panel, f"{_HINGES} fan, 2 pi M_p"),
)


@dataclass(frozen=True)
class Panel:
    """A plate of the machine: its table, what its labels begin with, its sides' keys, and how it may be held.

    ``hit`` is what the names of its quantities under a hit taken begin with.
    """

    table: str
    title: str
    mark: str
    sides: tuple[str, str]
    supports: tuple[_Support, ...]
    hit: str

    def key(self, name: str) -> str:
        """Dotted key of the panel's variable ``name``."""
        return f"{self.table}.{name}"

    def symbol(self, name: str) -> Expression:
        """Symbol of the panel's variable ``name``."""
        return symbols(self.key(name))[0]

    def result(self, name: str) -> Expression:
        """Symbol of the panel's quantity ``name``."""
        return symbols(f"{self.table}_{name}")[0]

    def struck(self, name: str) -> Expression:
        """Symbol of the panel's quantity ``name`` under a hit taken."""
        return symbols(f"{self.hit}_{name}")[0]

    def outline(self, support: _Support) -> tuple[str, ...]:
        """Keys of the sizes that the support's models take before the thickness."""
        return self.sides[:1] if "shape=round" in support.traits else self.sides

    def when(self, support: _Support) -> tuple[str, ...]:
        """Traits that a design must have for that support."""
        return tuple(self.key(trait) for trait in support.traits)

    @property
    def thin(self) -> Validity:
        """Range of thin-plate bending."""
        return Validity(
            f"{self.table}_slenderness",
            "thin-plate bending holds for a width of more than about ten thicknesses",
            low=10.0,
            source="own-derivation: what shear adds to the bow goes as (t/b)^2, some per cent at a tenth",
        )

    def flat(self, ratio: str) -> tuple[Validity, ...]:
        """Ranges of thin-plate bending with a deflection over thickness of the quantity ``ratio``."""
        return (
            self.thin,
            Validity(ratio, "beyond half a thickness the plate carries as a membrane too: it is stiffer and less "
                     "stressed than this", high=0.5),
        )


WALL = Panel("wall", "Side wall", "w", ("wall.length", "wall.height"), _RECTANGULAR, "wall")
LID = Panel("lid", "Lid", "l", ("lid.length", "lid.width"), (*_ROUND, *_RECTANGULAR), "lid_taken")


def _by_support(panel: Panel) -> Iterator[Quantity]:
    """Yield what depends on the panel's edges and outline: stress over force, stiffness, force of collapse."""
    thickness, poisson, modulus = panel.key("thickness"), panel.key("poisson"), panel.key("modulus")
    for support in panel.supports:
        outline = panel.outline(support)
        yield Quantity(
            f"{panel.hit}_stress_per_force", f"{panel.title} stress over force of a hit",
            f"sigma_{panel.mark}t/F", "1/m^2", "structure", "lower",
            Model(support.stress, (*outline, thickness, poisson, "taken_tooth_area"), "stress"),
            source=support.source, when=panel.when(support), valid=(panel.thin,),
            assumes="force on the middle, spread over a circle of the area on which the tooth bears; elastic",
        )
        yield Quantity(
            f"{panel.table}_stiffness", f"{panel.title} stiffness", f"k_{panel.mark}", "N/m", "structure", "higher",
            Model(support.stiffness, (*outline, thickness, modulus, poisson), "stiffness"),
            source=support.source, when=panel.when(support), valid=(panel.thin,),
            assumes="bending only, edges held by a stiff frame",
        )
        yield Quantity(
            f"{panel.table}_collapse_force", f"{panel.title} collapse force", f"P_{panel.mark}", "N", "structure",
            "higher",
            Model(support.collapse, (*outline, thickness, panel.key("strength"), panel.key("fibre_share")), "force"),
            source=support.mechanism, when=panel.when(support),
            assumes="force on the middle, all edges held with the corners down; a free upper edge takes less; a tough "
            "material that yields through; none of a laminate",
        )


def _forces(panel: Panel) -> Iterator[Quantity]:
    """Yield what a taken hit puts on the panel: on the mean and at most."""
    title, mark, strength = panel.title, panel.mark, panel.symbol("strength")
    yield Quantity(
        f"{panel.table}_taken_force", f"{title} force in a taken hit", f"F_{mark}", "N", "structure", "lower",
        blow(panel.result("stiffness"), crush_force(strength), glancing_energy),
        source=BLOW, assumes=f"{ENGAGED}, a tooth that runs along the plate; {BLOW_ASSUMES}",
    )
    yield Quantity(
        f"{panel.table}_taken_force_bound", f"{title} force in a taken hit at most", f"F_{mark}b", "N", "structure",
        "lower",
        blow(panel.result("stiffness"), crush_force(strength, tooth_area_bound), taken_energy),
        source=BLOW, assumes=f"{AT_MOST}; {BLOW_ASSUMES}",
    )


def _endings(panel: Panel) -> Iterator[Quantity]:
    """Yield the margins of what ends the panel: collapse, punching, perforation; each by the mean and by the bound."""
    table, title, mark = panel.table, panel.title, panel.mark
    for word, tail, says in (("", "", "mean bite"), ("_bound", "b", "full bite")):
        pressed = f"{table}_taken_force{word}"
        yield Quantity(
            f"{table}_punch_force{word}", f"{title} punching force at {says}", f"Q_{mark}{tail}", "N", "structure",
            "higher",
            Model(collapse.punched_panel, ("attacker.tooth_width", pressed, panel.key("thickness"),
                                           panel.key("strength"), panel.key("fibre_share")), "force"),
            source="common-practice: the tooth's outline times t at the shear yield S / sqrt(3), as in blanking; "
            f"{PUNCH}",
            assumes="flat tooth square to a tough plate, as deep as the force makes it dig; none of a laminate",
        )
    yield Quantity(
        f"{table}_perforation_energy", f"{title} perforation energy", f"U_{mark}", "J", "structure", "higher",
        Model(perforation.perforation_energy, (panel.key("thickness"), panel.key("fibre_share"), "attacker.tooth_width",
                                               panel.key("perforation_energy"), panel.key("perforation_area")),
              "energy"),
        source="caprino2001: U = 0.49 (t V_f D)^1.4 in J and mm, its coefficient unverified",
        assumes="a laminate held around, hit by a slow round body as wide as the tooth; a sharp corner takes less",
    )
    force, force_bound = panel.result("taken_force"), panel.result("taken_force_bound")
    ends = (
        ("collapse", "collapse", panel.result("collapse_force") / force, panel.result("collapse_force") / force_bound,
         "below 1 hinges run through it and it folds"),
        ("punch", "punching", panel.result("punch_force") / force, panel.result("punch_force_bound") / force_bound,
         "below 1 the tooth punches through"),
        ("perforation", "perforation", panel.result("perforation_energy") / glancing_energy,
         panel.result("perforation_energy") / taken_energy, "below 1 one hit goes through the laminate"),
    )
    for name, word, margin, bound, says in ends:
        yield Quantity(
            f"{table}_{name}_margin", f"{title} {word} margin", f"n_{mark}{name[:2]}", "1", "structure", "higher",
            margin,
            role="survival",
            source="definition",
            assumes=f"{says}; {ENGAGED}, a tooth that runs along the plate",
        )
        yield Quantity(
            f"{table}_{name}_margin_bound", f"{title} {word} margin square on", f"n_{mark}{name[:2]}b", "1",
            "structure", "higher", bound,
            source="definition",
            assumes=f"{says}; {AT_MOST}",
        )


def _marks(panel: Panel) -> tuple[Quantity, ...]:
    """Return the elastic plate under the force of a taken hit: from its strength on it stays bent, which marks it."""
    title, mark, hit = panel.title, panel.mark, panel.hit
    flat = panel.flat(f"{hit}_deflection_ratio")
    return (
        Quantity(
            f"{hit}_stress", f"{title} stress in a taken hit", f"sigma_{mark}t", "Pa", "structure", "lower",
            panel.result("taken_force") * panel.struck("stress_per_force"),
            source="definition", assumes=f"{ENGAGED}; {BLOW_ASSUMES}; elastic", valid=flat,
        ),
        Quantity(
            f"{hit}_stress_margin", f"{title} margin before a hit marks it", f"S_{mark}/sigma_{mark}t", "1",
            "structure", "higher", panel.symbol("strength") / panel.struck("stress"),
            source="definition",
            assumes="below 1 the plate is bent for good where its surface first yields; it does not end by that",
            valid=flat,
        ),
        Quantity(
            f"{hit}_deflection", f"{title} deflection in a taken hit", f"y_{mark}t", "m", "structure", "lower",
            panel.result("taken_force") / panel.result("stiffness"),
            source="definition", assumes=f"{ENGAGED}; {BLOW_ASSUMES}", valid=flat,
        ),
        Quantity(
            f"{hit}_deflection_ratio", f"{title} bow/thickness in a taken hit", f"y_{mark}t/t_{mark}", "1",
            "structure", "lower",
            panel.struck("deflection") / panel.symbol("thickness"),
            source="definition",
        ),
    )


def _slenderness(panel: Panel) -> Quantity:
    one, other = (symbols(side)[0] for side in panel.sides)
    return Quantity(
        f"{panel.table}_slenderness", f"{panel.title} slenderness", f"b_{panel.mark}/t_{panel.mark}", "1", "structure",
        "same",
        least(one, other) / panel.symbol("thickness"),
        source="definition",
    )


QUANTITIES = tuple(
    quantity
    for panel in (WALL, LID)
    for quantity in (_slenderness(panel), *_by_support(panel), *_forces(panel), *_endings(panel), *_marks(panel))
)
