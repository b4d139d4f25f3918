"""What is needed to repeat a study: the command, the files that were read with their hashes, and the version."""

from __future__ import annotations

import hashlib
import os
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from scaling.show.report.title_block import grams
from scaling.study.results import Study


@dataclass(frozen=True)
class Given:
    """A file that a study was made from, as it is named in the command or in another file, and its SHA-256."""

    name: str
    digest: str


def given_files(study: Study) -> tuple[Given, ...]:
    """The brief, the designs, and every file that they name, each once."""
    first = [study.brief.file, study.design.file, *(port.machine.file for port in study.ports if port.machine)]
    base = study.design.file.parent if study.brief.file is None else study.brief.file.parent
    found: dict[Path, Given] = {}
    for path in first:
        if path is None:
            continue
        for each, name in ((path, _from(base, path)), *_named_in(path)):
            known = each.resolve()
            if known not in found and (digest := _digest(each)) is not None:
                found[known] = Given(name, digest)
    return tuple(found.values())


def _from(base: Path, path: Path) -> str:
    """A file's path as it is written from the folder of the first file."""
    try:
        return Path(os.path.relpath(path, base)).as_posix()
    except ValueError:  # another drive
        return path.name


def _named_in(path: Path) -> Iterator[tuple[Path, str]]:
    """Files beside a TOML file that any of its values names."""
    try:
        tables = tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except (OSError, ValueError):  # taken away since it was read
        return
    for text in _texts(tables):
        if Path(text).suffix and (path.parent / text).is_file():
            yield path.parent / text, text


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        if len(value) < 200 and "\0" not in value:
            yield value
    elif isinstance(value, dict | list):
        for each in value.values() if isinstance(value, dict) else value:
            yield from _texts(each)


def _digest(path: Path) -> str | None:
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except OSError:
        return None


def command_of(study: Study) -> str:
    """The command that makes this study again, run beside its files."""
    if study.compares:
        base = study.design.file.parent
        machines = [_from(base, port.machine.file) for port in study.ports if port.machine is not None]
        by = study.ports[0].request.key
        flags = ["--by", by] if by not in (None, "length") else []
        return " ".join(["scaling compare", study.design.file.name, *machines, *flags, "-o FOLDER"])
    if study.brief.file is not None:
        return f"scaling study {study.brief.file.name} -o FOLDER"
    limit = f'--mass "{grams(study.brief.mass_limit)}"'
    return f"scaling study {study.design.file.name} {limit} -o FOLDER, with the flags of the first run"
