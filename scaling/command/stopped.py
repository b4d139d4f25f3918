"""How the command ends when a signal asks it to."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps

import typer

from scaling.files.stopping import Stopped, watched

AS_STATUS = 128
"""What a shell adds to a signal's number, which makes the status of what the signal ended."""


def ends_on_signals(run: Callable[[], None]) -> Callable[[], None]:
    """Let a signal end ``run`` with one sentence and the signal's status, after everything under way is cleared up."""

    @wraps(run)
    def ended() -> None:
        try:
            with watched(held=False) as watch:
                try:
                    run()
                finally:
                    watch.heed()  # one whose exception was dropped
        except Stopped as stopped:
            typer.echo(f"scaling: stopped by {stopped}; nothing is left half written.", err=True)
            raise SystemExit(AS_STATUS + stopped.number) from None

    return ended
