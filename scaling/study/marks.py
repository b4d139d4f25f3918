"""The marks on a number that is not to be taken as it stands: in brackets and with a star."""

from __future__ import annotations

MEANINGS = {
    "( )": "only if the motor reached the speed that is asked of it; counts in no verdict, ranking or caution",
    "*": "outside the range in which its formula is good",
}
"""What each mark says, in a few words."""


def hollow(text: str) -> str:
    """Return what is so only if a speed were reached as people are shown it.

    >>> hollow("12.0")
    '(12.0)'
    """
    return f"({text})"


class Marked(float):
    """A number with its marks: whether it is ``if_reached`` only, and ``outside`` its formula's range.

    It counts, compares and is written to files as the plain number that it is.

    >>> Marked(1.5, if_reached=True) * 2, Marked(1.5, outside=True).of("1.50")
    (3.0, '1.50*')
    """

    __slots__ = ("if_reached", "outside")

    if_reached: bool
    outside: bool

    def __new__(cls, value: float, *, if_reached: bool = False, outside: bool = False) -> Marked:
        """Make one of a plain number."""
        made = super().__new__(cls, value)
        made.if_reached, made.outside = if_reached, outside
        return made

    def __getnewargs_ex__(self) -> tuple[tuple[float], dict[str, bool]]:
        """Keep the marks where it is copied."""
        return (float(self),), {"if_reached": self.if_reached, "outside": self.outside}

    def of(self, text: str) -> str:
        """Return ``text``, which is this number, with its marks."""
        return (hollow(text) if self.if_reached else text) + ("*" if self.outside else "")

    @property
    def marks(self) -> tuple[str, ...]:
        """The marks that it bears, as keys of ``MEANINGS``."""
        return ("( )",) * self.if_reached + ("*",) * self.outside
