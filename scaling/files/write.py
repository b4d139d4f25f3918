"""Writing a whole file or nothing: by way of a temporary name beside it."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from scaling.files.errors import InputError


def write_text(path: Path, text: str) -> None:
    """Write ``text`` to ``path`` by way of a temporary name; raises InputError where that fails."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=f".{path.name}-", dir=path.parent)
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
        Path(name).chmod(0o644)
        Path(name).replace(path)
    except OSError as error:
        raise InputError(f"the file cannot be written ({error.strerror})", path, hint="choose another place") from None
