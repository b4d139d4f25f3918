"""Writing a study: report, build log, figures, tables and study.json into a folder, whole or not at all."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from scaling.files.folder import write_folder

if TYPE_CHECKING:
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
    from scaling.show.figures import write_figures
    from scaling.show.report.answer import answered
    from scaling.show.report.build_log import write_build_log
    from scaling.show.report.html import write_report
    from scaling.show.study_json import as_json
    from scaling.show.table import as_csv
    from scaling.show.tables import all_tables

    (folder / "figures").mkdir()
    (folder / "tables").mkdir()
    data = json.dumps(as_json(study), indent=1, allow_nan=False, ensure_ascii=False)
    (folder / "study.json").write_text(data + "\n", encoding="utf-8")
    for table in all_tables(study):
        (folder / "tables" / f"{table.name}.csv").write_text(as_csv(table), encoding="utf-8")
    figures = {path.stem: path for path in write_figures(study, folder / "figures", progress) if path.suffix == ".png"}
    if progress is not None:
        progress("report")
    answer = answered(study)
    write_report(answer, folder, figures)
    write_build_log(answer, folder, figures)
