"""The explorer as a part of a page: markup, style, and a script that begins with its data."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from string import Template

from markupsafe import Markup

from scaling.files.json_text import json_text
from scaling.show.explorer.grid import grid_of
from scaling.show.explorer.packed import packed
from scaling.study.results import Study

HERE = Path(__file__).parent


@dataclass(frozen=True)
class Explorer:
    """What a page takes in: ``markup`` for its body, ``style`` for a style element, ``script`` for a script element.

    The script begins with the data. All three are empty where there is nothing to try.
    """

    markup: str = ""
    style: str = ""
    script: str = ""


def explorer_of(study: Study) -> Explorer:
    """Return the explorer of a study, an empty one where no port has a factor."""
    grid = grid_of(study)
    if grid is None:
        return Explorer()
    data = json_text(packed(grid), separators=(",", ":"))
    # Within a script element only its end tag and the start of a comment mean anything: both begin with this mark.
    data = re.sub(r"(?<=\d) (?=%)", r"\\u00a0", data.replace("<", "\\u003c"))
    box = " Dotted: the class's box." if study.brief.size_limit else ""
    markup = Template(_own("explorer.html")).substitute(factors=len(grid.factors), box=box)
    script = "\n".join([f"const explorerData = {data};", _own("outlines.js"), _own("explorer.js")])
    return Explorer(Markup(markup), _own("explorer.css"), script)  # noqa: S704 - our own file


@cache
def _own(name: str) -> str:
    return (HERE / name).read_text(encoding="utf-8")
