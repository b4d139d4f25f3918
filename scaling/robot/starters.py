"""Commented starter files: a design to fill in, whole or short, and a brief."""

from __future__ import annotations

from pathlib import Path

from scaling.files.errors import InputError, nearest

STARTERS = Path(__file__).parent / "starter"


def starter_files(kind: str, short: bool = False) -> dict[str, str]:
    """The starter design and brief of ``kind`` by file name; raises InputError for an unknown kind.

    The ``short`` design says only what a builder can weigh, measure and read on a shop's page.
    """
    kinds = sorted(path.name.removesuffix("_design.toml") for path in STARTERS.glob("*_design.toml"))
    if kind not in kinds:
        raise InputError(
            "there is no such starter", None, "--kind", kind, f"one of {', '.join(kinds)}", nearest(kind, kinds)
        )
    design = f"{kind}_short.toml" if short else f"{kind}_design.toml"
    names = {"design.toml": design, "brief.toml": f"{kind}_brief.toml"}
    return {name: (STARTERS / source).read_text(encoding="utf-8") for name, source in names.items()}
