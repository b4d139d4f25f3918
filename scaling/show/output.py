"""Writing a study: report, build log, figures, tables and study.json into a folder, whole or not at all."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from scaling.files.folder import write_folder
from scaling.files.json_text import json_text
from scaling.files.spare import begun

if TYPE_CHECKING:
    from scaling.show.figures.kinds import Kind
    from scaling.show.report.pictures import Picture
    from scaling.study.results import Study


def write_study(study: Study, folder: Path, force: bool, progress: Callable[[str], None] | None = None) -> list[str]:
    """Write report, build log, figures, tables and study.json to ``folder``; returns what was written.

    Raises InputError where the folder holds files and ``force`` is not set, where with it they are not all a run's own,
    and where it cannot be written.
    """
    try:
        return write_folder(folder, force, lambda made: _fill(study, made, progress))
    finally:
        if progress is not None:
            progress("")


def _fill(study: Study, folder: Path, progress: Callable[[str], None] | None) -> None:
    from scaling.show.figures import applying
    from scaling.show.report.answer import answered
    from scaling.show.report.build_log import write_build_log
    from scaling.show.report.html import report_of, write_report
    from scaling.show.report.pictures import placed

    (folder / "figures").mkdir()
    (folder / "tables").mkdir()
    jobs = [partial(_picture, study, kind, folder / "figures") for kind in applying(study)]
    tell = progress or (lambda _: None)
    with begun(jobs, progress, WORTH) as pictures:
        tell("numbers")
        _numbers(study, folder)
        answer = answered(study)
        report, found = report_of(answer), placed(pictures())
    tell("report")
    write_report(report, folder, found)
    write_build_log(answer, folder, found)


WORTH = 3
"""Pictures for which the drawing library is loaded a second time: that takes as long as one and a half of them."""


def _picture(study: Study, kind: Kind, folder: Path, tell: Callable[[str], None] | None) -> Picture:
    from scaling.show.figures import write_figure
    from scaling.show.report.pictures import picture_of

    return picture_of(study, kind, write_figure(study, kind, folder, tell)[0])


def _numbers(study: Study, folder: Path) -> None:
    from scaling.show.study_json import as_json
    from scaling.show.table import as_csv
    from scaling.show.tables import all_tables

    data = json_text(as_json(study), indent=1, ensure_ascii=False)
    (folder / "study.json").write_text(data + "\n", encoding="utf-8")
    for table in all_tables(study):
        (folder / "tables" / f"{table.name}.csv").write_text(as_csv(table), encoding="utf-8")
