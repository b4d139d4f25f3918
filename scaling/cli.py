"""The command ``scaling``: reads arguments, calls the rest, prints. Heavy imports wait inside the verbs."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from scaling import __version__
from scaling.errors import InputError

if TYPE_CHECKING:
    from scaling.brief import Brief
    from scaling.study import Study
    from scaling.tables import Table

app = typer.Typer(
    name="scaling",
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    help="Which scale factor, by which law, and what drifts: scaling studies for small fighting robots.",
)

JsonFlag = Annotated[bool, typer.Option("--json", help="Print the result as JSON to standard output; write nothing.")]
OutFlag = Annotated[Path | None, typer.Option("-o", "--out", help="Folder to write the study to.")]
ForceFlag = Annotated[bool, typer.Option("--force", help="Write even where files would be replaced.")]


def main() -> None:
    """Run the command; bad input ends with one sentence and exit status 2."""
    try:
        app(standalone_mode=True)
    except InputError as error:
        print(f"scaling: {error}", file=sys.stderr)
        raise SystemExit(2) from None
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise SystemExit(0) from None
    except Exception as error:
        if os.environ.get("SCALING_TRACEBACK"):
            raise
        print(f"scaling: unforeseen {type(error).__name__}: {error} (SCALING_TRACEBACK=1 shows where)", file=sys.stderr)
        raise SystemExit(1) from None


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"scaling {__version__}")
        raise typer.Exit


@app.callback()
def _root(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    pass


@app.command()
def study(
    path: Annotated[Path, typer.Argument(metavar="BRIEF_OR_DESIGN", help="A brief, or a design with --mass.")],
    mass: Annotated[str | None, typer.Option(help='Mass limit, such as "1.36 kg"; tries the mass law.')] = None,
    margin: Annotated[str, typer.Option(help="Builder's mass margin under the limit.")] = "0 g",
    length: Annotated[
        str | None, typer.Option(help='Length of the port, such as "240 mm"; tries the length law.')
    ] = None,
    motor_diameter: Annotated[
        str | None, typer.Option(help="Diameter of the port's motor; tries the motor-diameter law.")
    ] = None,
    speed_rule: Annotated[
        list[str] | None, typer.Option(help="Speed rule to try; may be repeated. Default hold-tip-speed.")
    ] = None,
    drive_rule: Annotated[
        str, typer.Option(help="Drive rule: as-bought, hold-speed or gravity-similar.")
    ] = "as-bought",
    clock: Annotated[str, typer.Option(help="Whose time counts in the printed drift: gravity or driver.")] = "gravity",
    every: Annotated[bool, typer.Option("--all", help="Print the drift of every quantity, by branch.")] = False,
    out: OutFlag = None,
    force: ForceFlag = False,
    as_json: JsonFlag = False,
) -> None:
    """Carry a reference to a heavier class by each law and show what drifts."""
    from scaling import study as studies
    from scaling.brief import is_brief, load_brief
    from scaling.design import load_design

    flags = {"--mass": mass, "--length": length, "--motor-diameter": motor_diameter}
    if clock not in ("gravity", "driver"):
        raise InputError("this clock is not known", None, "--clock", clock, "gravity or driver")
    if is_brief(path):
        for name, value in flags.items():
            if value is not None:
                raise InputError("the brief says this already", path, name, value, hint="leave the flag out")
        brief = load_brief(path)
    else:
        brief = _brief_of_flags(
            path, mass, margin, length, motor_diameter, speed_rule or ["hold-tip-speed"], drive_rule
        )
    if out is not None and not as_json:
        from scaling.output import check_folder

        check_folder(out, force)
    found = studies.run_study(load_design(brief.design_file), brief, _progress())
    if as_json:
        _print_json(studies.as_json(found))
        return
    written: list[str] = []
    if out is not None:  # before the printing, which a closed pipe may end early
        from scaling.output import write_study

        written = write_study(found, out, force, _progress())
    _print_study(found, clock, every)
    if written:
        typer.echo(f"\nWritten to {out}: {', '.join(written)}")


def _brief_of_flags(
    path: Path,
    mass: str | None,
    margin: str,
    length: str | None,
    motor_diameter: str | None,
    rules: list[str],
    drive: str,
) -> Brief:
    """The brief that the flags of ``scaling study DESIGN.toml`` amount to."""
    from scaling.brief import Brief, LawRequest
    from scaling.laws import DRIVE_RULES, SPEED_RULES
    from scaling.parts import positive
    from scaling.units import parse

    if mass is None:
        raise InputError(
            "a design without a brief needs its target", path, "--mass", allowed='such as --mass "1.36 kg"'
        )
    for flag, rule, known in [
        *(("--speed-rule", rule, SPEED_RULES) for rule in rules),
        ("--drive-rule", drive, DRIVE_RULES),
    ]:
        if rule not in known:
            raise InputError("this rule is not known", None, flag, rule, f"one of {', '.join(known)}")
    limit = positive(mass, "kg", path, "--mass")
    spare = parse(margin, "kg", path, "--margin")
    if not 0 <= spare < limit:
        raise InputError("the margin cannot be this", path, "--margin", margin, "from zero to less than --mass")
    laws: list[tuple[str, float | None]] = [("mass", None)]
    if length is not None:
        laws.append(("length", positive(length, "m", path, "--length")))
    if motor_diameter is not None:
        laws.append(("motor-diameter", positive(motor_diameter, "m", path, "--motor-diameter")))
    requests = tuple(LawRequest(law, rule, drive, None, target) for law, target in laws for rule in rules)
    return Brief(path.stem, path, None, limit, spare, requests)


def _print_study(found: Study, clock: str, every: bool) -> None:
    from scaling.tables import drift_table, laws_table, problems_table, worst_first
    from scaling.verdicts import cautions, verdict

    design, brief = found.design, found.brief
    from scaling.units import format_value

    _title(
        f"{design.name}: {format_value(design.variables['mass'], 'kg', 4)} to a limit of "
        f"{format_value(brief.mass_limit, 'kg', 4)}, margin {format_value(brief.mass_margin, 'kg', 3)}"
    )
    _print_table(laws_table(found), 4)
    order = worst_first(found, clock)
    if every:
        from scaling.formulas.book import BRANCHES, quantities

        for branch in BRANCHES:
            names = [name for name in order if quantities()[name].branch == branch]
            if names:
                _print_table(drift_table(found, names, clock))
    else:
        _print_table(drift_table(found, order[:10], clock))
        typer.echo(f"The ten of {len(order)} quantities that drift most; --all prints the rest.")
    _title("What each port gives up")
    for port in found.ports:
        _wrapped(f"- {verdict(port)}", "  ")
    if problems_table(found).rows:
        _print_table(problems_table(found, brief=not every))
    for note in design.notes:
        _wrapped(f"Noted: {note}.", "  ")
    _title("Cautions")
    for line in cautions(found):
        _wrapped(f"- {line}", "  ")


@app.command()
def check(
    paths: Annotated[list[Path], typer.Argument(metavar="FILE...", help="Design files and briefs.")],
    as_json: JsonFlag = False,
) -> None:
    """Validate design files and briefs and print each reference's own numbers."""
    from scaling.brief import is_brief, load_brief
    from scaling.design import load_design
    from scaling.port import law_factor, port_parts
    from scaling.study import reference_values, requests_of
    from scaling.tables import reference_table

    results: list[dict[str, Any]] = []
    for path in paths:
        brief = load_brief(path) if is_brief(path) else None
        design = load_design(brief.design_file if brief else path)
        if brief is not None:
            parts = port_parts(design, brief)
            for request in requests_of(brief, design):
                law_factor(design, brief, request, parts)
        values = reference_values(design)
        results.append(
            {
                "file": str(path),
                "name": design.name,
                "variables": design.variables,
                "quantities": values,
                "notes": list(design.notes),
            }
        )
        if not as_json:
            _title(f"{path}: {design.name}, {'a brief and its design' if brief else 'a design'}, no mistakes found")
            _print_table(reference_table(design, values))
            for note in design.notes:
                _wrapped(f"Noted: {note}.", "  ")
    if as_json:
        _print_json(results)


@app.command()
def init(
    folder: Annotated[Path, typer.Argument(help="Folder for design.toml and brief.toml.")] = Path(),
    kind: Annotated[str, typer.Option(help="Which starter: spinner (with a rotor) or pusher.")] = "spinner",
    force: ForceFlag = False,
    as_json: JsonFlag = False,
) -> None:
    """Write commented starter files: a design to fill in and a brief."""
    from scaling.output import starter_files, write_text

    files = starter_files(kind)
    if as_json:
        _print_json(files)
        return
    for name in files:
        if (folder / name).exists() and not force:
            raise InputError("the file is there already", folder / name, hint="choose another folder, or --force")
    for name, text in files.items():
        write_text(folder / name, text)
        typer.echo(f"Written: {folder / name}")
    typer.echo(f"Fill in design.toml, then: scaling check {folder / 'design.toml'} {folder / 'brief.toml'}")


@app.command()
def laws(
    drive_rule: Annotated[
        str, typer.Option(help="Drive rule: as-bought, hold-speed or gravity-similar.")
    ] = "as-bought",
    as_json: JsonFlag = False,
) -> None:
    """Print the laws, the rules and the exact exponents of a pure law, all parts solid and of one density."""
    from scaling.laws import DRIVE_RULES, LAWS, SIMILAR_MACHINE, SPEED_RULES
    from scaling.tables import exponents_table, pure_exponents

    if drive_rule not in DRIVE_RULES:
        raise InputError("this rule is not known", None, "--drive-rule", drive_rule, f"one of {', '.join(DRIVE_RULES)}")
    found = pure_exponents(drive_rule)
    if as_json:
        texts = {rule: {name: str(power) for name, power in row.items()} for rule, row in found.items()}
        _print_json({"drive_rule": drive_rule, "speed_rules": texts})
        return
    for title, rows in (("Laws", LAWS), ("Speed rules", SPEED_RULES), ("Drive rules", DRIVE_RULES)):
        _title(title)
        for name, text in rows.items():
            _wrapped(f"{name}: {text}.", "  ")
    typer.echo("")
    _wrapped(SIMILAR_MACHINE, "")
    _print_table(exponents_table(found))


@app.command()
def groups(
    path: Annotated[
        Path | None,
        typer.Argument(metavar="[BRIEF_OR_DESIGN]", help="Show values of this design, or of a brief's ports."),
    ] = None,
    as_json: JsonFlag = False,
) -> None:
    """Print the dimensionless groups of each stated set, with values where a design is given."""
    from scaling.tables import design_groups_table, groups_json, groups_table, sets_table

    if path is None:
        table = sets_table()
    else:
        from scaling.brief import is_brief, load_brief
        from scaling.design import load_design
        from scaling.study import run_study

        if is_brief(path):
            brief = load_brief(path)
            table = groups_table(run_study(load_design(brief.design_file), brief, _progress()))
        else:
            table = design_groups_table(load_design(path))
    if as_json:
        _print_json(groups_json(table))
        return
    _print_table(table, 4)


@app.command()
def explain(
    quantity: Annotated[str, typer.Argument(metavar="QUANTITY", help="Name of a quantity, such as gyro_margin.")],
    path: Annotated[Path | None, typer.Argument(metavar="[DESIGN]", help="Design file whose numbers to show.")] = None,
    as_json: JsonFlag = False,
) -> None:
    """Print a quantity's formula, inputs, exponents, source, assumptions and range."""
    from scaling import explain as explaining
    from scaling.design import load_design

    found = explaining.explain(quantity, load_design(path) if path is not None else None)
    if as_json:
        powers = {rule: None if power is None else str(power) for rule, power in found.exponents.items()}
        _print_json({**vars(found), "inputs": [vars(row) for row in found.inputs], "exponents": powers})
        return
    for line in explaining.lines(found):
        _wrapped(line, "    ")


@app.command()
def window(
    path: Annotated[Path, typer.Argument(metavar="BRIEF", help="The brief.")],
    out: OutFlag = None,
    force: ForceFlag = False,
    as_json: JsonFlag = False,
) -> None:
    """Show at which factors every limit holds, what binds, and how an empty window is opened."""
    from scaling import window as feasible
    from scaling.brief import load_brief
    from scaling.design import load_design
    from scaling.output import check_folder
    from scaling.tables import window_table

    brief = load_brief(path)
    design = load_design(brief.design_file)
    if out is not None and not as_json:
        check_folder(out, force)
    found = feasible.windows(design, brief)
    if as_json:
        _print_json(feasible.as_json(found))
        return
    for each in found:
        _print_table(window_table(each), 4)
        for line in feasible.sentences(each):
            _wrapped(line, "  ")
    if out is not None:
        from scaling.window_figure import write_windows

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
    from scaling import options as ranking
    from scaling.brief import load_brief
    from scaling.design import load_design
    from scaling.output import write_text
    from scaling.tables import as_csv, options_table

    brief = load_brief(path)
    design = load_design(brief.design_file)
    space = ranking.read_space(brief, design)
    if out is not None and out.exists() and not force and not as_json:
        raise InputError("the file is there already", out, "--out", hint="choose another name, or --force")
    show = _progress()
    bar = (lambda done, total: show(f"{done} of {total} combinations" if done < total else "")) if show else None
    found, total = ranking.rank_options(design, brief, space, top, bar)
    if as_json:
        _print_json({"tried": total, "score": ranking.SCORE, "options": [vars(option) for option in found]})
        return
    shown = found if every else found[:top]
    _print_table(options_table(shown), 4)
    typer.echo(f"{total} combinations tried.")
    _wrapped(ranking.SCORE[0].upper() + ranking.SCORE[1:] + ".", "  ")
    typer.echo("")
    for option in shown:
        _wrapped(f"{option.rank}. {option.reason}.", "   ")
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
    from scaling import mesh as meshes
    from scaling.materials import material as look_up
    from scaling.parts import positive
    from scaling.tables import mesh_table

    factors = _factors(factor)
    density = look_up(material, None, "--material").density.typical
    expected = positive(expected_mass, "kg", path, "--expected-mass") if expected_mass is not None else None
    own = meshes.read_mesh(path, unit)
    scaled = meshes.scale_mesh(own, factors)
    before, after = (meshes.mass_properties(each, density) for each in (own, scaled))
    warnings = meshes.mesh_warnings(own, expected_mass=expected, density=density if expected else None)
    if as_json:
        _print_json({"reference": vars(before), "scaled": vars(after), "warnings": warnings})
        return
    _print_table(mesh_table(path.name, before, after), 4)
    for warning in warnings:
        _wrapped(f"Doubtful: {warning}.", "  ")
    if out is not None:
        meshes.write_mesh(scaled, out, unit, force)
        typer.echo(f"\nWritten to {out}, in {unit}")


def _factors(text: str) -> float | tuple[float, ...]:
    from scaling.units import parse

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
    from scaling import outline as drawings
    from scaling.tables import changes_table, outline_table

    if (factor is None) == (brief is None):
        raise InputError("the drawing needs one factor", path, "--factor", allowed="either --factor or --brief")
    given, holes = (_factors(factor or ""), {}) if brief is None else _port_holes(brief)
    if not isinstance(given, float):
        raise InputError("a drawing has one factor", path, "--factor", factor, "one number above zero")
    holes |= dict(_hole(text) for text in hole or [])
    if out is None or as_json:
        found = drawings.read_outline(path)
        if as_json:
            _print_json(
                {"factor": given, "holes": {f"{old:.6g}": new for old, new in holes.items()}, "drawing": _plain(found)}
            )
            return
        _print_table(outline_table(path.name, found, given, holes), 4)
        return
    changes = drawings.rescale_outline(path, out, given, holes, force)
    _print_table(changes_table(changes), 4)
    typer.echo(f"\nWritten to {out}")


def _hole(text: str) -> tuple[float, float]:
    from scaling.parts import positive

    old, _, new = text.partition("=")
    return positive(old, "m", Path(), "--hole"), positive(new, "m", Path(), "--hole")


def _port_holes(path: Path) -> tuple[float, dict[float, float]]:
    """Factor of a brief's first port, and its fasteners' clearance holes: reference to port."""
    from scaling import stock
    from scaling.brief import load_brief
    from scaling.design import load_design
    from scaling.fasteners import fastener_lines
    from scaling.study import run_study

    found = run_study(load_design((brief := load_brief(path)).design_file), brief, _progress())
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


def _print_json(data: object) -> None:
    typer.echo(json.dumps(data, indent=1, allow_nan=False, ensure_ascii=False))


def _print_table(table: Table, digits: int = 3) -> None:
    from scaling.tables import as_text

    title, _, rest = as_text(table, digits, _width()).partition("\n")
    _title(title)
    typer.echo(rest.strip("\n"))


def _title(text: str) -> None:
    bold = sys.stdout.isatty() and "NO_COLOR" not in os.environ
    typer.echo("\n" + (typer.style(text, bold=True) if bold else text))


def _wrapped(text: str, indent: str) -> None:
    import textwrap

    typer.echo(textwrap.fill(text, _width(), subsequent_indent=indent))


def _width() -> int:
    import shutil

    return max(60, shutil.get_terminal_size((120, 40)).columns) if sys.stdout.isatty() else 120


def _progress() -> Any:
    """A callback that shows what is being done on a terminal's standard error, and is quiet elsewhere."""
    if not sys.stderr.isatty():
        return None

    def show(text: str) -> None:
        sys.stderr.write(f"\r\033[K{text}" if text else "\r\033[K")
        sys.stderr.flush()

    return show
