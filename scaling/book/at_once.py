"""Many designs a few thousand at a time, so that a formula stays in the processor's cache and memory stays flat."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from scaling.book.entry import Array

AT_ONCE = 8000
"""Designs that are worked out at once."""

Parts = Iterator[tuple[slice, dict[str, Array]]]
"""Quantities of some designs after others: which these are, and a number each, or one where it is the same for all."""

KEPT = 31 << 20
"""Bytes of the largest block that the system's C library may be taught to keep; its own bound is 32 MB."""


def places(size: int) -> Iterator[slice]:
    """Give the places of the first of so many designs, of those that follow, and so on to the last."""
    for start in range(0, size, AT_ONCE):
        yield slice(start, min(start + AT_ONCE, size))


def keep_memory() -> None:
    """Have memory that arrays let go of kept for the next ones, where the system's C library works so.

    Glibc hands the end of its heap back to the system whenever more than a small part of it is free, and a reading of
    the book that begins with none takes a third longer, all of it spent on pages that the system clears. It raises that
    bound to twice the largest block that was ever let go of (mallopt(3), M_MMAP_THRESHOLD). This one is never touched.
    """
    np.empty(KEPT, np.uint8)
