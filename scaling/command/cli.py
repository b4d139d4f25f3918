"""The command ``scaling``: its verbs together, and how it ends.

A verb is a file in ``command/verbs`` that holds the function of its name; nothing else lists it. Heavy imports wait
inside the verbs' functions, so that help comes at once.
"""

from __future__ import annotations

import atexit
import gc
import os
import pkgutil
import sys
from collections.abc import Sequence
from importlib import import_module
from types import ModuleType
from typing import Annotated

import typer

from scaling.command import verbs
from scaling.command.help import Verb
from scaling.command.plain import Verbs
from scaling.command.stopped import ends_on_signals
from scaling.command.streams import settle_streams
from scaling.files.errors import InputError
from scaling.files.version import VERSION

RARELY = (100_000, 20, 50)
"""How seldom Python looks for cycles of what nobody needs: a run makes few, and the book alone is thousands of objects
that stay."""


def verb_names() -> list[str]:
    """The name of every verb, in the alphabet's order."""
    return sorted(name for _, name, _ in pkgutil.iter_modules(verbs.__path__))


def found_verbs(names: Sequence[str] | None = None) -> dict[str, ModuleType]:
    """The modules of some verbs by name, all without ``names``, in the order of help."""
    modules = {name: import_module(f"{verbs.__name__}.{name}") for name in names or verb_names()}
    return dict(sorted(modules.items(), key=lambda named: (getattr(named[1], "ORDER", 1000), named[0])))


def application(names: Sequence[str] | None = None) -> typer.Typer:
    """Return the command with some of its verbs, with all of them without ``names``."""
    made = typer.Typer(
        name="scaling",
        cls=Verbs,
        add_completion=False,
        no_args_is_help=True,
        pretty_exceptions_enable=False,
        rich_markup_mode=None,
        help="Which scale factor, by which law, and what drifts: scaling studies for small fighting robots.",
    )
    made.callback()(_root)
    for name, module in found_verbs(names).items():
        made.command(cls=Verb, epilog=f"For example: scaling {getattr(module, 'EXAMPLE', name)}")(getattr(module, name))
    return made


def _asked() -> list[str] | None:
    """The verb that the first word names, which alone need be loaded; None where help or a mistake needs them all."""
    name = sys.argv[1].replace("-", "_") if len(sys.argv) > 1 else ""
    return [name] if name in verb_names() else None


@ends_on_signals
def main() -> None:
    """Run the command; bad input ends with a sentence a mistake and exit status 2."""
    gc.set_threshold(*RARELY)
    atexit.register(gc.freeze)  # nor is it searched for cycles when all of it goes
    settle_streams()
    try:
        try:
            application(_asked())(standalone_mode=True)
        finally:
            sys.stdout.flush()
    except InputError as error:
        for line in error.lines():
            print(f"scaling: {line}", file=sys.stderr)
        raise SystemExit(2) from None
    except Exception as error:
        if os.environ.get("SCALING_TRACEBACK"):
            raise
        print(f"scaling: unforeseen {type(error).__name__}: {error} (SCALING_TRACEBACK=1 shows where)", file=sys.stderr)
        raise SystemExit(1) from None


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"scaling {VERSION}")
        raise typer.Exit


def _root(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    pass
