"""Standard output and error as a run meets them: in any code page, closed, full, or with a reader who has gone."""

from __future__ import annotations

import codecs
import errno
import io
import os
import re
import sys
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, TextIO

from scaling.files.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Iterator

PLAINER = "scaling.plainer"
"""Name of the error handler that writes what a code page lacks in plainer signs."""

SIGNS = {
    "×": "x", "·": "*", "−": "-", "–": "-", "—": "-", "≤": "<=", "≥": ">=", "→": "->", "…": "...", "√": "sqrt",
    "µ": "u", "μ": "u", "Ω": "ohm", "°": "deg", "±": "+-", "≈": "~", "ω": "omega", "π": "pi", "η": "eta",
    "\N{NO-BREAK SPACE}": " ", "\N{LEFT SINGLE QUOTATION MARK}": "'", "\N{RIGHT SINGLE QUOTATION MARK}": "'",
    "\N{LEFT DOUBLE QUOTATION MARK}": '"', "\N{RIGHT DOUBLE QUOTATION MARK}": '"',
}  # fmt: skip
RAISED = dict(zip("⁰¹²³⁴⁵⁶⁷⁸⁹⁻", "0123456789-", strict=True))


def plainer(text: str) -> str:
    """Return ``text`` in ASCII: signs as they are typed, powers as ``^2``, letters without accents, else '?'."""
    from unicodedata import normalize

    powers = re.sub(f"[{''.join(RAISED)}]+", lambda run: "^" + "".join(RAISED[mark] for mark in run[0]), text)
    typed = "".join(SIGNS.get(mark, mark) for mark in powers)
    return "".join(
        mark if mark.isascii() else normalize("NFKD", mark).encode("ascii", "ignore").decode() or "?" for mark in typed
    )


def _plainer(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return plainer(error.object[error.start : error.end]), error.end


codecs.register_error(PLAINER, _plainer)


class Console(io.TextIOWrapper):
    """A standard stream that writes what its code page lacks in plainer signs, and bears that nobody reads it.

    Where the reader of one that ``ends_the_run`` has gone, the run ends there in peace; of another nothing is said.
    """

    def __init__(self, stream: TextIO, ends_the_run: bool) -> None:
        super().__init__(stream.buffer, stream.encoding, PLAINER, line_buffering=not ends_the_run or stream.isatty())
        self.ends_the_run = ends_the_run

    @property
    def encoding(self) -> str:  # type: ignore[override]
        """The code page; ASCII under a name of its own, for the library of flags writes UTF-8 where it meets it."""
        name = super().encoding
        return "plain-ascii" if codecs.lookup(name).name == "ascii" else name

    def write(self, text: str) -> int:
        """Write ``text``, or end as the reader has."""
        try:
            return super().write(text)
        except OSError as error:
            self._lost(error)
        return len(text)

    def flush(self) -> None:
        """Write what is held back, or end as the reader has."""
        try:
            super().flush()
        except OSError as error:
            self._lost(error)

    def _lost(self, error: OSError) -> None:
        os.dup2(os.open(os.devnull, os.O_WRONLY), self.fileno())  # for what is held back still
        if not self.ends_the_run:
            return
        if error.errno in (errno.EPIPE, errno.EINVAL):  # the latter is how Windows says it
            raise SystemExit(0) from None
        raise InputError(f"standard output cannot be written ({error.strerror})") from None


def settle_streams() -> None:
    """Make the process's standard streams such ones; those that somebody has replaced are left alone."""
    if None in (sys.stdin, sys.stdout, sys.stderr):  # closed: else the first file opened would take its place
        while (handle := os.open(os.devnull, os.O_RDWR)) <= 2:
            pass
        os.close(handle)
    for name in ("stdout", "stderr"):
        stream: Any = getattr(sys, name)
        if stream is None:
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: SIM115, PTH123 - open till the end
        elif stream is getattr(sys, f"__{name}__") and type(stream) is io.TextIOWrapper:
            stream.flush()
            setattr(sys, name, Console(stream, ends_the_run=name == "stdout"))


def in_any_script() -> bool:
    """Whether standard output takes every sign there is."""
    return (sys.stdout.encoding or "").casefold().startswith("utf")


def steerable(stream: TextIO) -> bool:
    """Whether ``stream`` is a terminal that control sequences steer: never a pipe, whatever FORCE_COLOR says."""
    return stream.isatty() and os.environ.get("TERM") != "dumb"


@contextmanager
def without_asides() -> Iterator[None]:
    """Keep what libraries warn of and log off standard error, unless SCALING_TRACEBACK or python -W asks for it."""
    import logging
    import warnings

    if os.environ.get("SCALING_TRACEBACK") or sys.warnoptions:
        yield
        return
    before = logging.root.manager.disable
    logging.disable(logging.CRITICAL)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield
    finally:
        logging.disable(before)
