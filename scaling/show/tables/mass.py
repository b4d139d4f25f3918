"""Where the mass goes, what closed it, and what other materials do to it."""

from __future__ import annotations

from scaling.files.units import to_shown
from scaling.shop.materials import material, swap_effect
from scaling.show.table import Cell, Column, Table, columns
from scaling.study.results import PartLine, Port, Study


def mass_table(study: Study) -> Table:
    """Mass of each part, g of all pieces: the reference's and each port's.

    Ideal is the part's own rule, closed is after the levers that close the mass, snapped with the thickness that
    the shelf has; a port without steps has one column, and ports with equal masses share theirs.
    """
    alike: dict[tuple[PartLine, ...], list[str]] = {}
    for name, port in zip(study.letters, study.ports, strict=True):
        alike.setdefault(port.parts, []).append(name)
    shown = [(names, study.ports[study.letters.index(names[0])]) for names in alike.values()]
    heads = [*columns("part", "group", "kind", Column("reference", unit="g"))]
    for names, port in shown:
        for step in _steps(port):
            key = "_".join(["port", *names, step]).strip("_").lower()
            heads.append(Column(key, f"{' '.join(names)} {step}".strip(), "g"))
    lines = [({line.name: line for line in port.parts}, _steps(port)) for _, port in shown]

    def grams_of(name: str) -> list[Cell]:
        return [_grams(by_name.get(name), step) for by_name, steps in lines for step in steps]

    rows: list[tuple[Cell, ...]] = [
        (part.name, part.group, part.kind, to_shown(part.total, "kg"), *grams_of(part.name))
        for part in study.design.parts
    ]
    listed = {part.name for part in study.design.parts}
    others = {name: line for by_name, _ in lines for name, line in by_name.items() if name not in listed}
    rows += [(name, line.group, line.kind, None, *grams_of(name)) for name, line in others.items()]
    sums: list[Cell] = []
    for _, port in shown:
        for step in _steps(port):
            grams = [_grams(line, step) for line in port.parts]
            sums.append(sum(value for value in grams if value is not None) if grams else None)
    rows.append(("sum", "", "", to_shown(study.design.variables["mass"], "kg"), *sums))
    return Table("mass", "Mass of each part", tuple(heads), tuple(rows))


def _steps(port: Port) -> list[str]:
    return [
        *(["ideal"] if port.snaps or port.closure else []),
        *(["closed"] if port.closure else []),
        "snapped" if port.snaps else "",
    ]


def _grams(line: PartLine | None, step: str) -> float | None:
    if line is None:
        return None
    return to_shown({"ideal": line.ideal, "closed": line.closed}.get(step, line.port), "kg")


def closure_table(study: Study) -> Table:
    """What closed the mass where the factor is given, and what is left or missing."""
    rows: list[tuple[Cell, ...]] = []
    for letter, port in zip(study.letters, study.ports, strict=True):
        if not port.closure:
            continue
        allowed = port.mass_limit - study.brief.mass_margin
        rows += [
            (letter, step.lever, ", ".join(step.parts), step.setting, 1e3 * step.removed, None) for step in port.closure
        ]
        left = allowed - port.variables["mass"]
        rows.append(
            (letter, "sum", "", "left" if left >= 0 else "too heavy", 1e3 * abs(left), 100 * abs(left) / allowed)
        )
    heads = columns(
        "port", "lever", "parts", "setting", Column("mass", "mass taken out or left", "g"),
        Column("share", "share of the limit", "%"),
    )
    return Table("closure", "What closed the mass at a given factor", heads, tuple(rows))


def swaps_table(study: Study) -> Table:
    """What the brief's other materials do to parts of the same size: mass, strength and stiffness, new over old."""
    swaps = dict.fromkeys(study.brief.swaps.items())
    for part in study.design.parts:
        change = study.brief.parts.get(part.name)
        if part.material is not None and change is not None and change.material is not None:
            swaps[part.material, change.material] = None
    rows = []
    for old, new in swaps:
        effect = swap_effect(material(old), material(new))
        rows.append((old, new, effect["mass"], effect["strength"], effect["stiffness"]))
    heads = columns("from", "to", "mass", "strength", "stiffness")
    return Table("swaps", "What other materials do at the same size, new over old", heads, tuple(rows))
