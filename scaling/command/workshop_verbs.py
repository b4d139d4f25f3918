"""The verbs of the workshop: window, options, mesh, outline."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from scaling.command.console import ForceFlag, JsonFlag, OutFlag, print_json, print_table, progress, wrapped
from scaling.files.errors import InputError

app = typer.Typer()


@app.command()
def window(
    path: Annotated[Path, typer.Argument(metavar="BRIEF", help="The brief.")],
    out: OutFlag = None,
    force: ForceFlag = False,
    as_json: JsonFlag = False,
) -> None:
    """Show at which factors every limit holds, what binds, and how an empty window is opened."""
    from scaling.decide import window as feasible
    from scaling.port.brief import load_brief
    from scaling.robot.design import load_design
    from scaling.show.output import check_folder
    from scaling.show.tables.choice import window_table
    from scaling.show.window_json import as_json as window_json

    brief = load_brief(path)
    design = load_design(brief.design_file)
    if out is not None and not as_json:
        check_folder(out, force)
    found = feasible.windows(design, brief)
    if as_json:
        print_json(window_json(found))
        return
    for each in found:
        print_table(window_table(each), 4)
        for line in feasible.sentences(each):
            wrapped(line, "  ")
    if brief.closure:
        wrapped(
            "The bands are of the parts as they follow the factor: the levers under [[closure]], which may bring a "
            "given length to the mass limit, are the study's.",
            "  ",
        )
    if out is not None:
        from scaling.show.figures.window import write_windows

        out.mkdir(parents=True, exist_ok=True)
        typer.echo(f"\nWritten to {out}: {', '.join(write_windows(found, design.name, out))}")


@app.command()
def options(
    path: Annotated[Path, typer.Argument(metavar="BRIEF", help="A brief with a table headed [options].")],
    top: Annotated[int, typer.Option(min=1, help="How many of the best to print.")] = 12,
    every: Annotated[bool, typer.Option("--all", help="Print every option that nothing beats as well.")] = False,
    out: Annotated[Path | None, typer.Option("-o", "--out", help="CSV file to write the options to.")] = None,
    force: ForceFlag = False,
    as_json: JsonFlag = False,
) -> None:
    """Try every combination of candidate motors, cells, ratios and materials, and rank them."""
    from scaling.decide import options as ranking
    from scaling.files.write import write_text
    from scaling.port.brief import load_brief
    from scaling.robot.design import load_design
    from scaling.show.table import as_csv
    from scaling.show.tables.choice import options_table

    brief = load_brief(path)
    design = load_design(brief.design_file)
    space = ranking.read_space(brief, design)
    if out is not None and out.exists() and not force and not as_json:
        raise InputError("the file is there already", out, "--out", hint="choose another name, or --force")
    show = progress()
    bar = (lambda done, total: show(f"{done} of {total} combinations" if done < total else "")) if show else None
    found, total = ranking.rank_options(design, brief, space, top, bar)
    if as_json:
        print_json({"tried": total, "score": ranking.SCORE, "options": [vars(option) for option in found]})
        return
    shown = found if every else found[:top]
    print_table(options_table(shown), 4)
    typer.echo(f"{total} combinations tried.")
    wrapped(ranking.SCORE[0].upper() + ranking.SCORE[1:] + ".", "  ")
    typer.echo("")
    for option in shown:
        wrapped(f"{option.rank}. {option.reason}.", "   ")
    if out is not None:
        write_text(out, as_csv(options_table(found)))
        typer.echo(f"\nWritten to {out}: {len(found)} options")


@app.command()
def mesh(
    path: Annotated[Path, typer.Argument(metavar="MESH", help="An STL, OFF, PLY or OBJ file of one part.")],
    factor: Annotated[str, typer.Option(help='Scale factor, or three along x, y and z: "1.45" or "1.45,1.45,1.5".')],
    material: Annotated[str, typer.Option(help="Material of the part.")],
    unit: Annotated[str, typer.Option(help="Unit of length of the file: mm, cm, m or in.")] = "mm",
    expected_mass: Annotated[str | None, typer.Option(help='Mass that the part should have, such as "34 g".')] = None,
    out: Annotated[Path | None, typer.Option("-o", "--out", help="File to write the scaled mesh to.")] = None,
    force: ForceFlag = False,
    as_json: JsonFlag = False,
) -> None:
    """Scale a part's mesh and print its mass, centre of gravity and inertia before and after."""
    from scaling.cad import mesh as meshes
    from scaling.robot.parts import positive
    from scaling.shop.materials import material as look_up
    from scaling.show.tables.cad import mesh_table

    factors = _factors(factor)
    density = look_up(material, None, "--material").density.typical
    expected = positive(expected_mass, "kg", path, "--expected-mass") if expected_mass is not None else None
    own = meshes.read_mesh(path, unit)
    scaled = meshes.scale_mesh(own, factors)
    before, after = (meshes.mass_properties(each, density) for each in (own, scaled))
    warnings = meshes.mesh_warnings(own, expected_mass=expected, density=density if expected else None)
    if as_json:
        print_json({"reference": vars(before), "scaled": vars(after), "warnings": warnings})
        return
    print_table(mesh_table(path.name, before, after), 4)
    for warning in warnings:
        wrapped(f"Doubtful: {warning}.", "  ")
    if out is not None:
        meshes.write_mesh(scaled, out, unit, force)
        typer.echo(f"\nWritten to {out}, in {unit}")


def _factors(text: str) -> float | tuple[float, ...]:
    from scaling.files.units import parse

    values = tuple(parse(each, "1", None, "--factor") for each in text.split(","))
    if len(values) not in (1, 3) or min(values) <= 0:
        raise InputError("this is not a scale", None, "--factor", text, "one number above zero, or three")
    return values[0] if len(values) == 1 else values


@app.command()
def outline(
    path: Annotated[Path, typer.Argument(metavar="DXF", help="A DXF drawing of one flat part.")],
    factor: Annotated[str | None, typer.Option(help="Scale factor; or give a brief.")] = None,
    hole: Annotated[
        list[str] | None, typer.Option(help='Hole to re-cut, old and new diameter: "3.4 mm=5.5 mm"; may be repeated.')
    ] = None,
    brief: Annotated[
        Path | None, typer.Option(help="Brief whose first port gives the factor and, by its fasteners, the holes.")
    ] = None,
    out: Annotated[Path | None, typer.Option("-o", "--out", help="File to write the scaled drawing to.")] = None,
    force: ForceFlag = False,
    as_json: JsonFlag = False,
) -> None:
    """Scale a drawing's profile and re-cut its holes to the fasteners that the port needs."""
    from scaling.cad import outline as drawings
    from scaling.show.tables.cad import changes_table, outline_table

    if (factor is None) == (brief is None):
        raise InputError("the drawing needs one factor", path, "--factor", allowed="either --factor or --brief")
    given, holes = (_factors(factor or ""), {}) if brief is None else _port_holes(brief)
    if not isinstance(given, float):
        raise InputError("a drawing has one factor", path, "--factor", factor, "one number above zero")
    holes |= dict(_hole(text) for text in hole or [])
    if out is None or as_json:
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
    typer.echo(f"\nWritten to {out}")


def _hole(text: str) -> tuple[float, float]:
    from scaling.robot.parts import positive

    old, _, new = text.partition("=")
    return positive(old, "m", Path(), "--hole"), positive(new, "m", Path(), "--hole")


def _port_holes(path: Path) -> tuple[float, dict[float, float]]:
    """Factor of a brief's first port, and its fasteners' clearance holes: reference to port."""
    from scaling.port.brief import load_brief
    from scaling.robot.design import load_design
    from scaling.shop import stock
    from scaling.study.fasteners import fastener_lines
    from scaling.study.run import run_study

    found = run_study(load_design((brief := load_brief(path)).design_file), brief, progress())
    port = next((port for port in found.ports if port.factor is not None), None)
    if port is None or port.factor is None:
        raise InputError("no port of the brief has a factor", path)
    holes: dict[float, float] = {}
    for fastener, line in zip(found.design.fasteners, fastener_lines(found, port), strict=True):
        old = stock.bolt(fastener.size).clearance_medium
        if line.hole is not None:
            holes[old] = max(line.hole, holes.get(old, 0.0))
    return port.factor, holes


def _plain(found: Any) -> dict[str, Any]:
    from dataclasses import asdict

    return asdict(found)
