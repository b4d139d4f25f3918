"""One port of a brief, without working out the others that the brief asks for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from scaling.decide.whole import whole_study
from scaling.files.errors import InputError
from scaling.port.asked import Brief
from scaling.robot.design import Design
from scaling.study.results import Study, port_letters
from scaling.study.run import agreed, requests_of


def one_port(
    design: Design, brief: Brief, letter: str | None = None, progress: Callable[[str], None] | None = None
) -> Study:
    """Return a study of one port: that of a ``letter``, or the first that has a factor.

    Raises InputError where the brief does not fit the design, and where there is no such port or it has no factor.
    """
    agreed(design, brief)
    alone = [replace(brief, requests=(request,), drawn=None) for request in requests_of(brief, design)]
    if brief.drawn is not None:
        alone.append(replace(brief, requests=()))
    letters = port_letters(len(alone))
    if letter is not None and letter not in letters:
        raise InputError("the brief has no such port", brief.file, "--port", letter, ", ".join(letters))
    for name, asked in zip(letters, alone, strict=True):
        if letter in (None, name):
            found = whole_study(design, asked, progress)
            if found.ports[0].factor is not None:
                return found
    raise InputError(
        "no port of the brief has a factor" if letter is None else "this port has no factor", brief.file,
        None if letter is None else "--port", letter,
    )
