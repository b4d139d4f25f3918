"""How much of everything a file may hold, from the table that its readers refuse by."""

from __future__ import annotations

from docutils import nodes
from docutils.parsers.rst import Directive

from scaling.files.bounds import BOUNDS
from scaling.files.plausible import SIZES
from site_pages.parts import Row, table


class BoundsDirective(Directive):
    """``.. bounds::``: every bound with its number and the reason."""

    def run(self) -> list[nodes.Node]:
        """Return the table."""
        rows: list[Row] = [
            (None, (bound.name, f"{bound.most:,}", bound.counted, bound.why)) for bound in BOUNDS.values()
        ]
        return [table(("of", "at most", "", "which is"), rows)]


class SizesDirective(Directive):
    """``.. sizes::``: the least and the most that a number may be, by its unit."""

    def run(self) -> list[nodes.Node]:
        """Return the table."""
        rows: list[Row] = [(None, (unit, f"{least:g}", f"{most:g}")) for unit, (least, most) in SIZES.items()]
        return [table(("unit", "least", "most"), rows)]
