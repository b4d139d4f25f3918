"""The works that a design, a study or a written ``study.json`` rests on, as people read them."""

from __future__ import annotations

import json
from dataclasses import fields
from pathlib import Path
from typing import Any

from scaling.book.sources import STATED, STATUSES, Use, worst_first
from scaling.files.bounds import BOUNDS
from scaling.files.errors import InputError
from scaling.files.folder import restore
from scaling.files.opener import is_directory
from scaling.files.text import read_text
from scaling.formulas import book

WRITTEN = "a study.json that scaling study wrote"


def uses_of(path: Path) -> list[Use]:
    """Return the works that ``path`` rests on: a brief, a design, a ``study.json`` or the folder that holds one.

    Raises InputError for what is none of these.
    """
    is_study = path.suffix == ".json"
    restore(path.parent if is_study else path)
    is_folder = is_directory(path)
    if is_folder or is_study:
        return _written(path / "study.json" if is_folder else path)
    from scaling.decide.whole import whole_study
    from scaling.port.brief import load_both
    from scaling.study.used import works_of_design, works_of_study

    design, brief = load_both(path)
    return works_of_design(design) if brief is None else works_of_study(whole_study(design, brief))


def _written(path: Path) -> list[Use]:
    text = read_text(path, BOUNDS["study file"], WRITTEN)
    try:
        data = json.loads(text)
    except (ValueError, RecursionError):
        raise InputError("the file is not JSON", path, allowed=WRITTEN) from None
    rows = data.get("sources") if isinstance(data, dict) else None
    if not isinstance(rows, list):
        raise InputError("the study does not say its sources", path, "sources", hint="let scaling study write it again")
    return worst_first(_use(row, path, f"sources[{place}]") for place, row in enumerate(rows))


def _use(row: Any, file: Path, key: str) -> Use:
    if isinstance(row, dict) and set(row) == {field.name for field in fields(Use)}:
        places, names = row["places"], row["quantities"]
        if row["status"] in (*STATUSES, STATED) and isinstance(places, list) and isinstance(names, list):
            texts = [row["key"], row["text"], *places, *names]
            # They will be printed, and must not steer the terminal.
            if all(isinstance(text, str) and text.isprintable() for text in texts):
                return Use(row["key"], row["text"], row["status"], tuple(places), tuple(names))
    raise InputError("this is not a source", file, key, hint="let scaling study write it again")


def heading(status: str) -> str:
    """Return what the works of one status stand under."""
    return f"{status.capitalize()}: {STATUSES[status]}" if status in STATUSES else status.capitalize()


def line(use: Use) -> str:
    """Return a work with its places and the labels of what rests on it."""
    places = f", {'; '.join(use.places)}" if use.places else ""
    known = [book.quantities[name].label if name in book.quantities else name for name in use.quantities]
    return f"{use.text}{places} ({len(known)}): {', '.join(known)}"
