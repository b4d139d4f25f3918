"""The command ``scaling``: its verbs together, and how it ends.

A verb is a file in ``command/verbs`` that holds the function of its name; nothing else lists it. Heavy imports wait
inside the verbs' functions, so that help comes at once.
"""

from __future__ import annotations

import gc
import os
import pkgutil
import sys
from importlib import import_module
from types import ModuleType
from typing import Annotated

import typer

from scaling.command import verbs
from scaling.command.help import Verb
from scaling.command.streams import settle_streams
from scaling.files.errors import InputError
from scaling.files.version import VERSION

RARELY = (100_000, 20, 50)
"""How seldom Python looks for cycles of what nobody needs: a run makes few, and the book alone is thousands of objects
that stay."""

app = typer.Typer(
    name="scaling",
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    help="Which scale factor, by which law, and what drifts: scaling studies for small fighting robots.",
)


def found_verbs() -> dict[str, ModuleType]:
    """Every verb's module by name, in the order of help."""
    modules = {name: import_module(f"{verbs.__name__}.{name}") for _, name, _ in pkgutil.iter_modules(verbs.__path__)}
    return dict(sorted(modules.items(), key=lambda named: (getattr(named[1], "ORDER", 1000), named[0])))


for _name, _module in found_verbs().items():
    app.command(cls=Verb, epilog=f"For example: scaling {getattr(_module, 'EXAMPLE', _name)}")(getattr(_module, _name))


def main() -> None:
    """Run the command; bad input ends with a sentence a mistake and exit status 2."""
    gc.set_threshold(*RARELY)
    settle_streams()
    try:
        try:
            app(standalone_mode=True)
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


@app.callback()
def _root(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    pass
