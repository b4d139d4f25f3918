"""What a study comes to, as plain data: the verdict, the objective, and each port's score and risks."""

from __future__ import annotations

from typing import Any

from scaling.decide.mends import with_mends
from scaling.decide.objective import Objective
from scaling.decide.risks import Mend, Risk
from scaling.decide.verdict import Judged, Verdict
from scaling.show.report.answer import answered
from scaling.study.results import Study


def verdict_json(verdict: Verdict) -> dict[str, Any]:
    """The verdict: a letter or null, its sentence and its reasons."""
    return {"port": verdict.port, "text": verdict.text, "reasons": list(verdict.reasons)}


def objective_json(objective: Objective) -> dict[str, Any]:
    """What the score weighs, and by whose time."""
    return {"preset": objective.preset, "weights": dict(objective.weights), "clocks": dict(objective.clocks)}


FIRST = 5
"""Risks of a port that is not the one to build for which a mend is sought: what a builder reads of it."""


def judged_json(study: Study, judged: Judged, told: bool) -> dict[str, Any]:
    """A port's score, where it has one, and its risks, worst first, with mends: of all where it is ``told``."""
    mended = answered(study).risks if told else with_mends(study, judged.port, judged.risks[:FIRST])
    risks = [_risk(risk) for risk in (*mended, *judged.risks[len(mended) :])]
    return {"risks": risks} if judged.score is None else {"score": judged.score, "risks": risks}


def _risk(risk: Risk) -> dict[str, Any]:
    return {
        "code": risk.code,
        "text": risk.text,
        "quantity": risk.quantity,
        "value": risk.value,
        "reference": risk.reference,
        "limit": risk.limit,
        "rise": risk.rise,
        "stands": risk.stands,
        "mend": None if risk.mend is None else _mend(risk.mend),
    }


def _mend(mend: Mend) -> dict[str, Any]:
    return {"text": mend.text, "changes": dict(mend.changes), "value": mend.value, "mass": mend.mass,
            "costs": mend.costs}  # fmt: skip
