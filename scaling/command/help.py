"""A verb as its help shows it: what it takes and what its flags take, in the terms of the trade."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from typer.core import TyperCommand

from scaling.command.plain import Plainly
from scaling.command.streams import without_asides

if TYPE_CHECKING:
    from collections.abc import Sequence


class Verb(Plainly, TyperCommand):
    """A command whose help names every argument by the word that it was given, and nothing by a type of Python."""

    def invoke(self, ctx: Any) -> Any:
        """Run the verb; what libraries say aside stays unsaid."""
        with without_asides():
            return super().invoke(ctx)

    def collect_usage_pieces(self, ctx: Any) -> list[str]:
        """Return the words of the line of usage."""
        return ["[OPTIONS]", *(_word(each) for each in _of(self.get_params(ctx), "argument"))]

    def get_short_help_str(self, limit: int = 45) -> str:
        """Return the verb's first sentence for the list of verbs, whole whatever the ``limit``."""
        return " ".join((self.help or "").partition("\n\n")[0].split())

    def format_options(self, ctx: Any, formatter: Any) -> None:
        """Write a line for each argument and each flag."""
        for heading, kind in (("Arguments", "argument"), ("Options", "option")):
            rows = [(_name(each), record[1]) for each in _of(self.get_params(ctx), kind)
                    if (record := each.get_help_record(ctx)) is not None]  # fmt: skip
            if rows:
                with formatter.section(heading):
                    formatter.write_dl(rows)


def _of(params: Sequence[Any], kind: str) -> list[Any]:
    return [each for each in params if each.param_type_name == kind]


def _word(param: Any) -> str:
    return str(param.metavar or param.name.upper())


def _name(param: Any) -> str:
    if param.param_type_name == "argument":
        return _word(param)
    return ", ".join(param.opts) + ("" if param.is_flag else f" {_word(param)}")
