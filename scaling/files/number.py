"""A number with its unit, for those who ask for one by its key."""

from __future__ import annotations


class Number(float):
    """A number in SI units that knows which.

    >>> import scaling as sc
    >>> mass = sc.Design.load("design.toml")["rotor.mass"]
    >>> mass, mass.unit, mass.value / 2
    (0.092, 'kg', 0.046)
    """

    unit: str

    def __new__(cls, value: float, unit: str) -> Number:
        """Make a number of a value and its unit."""
        made = super().__new__(cls, value)
        made.unit = unit
        return made

    def __getnewargs__(self) -> tuple[float, str]:  # type: ignore[override]
        return self.value, self.unit

    @property
    def value(self) -> float:
        """The bare number."""
        return float(self)
