"""Commented starter files: a design to fill in and a brief."""

from __future__ import annotations

from pathlib import Path

from scaling.files.errors import InputError, nearest

STARTERS = Path(__file__).parent / "starter"


def starter_files(kind: str) -> dict[str, str]:
    """The starter design and brief of ``kind`` by file name; raises InputError for an unknown kind."""
    kinds = sorted(path.name.removesuffix("_design.toml") for path in STARTERS.glob("*_design.toml"))
    if kind not in kinds:
        raise InputError(
            "there is no such starter", None, "--kind", kind, f"one of {', '.join(kinds)}", nearest(kind, kinds)
        )
    return {name: (STARTERS / f"{kind}_{name}").read_text(encoding="utf-8") for name in ("design.toml", "brief.toml")}
