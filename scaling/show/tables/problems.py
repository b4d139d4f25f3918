"""The problems of a study's ports, those that several have in one row."""

from __future__ import annotations

from scaling.show.table import Table, columns
from scaling.study.problem import Shared, label_of, shared
from scaling.study.results import Study


def shared_problems(study: Study) -> list[Shared]:
    """Every problem with the ports that have it, the gravest first."""
    ports = zip(study.letters, study.ports, strict=True)
    return shared((letter, problem) for letter, port in ports for problem in port.problems)


def problems_table(study: Study) -> Table:
    """Every problem with the ports that have it, and the quantities that rest on what is broken."""
    rows = [
        (" ".join(row.ports), row.problem.code, row.text, "; ".join(map(label_of, row.rests_on)))
        for row in shared_problems(study)
    ]
    return Table("problems", "Problems", columns("ports", "code", "problem", "rests_on_it"), tuple(rows))


def brief_problems_table(study: Study) -> Table:
    """The problems without what rests on them; what is so on the reference too is named in a row a code.

    Numbers outside their formula's range bear a mark where they stand, so that the ranges are not told of here.
    """
    found = [row for row in shared_problems(study) if not row.problem.kind.range]
    rows = [(" ".join(row.ports), row.problem.code, row.text) for row in found if not row.problem.kind.alike]
    known = [row for row in found if row.problem.kind.alike]
    for code in dict.fromkeys(row.problem.code for row in known):
        those = [row for row in known if row.problem.code == code]
        letters = [letter for letter in study.letters if any(letter in row.ports for row in those)]
        labels = "; ".join(label_of(row.problem.about or "") for row in those)
        rows.append((" ".join(letters), code, f"As on the reference: {labels}. --all prints the numbers."))
    return Table("problems", "Problems", columns("ports", "code", "problem"), tuple(rows))
