"""Text and rows of a table as HTML: reports have them by the ten thousand, which a template would take long over."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache

from markupsafe import Markup, escape

from scaling.show.report.plain import plain
from scaling.show.report.sheet import Shown

UNIT_GAP = re.compile(r"(?<=\d) (?=%|(?:k?g|k?J|m?m|m/s|s|N|rpm|[AVW])\b)")
"""The gap between a number and its unit, where no line may break."""

SHORT_NAME, SHORT = 18, 20
"""Letters below which the first cell of a row, and each of the others, is not wrapped."""


def fitted(text: str) -> str:
    """Return a stranger's text on one line, with no break within a number and its unit.

    >>> fitted("at 10 mm,  5 %").replace(chr(0xA0), "_")
    'at 10_mm, 5_%'
    """
    return UNIT_GAP.sub("\u00a0", plain(text))


@lru_cache(maxsize=8192)
def _escaped(text: str) -> str:
    return str(escape(fitted(text)))


def cells(row: Iterable[Shown]) -> Markup:
    """Return the cells of a row, the first of which names it; what they say is escaped.

    >>> print(cells([Shown("a < b"), Shown("1.5", number=True, worse=True)]), end="")
    <th scope="row" class="short">a &lt; b</th>
    <td class="number worse">1.5</td>
    """
    first, *others = row
    short = ' class="short"' if len(first.text) < SHORT_NAME else ""
    lines = [f'<th scope="row"{short}>{_escaped(first.text)}</th>', *map(_cell, others), ""]
    return Markup("\n".join(lines))  # noqa: S704 - escaped above


def _cell(cell: Shown) -> str:
    if not cell.number and len(cell.text) >= SHORT:
        return f"<td>{_escaped(cell.text)}</td>"
    looks = f"{'number' if cell.number else 'short'}{' worse' if cell.worse else ''}{' faint' if cell.faint else ''}"
    return f'<td class="{looks}">{_escaped(cell.text)}</td>'
