"""Commented starter files: a design to fill in, whole or short, and a brief."""

from __future__ import annotations

import textwrap
from pathlib import Path

from scaling.files.errors import InputError, nearest
from scaling.files.sentence import listed
from scaling.shop.materials import materials

STARTERS = Path(__file__).parent / "starter"

MATERIALS = "# MATERIALS\n"
"""The line of a starter where the names of all known materials stand."""


def starter_files(kind: str, short: bool = False) -> dict[str, str]:
    """The starter design and brief of ``kind`` by file name; raises InputError for an unknown kind.

    The ``short`` design says only what a builder can weigh, measure and read on a shop's page.
    """
    kinds = sorted(path.name.removesuffix("_design.toml") for path in STARTERS.glob("*_design.toml"))
    if kind not in kinds:
        raise InputError(
            "there is no such starter", None, "--kind", kind, f"one of {listed(kinds)}", nearest(kind, kinds)
        )
    design = f"{kind}_short.toml" if short else f"{kind}_design.toml"
    names = {"design.toml": design, "brief.toml": f"{kind}_brief.toml"}
    texts = {name: (STARTERS / source).read_text(encoding="utf-8") for name, source in names.items()}
    return {name: text.replace(MATERIALS, _materials()) for name, text in texts.items()}


def _materials() -> str:
    """The names of all known materials, as a comment."""
    said = f"Materials: {', '.join(sorted(materials()))}."
    rows = textwrap.wrap(said, 110, initial_indent="# ", subsequent_indent="#   ", break_on_hyphens=False)
    return "".join(f"{row}\n" for row in rows)
