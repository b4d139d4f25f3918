"""Walls and lids as plates, in strength and stiffness: a wall under the own hit's force, both against a hit taken."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import sympy

from scaling.book.entry import Model, Quantity, Validity, Variable, least, symbols
from scaling.files.schema import Choice
from scaling.formulas.impact.taken import BLOW, BLOW_ASSUMES, blow, crush_force
from scaling.formulas.structure import plates

(hit_force,) = symbols("hit_force")

VARIABLES = (
    Variable("wall.length", "a_w", "m", "length of one side wall between its supports", 1),
    Variable("wall.height", "b_w", "m", "height of one side wall between its supports", 1),
    Variable("wall.thickness", "t_w", "m", "thickness of one side wall", 1),
    Variable("wall.strength", "S_w", "Pa", "strength of the wall's material", derived=True),
    Variable("wall.modulus", "E_w", "Pa", "modulus of the wall's material", derived=True),
    Variable("wall.poisson", "nu_w", "1", "Poisson's ratio of the wall's material", derived=True),
    Variable("lid.length", "a_l", "m", "length of the lid between its supports, a round one's diameter", 1),
    Variable("lid.width", "b_l", "m", "width of the lid between its supports, a round one's diameter", 1),
    Variable("lid.thickness", "t_l", "m", "thickness of the lid", 1),
    Variable("lid.strength", "S_l", "Pa", "strength of the lid's material", derived=True),
    Variable("lid.modulus", "E_l", "Pa", "modulus of the lid's material", derived=True),
    Variable("lid.poisson", "nu_l", "1", "Poisson's ratio of the lid's material", derived=True),
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

PlateModel = Callable[..., dict[str, Any]]


@dataclass(frozen=True)
class _Support:
    """One way of holding a panel under a force on its middle; an empty ``traits`` is the plainest way."""

    traits: tuple[str, ...]
    stress: PlateModel
    stiffness: PlateModel
    source: str


_RECTANGULAR = (
    _Support(("edges=clamped",), plates.clamped_force_stress, plates.clamped_force_stiffness,
             f"{_ROARK} 8b: clamped rectangular plate, force over a small circle in the middle"),
    _Support((), plates.hinged_force_stress, plates.hinged_force_stiffness,
             f"{_ROARK} 1b: simply supported rectangular plate, force over a small circle in the middle"),
)
_ROUND = (
    _Support(("shape=round", "edges=clamped"), plates.round_clamped_force_stress, plates.round_clamped_force_stiffness,
             f"{_PLATES} clamped round plate, force over a small circle in the middle"),
    _Support(("shape=round",), plates.round_hinged_force_stress, plates.round_hinged_force_stiffness,
             f"{_PLATES} simply supported round plate, force over a small circle in the middle"),
)


@dataclass(frozen=True)
class Panel:
    """A plate of the machine: its table, what its labels begin with, its sides' keys, and how it may be held."""

    table: str
    title: str
    mark: str
    sides: tuple[str, str]
    supports: tuple[_Support, ...]

    def key(self, name: str) -> str:
        """Dotted key of the panel's variable ``name``."""
        return f"{self.table}.{name}"

    def symbol(self, name: str) -> sympy.Symbol:
        """Symbol of the panel's variable ``name``."""
        return symbols(self.key(name))[0]

    def result(self, name: str) -> sympy.Symbol:
        """Symbol of the panel's quantity ``name``."""
        return symbols(f"{self.table}_{name}")[0]

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
            source="woinowsky-krieger",
        )

    def flat(self, ratio: str) -> tuple[Validity, ...]:
        """Ranges of thin-plate bending with a deflection over thickness of the quantity ``ratio``."""
        return (
            self.thin,
            Validity(ratio, "beyond half a thickness the plate carries as a membrane too: it is stiffer and less "
                     "stressed than this", high=0.5),
        )


WALL = Panel("wall", "Side wall", "w", ("wall.length", "wall.height"), _RECTANGULAR)
LID = Panel("lid", "Lid", "l", ("lid.length", "lid.width"), (*_ROUND, *_RECTANGULAR))


def _by_support(panel: Panel) -> Iterator[Quantity]:
    """Yield what depends on the panel's edges and outline: stress over force, stiffness."""
    thickness, poisson, modulus = panel.key("thickness"), panel.key("poisson"), panel.key("modulus")
    for support in panel.supports:
        outline = panel.outline(support)
        yield Quantity(
            f"{panel.table}_taken_stress_per_force", f"{panel.title} stress/force in a taken hit",
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


def _wall_stress_per_force() -> Iterator[Quantity]:
    """Yield the wall's stress over the force of the own tooth, for every way of holding the wall."""
    for support in WALL.supports:
        inputs = (*WALL.sides, "wall.thickness", "wall.poisson", "tooth_face_area")
        yield Quantity(
            "wall_stress_per_force", "Side wall stress/force in own-size hit", "sigma_w/F", "1/m^2", "structure",
            "lower", Model(support.stress, inputs, "stress"),
            source=support.source, when=WALL.when(support), valid=(WALL.thin,),
            assumes="force on the middle, spread over a circle of the tooth's face; elastic",
        )


_FLAT = WALL.flat("wall_deflection_ratio")
_ELASTIC = Validity("wall_stress_margin", "the side wall passes its strength, so it bends for good", low=1.0)

_WALL_UNDER_OWN_HIT = (
    Quantity(
        "wall_stress", "Side wall stress in own-size hit", "sigma_w", "Pa", "structure", "lower",
        hit_force * WALL.result("stress_per_force"),
        source="definition: hit_force on the middle of the plate",
        assumes="the own hit's force as that of an equal opponent's; elastic",
        valid=(*_FLAT, _ELASTIC),
    ),
    Quantity(
        "wall_stress_margin", "Side wall margin in own-size hit", "S_w/sigma_w", "1", "structure", "higher",
        WALL.symbol("strength") / WALL.result("stress"),
        role="survival",
        source="definition",
        valid=_FLAT,
    ),
    Quantity(
        "wall_deflection", "Side wall deflection in own-size hit", "y_w", "m", "structure", "lower",
        hit_force / WALL.result("stiffness"),
        source="definition",
        assumes="as the stiffness",
        valid=(*_FLAT, _ELASTIC),
    ),
    Quantity(
        "wall_deflection_ratio", "Side wall bow/thickness in own-size hit", "y_w/t_w", "1", "structure", "lower",
        WALL.result("deflection") / WALL.symbol("thickness"),
        source="definition",
    ),
)


def _taken(panel: Panel) -> tuple[Quantity, ...]:
    """Return the panel under the greatest force that a rotor of the class can put on it."""
    table, title, mark = panel.table, panel.title, panel.mark
    crush = crush_force(panel.symbol("strength"))
    flat = panel.flat(f"{table}_taken_deflection_ratio")
    return (
        Quantity(
            f"{table}_taken_force", f"{title} force in a taken hit", f"F_{mark}", "N", "structure", "lower",
            blow(panel.result("stiffness"), crush),
            source=BLOW,
            assumes=f"the whole force square to the plate, a bound, since a tooth runs along the face; {BLOW_ASSUMES}",
            valid=flat,
        ),
        Quantity(
            f"{table}_taken_stress", f"{title} stress in a taken hit", f"sigma_{mark}t", "Pa", "structure", "lower",
            panel.result("taken_force") * panel.result("taken_stress_per_force"),
            source="definition", assumes=BLOW_ASSUMES, valid=flat,
        ),
        Quantity(
            f"{table}_taken_stress_margin", f"{title} margin in a taken hit", f"S_{mark}/sigma_{mark}t", "1",
            "structure", "higher", panel.symbol("strength") / panel.result("taken_stress"),
            role="survival",
            source="definition",
            assumes=f"below 1 the {title.lower()} is bent for good as a whole, not only marked where the tooth bites",
            valid=flat,
        ),
        Quantity(
            f"{table}_taken_deflection", f"{title} deflection in a taken hit", f"y_{mark}t", "m", "structure", "lower",
            panel.result("taken_force") / panel.result("stiffness"),
            source="definition", assumes=BLOW_ASSUMES, valid=flat,
        ),
        Quantity(
            f"{table}_taken_deflection_ratio", f"{title} bow/thickness in a taken hit", f"y_{mark}t/t_{mark}", "1",
            "structure", "lower",
            panel.result("taken_deflection") / panel.symbol("thickness"),
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
    for panel, more in ((WALL, (*_wall_stress_per_force(), *_WALL_UNDER_OWN_HIT)), (LID, ()))
    for quantity in (_slenderness(panel), *_by_support(panel), *more, *_taken(panel))
)
