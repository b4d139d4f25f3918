"""What a command prints, run while the site is built."""

from __future__ import annotations

import contextlib
import io
import os
import shlex
import sys

from docutils import nodes
from docutils.parsers.rst import Directive

from scaling.command.cli import main
from site_pages.parts import ROOT, block


class ShownDirective(Directive):
    """``.. shown:: ARGUMENTS``: the line that calls ``scaling``, and what it prints in the repository's folder."""

    required_arguments = 1
    final_argument_whitespace = True

    def run(self) -> list[nodes.Node]:
        """Return the line and the output; a command that fails fails the build."""
        out, before, folder = io.StringIO(), sys.argv, os.getcwd()  # noqa: PTH109 - to go back to
        sys.argv = ["scaling", *shlex.split(self.arguments[0])]
        os.chdir(ROOT)
        try:
            with contextlib.redirect_stdout(out):
                main()
        except SystemExit as end:
            if end.code:
                raise self.error(f"scaling {self.arguments[0]} ended with {end.code}") from None
        finally:
            sys.argv = before
            os.chdir(folder)
        return [block(f"$ scaling {self.arguments[0]}\n{out.getvalue().rstrip()}")]
