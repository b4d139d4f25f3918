"""What the public face loads and looks up: a robot, a brief, and a robot's own quantities."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from functools import cached_property
from pathlib import Path
from typing import TypeVar

from scaling.files.errors import InputError, UnknownNameError, nearest
from scaling.files.number import Number
from scaling.formulas import book
from scaling.port import brief as briefs
from scaling.port.changes import changed_design
from scaling.robot import design as designs
from scaling.study.beside import reference_values

T = TypeVar("T")


class Names(Mapping[str, T]):
    """A mapping from the names in ``_had``; each class says what stands under a name."""

    _had: Mapping[str, object]

    def __iter__(self) -> Iterator[str]:
        return iter(self._had)

    def __len__(self) -> int:
        return len(self._had)


class Design(Names[Number]):
    """The reference robot: a mapping from the dotted keys of its design file, and of what follows, to numbers.

    ``name``; ``file``, where it was read; ``words``, what the file says in words, by key; ``notes``, sentences on
    what was assumed where the file says nothing; ``doubts``, what is unlikely in it or contradicts something else, each
    with its ``keys`` and a ``text``.

    >>> import scaling as sc
    >>> robot = sc.Design.load("design.toml")
    >>> robot.name, robot["rotor.mass"], robot.words["rotor.axis"]
    ('Tarvindle', 0.092, 'across')
    >>> robot.doubts
    ()
    """

    def __init__(self, inner: designs.Design, changes: Mapping[str, str] | None = None) -> None:
        self._inner, self._had, self._changes = inner, inner.variables, dict(changes or {})
        self.name, self.file, self.notes = inner.name, inner.file, inner.notes
        self.words: Mapping[str, str] = dict(inner.choices)
        self.doubts = inner.doubts

    @classmethod
    def load(cls, path: str | Path) -> Design:
        """Read and check a design file."""
        return cls(designs.load_design(Path(path)))

    def changed(self, changes: Mapping[str, str | float]) -> Design:
        """Return the robot as it would be with ``changes`` written into its file, which stays as it is.

        Each is a dotted key of the file with what stands after the equals sign, a text with its unit or a plain
        number; a part goes by its name. What was changed before stays changed.

        >>> import scaling as sc
        >>> robot = sc.Design.load("design.toml")
        >>> heavier = robot.changed({'parts."side walls".mass': "36 g", "mass": "458 g"})
        >>> heavier["mass"] - robot["mass"] > 0.0039, robot["mass"]
        (True, 0.454)
        """
        every = self._changes | {key: str(value) for key, value in changes.items()}
        return Design(changed_design(self.file, every), every)

    @cached_property
    def quantities(self) -> Reference:
        """The robot's own quantities, as a study has them in ``reference``.

        >>> import scaling as sc
        >>> sc.Design.load("design.toml").quantities["spin_up_time"].unit
        's'
        """
        return Reference(self.name, reference_values(self._inner))

    def __getitem__(self, key: str) -> Number:
        if key not in self._inner.variables:
            hint = nearest(key, self._inner.variables)
            raise UnknownNameError("the design has no such number", self.file, key, hint=hint)
        return Number(self._inner.variables[key], book.variables[key].unit)

    def __repr__(self) -> str:
        return f"<Design {self.name}, {self['mass']:.4g} kg, {len(self)} numbers, {self.file}>"


class Brief:
    """Where the reference is to go, and by which laws.

    ``name``; ``file``, where it was read; ``mass_limit`` of the class, and ``mass_margin`` that is kept under it.

    >>> import scaling as sc
    >>> brief = sc.Brief.load("brief.toml")
    >>> brief.design.name, brief.mass_limit, brief.mass_limit.unit
    ('Tarvindle', 1.36, 'kg')
    """

    def __init__(self, inner: briefs.Brief) -> None:
        self._inner = inner
        self.name, self.file = inner.name, inner.file
        self.mass_limit, self.mass_margin = Number(inner.mass_limit, "kg"), Number(inner.mass_margin, "kg")

    @classmethod
    def load(cls, path: str | Path) -> Brief:
        """Read and check a brief."""
        return cls(briefs.load_brief(Path(path)))

    @property
    def design(self) -> Design:
        """The design that the brief names, read anew from its file."""
        return Design.load(self._inner.design_file)

    def __repr__(self) -> str:
        return f"<Brief {self.name}, to {self.mass_limit:.4g} kg, {self.file}>"


class Reference(Names[Number]):
    """The reference's own quantities by name or label.

    >>> import scaling as sc
    >>> own = sc.study("brief.toml").reference
    >>> own["Gyro margin"] == own["gyro_margin"], own["rotor_energy"].unit
    (True, 'J')
    """

    def __init__(self, name: str, values: Mapping[str, float]) -> None:
        self._name, self._had, self._values = name, values, values

    def __getitem__(self, quantity: str) -> Number:
        name = found_name(quantity, self._values, self._name)
        return Number(self._values[name], book.quantities[name].unit)

    def __repr__(self) -> str:
        return f"<Reference {self._name}, {len(self)} quantities>"


def found_name(quantity: str, had: Collection[str], whose: str) -> str:
    """The name of a quantity that is there, by its name or label."""
    try:
        name = book.find(quantity)
    except InputError as error:
        raise UnknownNameError(**vars(error)) from None
    if name not in had:
        raise UnknownNameError(f"{whose} does not have this quantity", None, name, hint=nearest(name, had))
    return name
