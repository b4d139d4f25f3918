"""How far each port throws a standing opponent, with the doubt of it."""

from __future__ import annotations

from scaling.decide.throws import KEY, Throw, share_text, throws
from scaling.files.units import shown_unit, to_shown
from scaling.formulas import book
from scaling.show.table import Cell, Column, Table
from scaling.study.results import Study


def throws_table(study: Study) -> Table:
    """A row a machine: by the first tooth, by the engagement over what the cutting model leaves open, and at most."""
    found, unit = throws(study), shown_unit("m")
    known = sorted(found[0].engagement) if found else []
    shares = tuple(dict.fromkeys([*known[:1], *(study.design.variables[KEY] for _ in known[:1]), *known[-1:]]))
    heads = (
        Column("port"),
        Column("first_tooth", "first tooth", unit),
        *(Column(f"engagement_{n}", f"engagement at {share_text(share)}", unit) for n, share in enumerate(shares)),
        Column("bound", "at most", unit),
    )
    what = book.quantities[found[0].name].label if found else "Throw"
    title = f"{what}: a mean over the bite, by {KEY}, which has no source"
    return Table("throws", title, heads, tuple(_row(study, throw, shares) for throw in found))


def _row(study: Study, throw: Throw, shares: tuple[float, ...]) -> tuple[Cell, ...]:
    far = (throw.first_tooth, *(throw.engagement[round(share, 6)] for share in shares), throw.bound)
    shown = (None if each is None else to_shown(each, "m") for each in far)
    marked = study.marked if throw.whose == "reference" else study.ports[study.letters.index(throw.whose)].marked
    return (throw.whose, *(marked(throw.name, each) for each in shown))
