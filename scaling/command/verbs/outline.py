"""The verb ``outline``: scale a drawing and re-cut its holes."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from scaling.command.console import ForceFlag, JsonFlag, print_json, print_table, progress, say
from scaling.command.flags import check_writing, scale_factors
from scaling.files.errors import InputError

ORDER = 100
EXAMPLE = 'outline top_plate.dxf --factor 1.45 --hole "3.4 mm=5.5 mm"'


def outline(
    path: Annotated[Path, typer.Argument(metavar="DXF", help="A DXF drawing of one flat part.")],
    factor: Annotated[str | None, typer.Option(metavar="FACTOR", help="Scale factor; or give a brief.")] = None,
    hole: Annotated[
        list[str] | None,
        typer.Option(metavar="OLD=NEW", help='Hole to re-cut, old and new diameter: "3.4 mm=5.5 mm"; may be repeated.'),
    ] = None,
    brief: Annotated[
        Path | None,
        typer.Option(metavar="BRIEF", help="Brief whose port gives the factor and, by its fasteners, the holes."),
    ] = None,
    port: Annotated[
        str | None,
        typer.Option(metavar="LETTER", help="The brief's port by its letter. Default: the first that has a factor."),
    ] = None,
    out: Annotated[
        Path | None, typer.Option("-o", "--out", metavar="DXF", help="File to write the scaled drawing to.")
    ] = None,
    force: ForceFlag = False,
    as_json: JsonFlag = False,
) -> None:
    """Scale a drawing's profile and re-cut its holes to the fasteners that the port needs."""
    from scaling.cad import outline as drawings
    from scaling.show.tables.cad import changes_table, outline_table

    check_writing(out, force, as_json)
    if (factor is None) == (brief is None):
        raise InputError("the drawing needs one factor", path, "--factor", allowed="either --factor or --brief")
    if port is not None and brief is None:
        raise InputError("a port is one of a brief's", path, "--port", port, "--brief as well")
    given, holes = (scale_factors(factor or ""), {}) if brief is None else _port_holes(brief, port)
    if not isinstance(given, float):
        raise InputError("a drawing has one factor", path, "--factor", factor, "one number above zero")
    holes |= dict(_hole(text) for text in hole or [])
    if out is None:
        found = drawings.read_outline(path)
        if as_json:
            print_json(
                {"factor": given, "holes": {f"{old:.6g}": new for old, new in holes.items()}, "drawing": _plain(found)}
            )
            return
        print_table(outline_table(path.name, found, given, holes), 4)
        return
    changes = drawings.rescale_outline(path, out, given, holes, force)
    print_table(changes_table(changes), 4)
    say(f"\nWritten to {out}")


def _hole(text: str) -> tuple[float, float]:
    from scaling.robot.parts import positive

    old, between, new = text.partition("=")
    if not between:
        raise InputError("this is no pair of diameters", None, "--hole", text, 'old and new: "3.4 mm=5.5 mm"')
    return positive(old, "m", None, "--hole"), positive(new, "m", None, "--hole")


def _port_holes(path: Path, letter: str | None) -> tuple[float | None, dict[float, float]]:
    """Factor of a brief's port, and its fasteners' clearance holes: reference to port."""
    from scaling.decide.one_port import one_port
    from scaling.port.brief import load_brief
    from scaling.robot.design import load_design
    from scaling.study.fasteners import fastener_lines

    brief = load_brief(path)
    found = one_port(load_design(brief.design_file), brief, letter, progress())
    (port,) = found.ports
    holes: dict[float, float] = {}
    for fastener, line in zip(found.design.fasteners, fastener_lines(found, port), strict=True):
        old = found.design.shelves.bolt(fastener.size).clearance_medium
        if line.hole is not None:
            holes[old] = max(line.hole, holes.get(old, 0.0))
    return port.factor, holes


def _plain(found: Any) -> dict[str, Any]:
    from dataclasses import asdict

    return asdict(found)
