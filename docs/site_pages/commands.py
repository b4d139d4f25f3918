"""Every verb of the command: what it does, its arguments and flags, and an example."""

from __future__ import annotations

import typer
from docutils import nodes
from docutils.parsers.rst import Directive

from scaling.command.cli import application, found_verbs
from site_pages.parts import block, code, paragraph, section, table


class CommandsDirective(Directive):
    """``.. commands::``: a section a verb, from what its help says."""

    def run(self) -> list[nodes.Node]:
        """Return the sections in the order of the command's own help."""
        group = typer.main.get_command(application())
        context = typer.Context(group, info_name="scaling")
        found = []
        for name, module in found_verbs().items():
            verb = group.get_command(context, name)
            told = [block(text) if kept else paragraph(text) for text, kept in _paragraphs(verb.help or "")]
            rows = [(None, (code(_called(each)), each.help or "")) for each in verb.params if each.name != "help"]
            example = block(f"scaling {getattr(module, 'EXAMPLE', name)}")
            found.append(section(f"scaling {name}", f"verb-{name}", *told,
                                 table(("argument or flag", "what it says"), rows), example))  # fmt: skip
        return found


def _paragraphs(text: str) -> list[tuple[str, bool]]:
    """The paragraphs of a help text, and whether the lines of each are to stay as they are."""
    found = []
    for part in text.strip().split("\n\n"):
        mark, _, rest = part.partition("\n")
        kept = mark.strip() == "\b"
        found.append((rest if kept else " ".join(part.split()), kept))
    return found


def _called(parameter: object) -> str:
    """How an argument or a flag is written."""
    options = getattr(parameter, "opts", [])
    if options and options[0].startswith("-"):
        return ", ".join(options)
    return str(getattr(parameter, "metavar", None) or getattr(parameter, "name", "")).upper()
