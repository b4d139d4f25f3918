"""Densities, strengths and stiffnesses by material, each number with its source.

The table is ``data/materials.toml``; a builder's own file in the same format adds to it or replaces entries.
Typical values are not design minima: a maker's certificate for the piece in hand counts for more.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from scaling.book.sources import Use
from scaling.files import toml as tomlfile
from scaling.files.bounds import BOUNDS
from scaling.files.errors import InputError, nearest
from scaling.files.sentence import listed
from scaling.shop.sources import Citation, citation, stated, uses

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping

TABLE = Path(__file__).parent / "data" / "materials.toml"

KINDS = ("metal", "polymer", "composite", "elastomer", "foam")

STRENGTH_KINDS = {
    "yield": "0.2 % proof stress or yield point of a metal that yields before it breaks",
    "tensile-yield": "tensile stress at yield of a polymer",
    "tensile-strength": "largest tensile stress, of what breaks without a yield",
}

TOUGHNESS_KINDS = {
    "k-ic": ("plane-strain fracture toughness", "Pa m^0.5"),
    "charpy-v": ("energy absorbed by a full-size Charpy V-notch piece", "J"),
    "charpy-unnotched": ("energy absorbed by a full-size Charpy piece without a notch", "J"),
    "charpy-notched": ("energy per area of a notched Charpy piece of plastic", "J/m^2"),
}

# Traps for the wrong unit (MPa for Pa, g/cm^3 for kg/m^3, per cent for a fraction) rather than limits of nature:
# from the lightest foam to the heaviest metal, from soft foam to diamond. Formulas for plates need poisson <= 0.5.
PLAUSIBLE: dict[str, tuple[float, float, str]] = {
    "density": (10.0, 23e3, "kg/m^3"),
    "strength": (1e4, 1e10, "Pa"),
    "modulus": (1e5, 1.3e12, "Pa"),
    "elongation": (1e-4, 15.0, "as a fraction, 0.1 for ten per cent"),
    "poisson": (0.0, 0.5, ""),
    "shear_strength_ratio": (0.01, 1.0, ""),
    "k-ic": (1e4, 1e9, "Pa m^0.5"),
    "charpy-v": (0.1, 600.0, "J"),
    "charpy-unnotched": (0.1, 600.0, "J"),
    "charpy-notched": (100.0, 1e6, "J/m^2"),
    "conductivity": (0.01, 2500.0, "W/(m K)"),
    "rate_doubling": (1.0, 1e9, "1/s"),
    "rate_power": (1.0, 100.0, ""),
}

_RANGES = ("density", "strength", "modulus", "elongation", "toughness")
_RATE = ("rate_doubling", "rate_power")
_NUMBERS = ("poisson", "shear_strength_ratio", "conductivity", *_RATE)
_OPTIONAL = ("elongation", "toughness", "toughness_kind", "conductivity", *_RATE, "note")
_KEYS = ("kind", "strength_kind", "toughness_kind", *_RANGES, *_NUMBERS, "sources", "note")


NO_RISE = (1e15, 1.0)
"""Rate in 1/s and power that leave the yield stress as it is at any rate of a hit."""

LAMINATE_FIBRES = 0.55
"""Share of fibres in the volume of a plate pressed with epoxy: common practice, no source."""


@dataclass(frozen=True)
class Range:
    """Smallest, usual and largest value of a property, in SI units."""

    minimum: float
    typical: float
    maximum: float


@dataclass(frozen=True)
class Material:
    """One material at room temperature.

    ``density`` in kg/m^3, ``strength`` and ``modulus`` (Young's, in tension) in Pa, ``elongation`` at
    break as a fraction. ``strength_kind`` says what the strength is, a key of STRENGTH_KINDS, and
    ``toughness_kind`` what the toughness is and in which unit, a key of TOUGHNESS_KINDS.
    ``conductivity`` is that of heat in W/(m K), None where the table has none. ``rate_doubling`` is the rate of strain
    in 1/s at which it yields at twice the slow stress, ``rate_power`` the power of that law (Cowper and Symonds); where
    the table has none they are NO_RISE.
    ``shear_strength_ratio`` is shear strength over ``strength``. ``sources`` has citations for each property.
    """

    name: str
    kind: str
    density: Range
    strength: Range
    strength_kind: str
    modulus: Range
    poisson: float
    elongation: Range | None
    toughness: Range | None
    toughness_kind: str | None
    shear_strength_ratio: float
    conductivity: float | None
    rate_doubling: float
    rate_power: float
    sources: dict[str, tuple[Citation, ...]] = field(hash=False)
    note: str

    @property
    def fibre_share(self) -> float:
        """Share of fibres in the volume of a laminate, 0 of anything else."""
        return LAMINATE_FIBRES if self.kind == "composite" else 0.0

    @property
    def break_strain(self) -> float:
        """Usual elongation at break; where the table has none that of what breaks at its strength, the least."""
        return self.strength.typical / self.modulus.typical if self.elongation is None else self.elongation.typical


def materials(extra: Path | None = None) -> dict[str, Material]:
    """Return every known material by name, those of the file ``extra`` added or put in place of ours.

    Raises InputError, with file and dotted key, for a file that cannot be read or an entry that cannot
    be right.
    """
    return _built_in() | (_read(extra) if extra is not None else {})


def material(
    name: str, file: Path | str | None = None, key: str | None = None, extra: Path | None = None
) -> Material:
    """Return the material called ``name``; ``file`` and ``key`` say where the name was written.

    Raises InputError with the nearest name and the list of known ones when there is no such material.
    """
    known = materials(extra)
    if name in known:
        return known[name]
    spelled = re.sub(r"[\s_]+", "-", name.strip().lower())
    raise InputError("no such material", file, key, name, listed(sorted(known)), nearest(spelled, known))


def sources(names: Iterable[str], extra: Path | None = None) -> tuple[Use, ...]:
    """Return the works that the numbers of these materials rest on, each with the properties that do.

    Raises InputError as ``material`` does.
    """
    found = [(name, material(name, extra=extra).sources) for name in names]
    return uses(
        (cited, f"{name} {key}") for name, of_name in found for key, citations in of_name.items() for cited in citations
    )


def swap_effect(old: Material, new: Material) -> dict[str, float]:
    """Return what making the same shape of ``new`` instead of ``old`` does, as ratios new over old.

    ``mass`` is the ratio of densities: what the part will weigh over what it weighed.
    ``strength`` is the ratio of strengths: the load it will bear over the load it bore.
    ``stiffness`` is the ratio of Young's moduli: the load for the same bend over what it took.
    All from typical values; where the two strengths are of unlike kinds so is their ratio.
    """
    return {
        "mass": new.density.typical / old.density.typical,
        "strength": new.strength.typical / old.strength.typical,
        "stiffness": new.modulus.typical / old.modulus.typical,
    }


@cache
def _built_in() -> dict[str, Material]:
    return _read(TABLE)


def _read(path: Path) -> dict[str, Material]:
    table = tomlfile.tables_of(path, BOUNDS["materials file"])
    return {name: _Entry(path, name, rows).material() for name, rows in table.items()}


@dataclass
class _Entry:
    """One table of the file, on its way to be a Material."""

    file: Path
    name: str
    rows: Mapping[str, object]

    def material(self) -> Material:
        self._check_keys()
        toughness_kind = self._choice("toughness_kind", TOUGHNESS_KINDS) if "toughness" in self.rows else None
        return Material(
            name=self.name,
            kind=self._choice("kind", KINDS),
            density=self._range("density", "density"),
            strength=self._range("strength", "strength"),
            strength_kind=self._choice("strength_kind", STRENGTH_KINDS),
            modulus=self._range("modulus", "modulus"),
            poisson=self._number("poisson", self.rows["poisson"], "poisson"),
            elongation=self._range("elongation", "elongation") if "elongation" in self.rows else None,
            toughness=self._range("toughness", toughness_kind) if toughness_kind else None,
            toughness_kind=toughness_kind,
            shear_strength_ratio=self._number(
                "shear_strength_ratio", self.rows["shear_strength_ratio"], "shear_strength_ratio"
            ),
            conductivity=self._known("conductivity"),
            rate_doubling=self._known("rate_doubling") or NO_RISE[0],
            rate_power=self._known("rate_power") or NO_RISE[1],
            sources=self._sources(),
            note=self._text("note", self.rows["note"]) if "note" in self.rows else "",
        )

    def _wrong(
        self, problem: str, key: str | None = None, given: object = None, allowed: str | None = None,
        hint: str | None = None,
    ) -> InputError:
        return InputError(problem, self.file, f"{self.name}.{key}" if key else self.name, given, allowed, hint)

    def _check_keys(self) -> None:
        if not isinstance(self.rows, dict):
            raise self._wrong("not a table", given=self.rows, hint=f"begin a material with [{self.name}]")
        if not re.fullmatch(r"[a-z0-9][a-z0-9-]{0,39}", self.name):
            raise self._wrong("not a name for a material", allowed="lower-case letters, digits and hyphens")
        for key in self.rows:
            if key not in _KEYS:
                raise self._wrong("unknown key", key, allowed=listed(_KEYS), hint=nearest(key, _KEYS))
        needed = [key for key in _KEYS if key not in _OPTIONAL]
        if "toughness" in self.rows or "toughness_kind" in self.rows:
            needed += ["toughness", "toughness_kind"]
        if any(key in self.rows for key in _RATE):
            needed += _RATE
        for key in needed:
            if key not in self.rows:
                raise self._wrong("missing key", key)

    def _choice(self, key: str, allowed: Collection[str]) -> str:
        given = self.rows[key]
        if not isinstance(given, str) or given not in allowed:
            hint = nearest(given, allowed) if isinstance(given, str) else None
            raise self._wrong("not one of the choices", key, given, listed(allowed), hint)
        return given

    def _range(self, key: str, measure: str) -> Range:
        given = self.rows[key]
        if not isinstance(given, list) or len(given) != 3:
            raise self._wrong("not a range", key, given, "three numbers, [minimum, typical, maximum]")
        numbers = [self._number(key, number, measure) for number in given]
        if numbers != sorted(numbers):
            raise self._wrong("range out of order", key, given, "minimum <= typical <= maximum")
        return Range(*numbers)

    def _number(self, key: str, given: object, measure: str) -> float:
        if isinstance(given, bool) or not isinstance(given, int | float):
            raise self._wrong("not a number", key, given)
        low, high, unit = PLAUSIBLE[measure]
        if not low <= given <= high:  # NaN fails as well
            raise self._wrong("out of bounds", key, given, f"{low:g} to {high:g} {unit}".strip())
        return float(given)

    def _known(self, key: str) -> float | None:
        return self._number(key, self.rows[key], key) if key in self.rows else None

    def _text(self, key: str, given: object) -> str:
        text = " ".join(given.split()) if isinstance(given, str) else ""
        if not text or not text.isprintable():
            raise self._wrong("not a text", key, given)
        return text

    def _sources(self) -> dict[str, tuple[Citation, ...]]:
        """One text for all properties, or a table with a text or a list of citations for each."""
        properties = [key for key in (*_RANGES, *_NUMBERS) if key in self.rows]
        given = self.rows["sources"]
        if not isinstance(given, dict):
            return dict.fromkeys(properties, self._cited("sources", given))
        for key in given:
            if key not in properties:
                raise self._wrong("source of no property of this material", f"sources.{key}",
                                  allowed=listed(properties), hint=nearest(key, properties))
        for key in properties:
            if key not in given:
                raise self._wrong("missing source", f"sources.{key}", hint='write "from memory" if it is')
        return {key: self._cited(f"sources.{key}", given[key]) for key in properties}

    def _cited(self, key: str, given: object) -> tuple[Citation, ...]:
        """A text is the builder's own word, a list cites the bibliography."""
        if not isinstance(given, list):
            return (stated(self._text(key, given)),)
        if not given:
            raise self._wrong("no source", key, given, "a text, or a list of citations")
        return tuple(citation(self._text(key, text), self.file, f"{self.name}.{key}") for text in given)
