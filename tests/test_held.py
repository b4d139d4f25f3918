"""Groups held together at a port's size: factors that really hold them, and conflicts that follow from one g.

What the factors give is worked out from the groups' definitions, written here again. That Froude's number and a
reaction of fixed time conflict is arithmetic: at one g the first asks of the speed the root of the length's factor, and
as far in body lengths in the same time asks that factor itself.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from scaling.decide.held import FREE, held_together, sentence
from scaling.files.errors import InputError
from scaling.formulas import book


def at(held: Any, key: str) -> float:
    """The factor of a key with the groups held."""
    return next(factor.held for factor in held.factors if factor.name == key)


def scaled_alike(study: Any) -> Any:
    """The study of the ports that are as wide and long as their factor says: least drift frees the track."""
    return replace(study, ports=tuple(port for port in study.ports if port.request.law != "least-drift"))


def ratio(study: Any, port: Any, key: str) -> float:
    return float(port.variables[key] / study.design.variables[key])


def test_factors_hold_the_gyro_margin(main_demo: Any) -> None:
    """(m g t / 2) / (I omega) over 2 v / t, at the port's mass, track and top speed over the drive's ratio."""
    study = main_demo.study
    for held in held_together(study, ["gyro margin"]):
        port = held.port
        assert held.holds
        speed = ratio(study, port, "drive.ratio") * port.quantities["top_speed"].value / study.reference["top_speed"]
        lift = ratio(study, port, "mass") * ratio(study, port, "track") / (
            at(held, "rotor.inertia") * at(held, "rotor.speed")
        )  # fmt: skip
        yaw = speed / at(held, "drive.ratio") / ratio(study, port, "track")
        assert lift / yaw == pytest.approx(1.0, rel=1e-9)


def test_factors_hold_three_at_once(main_demo: Any) -> None:
    """Gravity's similarity asks of the rotor's and the top speed as L^(-1/2) and L^(1/2), and so does the gyro."""
    asked = ["gyro margin", "Froude number", "tip speed over sqrt(g L)"]
    for held in held_together(scaled_alike(main_demo.study), asked):
        size = held.port.factor
        assert at(held, "rotor.speed") == pytest.approx(size**-0.5, rel=1e-9)
        track, mass = ratio(main_demo.study, held.port, "track"), ratio(main_demo.study, held.port, "mass")
        assert at(held, "rotor.inertia") == pytest.approx(mass * track**2 / (size**-0.5 * size**0.5), rel=1e-9)


def test_one_g_and_one_reaction_time_conflict(demo: Any) -> None:
    asked = ["speed over sqrt(g L)", "track over length", "reaction in body lengths"]
    for held in held_together(scaled_alike(demo.study), asked):
        assert held.holds is False
        assert held.conflict == {
            "speed over sqrt(g L)": pytest.approx(math.sqrt(held.port.factor), rel=1e-9),
            "reaction in body lengths": pytest.approx(held.port.factor**-0.5, rel=1e-9),
        }
        assert "no set of scale factors" in sentence(held).casefold()


def test_one_air_and_one_g_conflict(main_demo: Any) -> None:
    """Froude's and Reynolds' numbers of the rotor, at one g and one air: omega as L^(-1/2) and as L^(-2)."""
    asked = ["rotor Reynolds number", "gyro margin", "tip speed over sqrt(g L)"]
    for held in held_together(scaled_alike(main_demo.study), asked):
        assert held.conflict == {
            "rotor Reynolds number": pytest.approx(held.port.factor**1.5, rel=1e-9),
            "tip speed over sqrt(g L)": pytest.approx(held.port.factor**-1.5, rel=1e-9),
        }


def test_everything_holds_at_factor_one(main_demo: Any) -> None:
    from scaling.study.as_drawn import compared

    itself = compared(main_demo.design, [main_demo.design])
    asked = ["rotor Reynolds number", "tip speed over sqrt(g L)", "reaction in body lengths", "Froude number"]
    (held,) = held_together(itself, asked)
    assert held.holds
    assert all(factor.held == pytest.approx(1.0, rel=1e-9) for factor in held.factors)


def test_a_key_that_is_freed_dissolves_a_conflict(main_demo: Any) -> None:
    """A smaller rotor turns as fast for its size in the same air: D as well as omega is then open to both numbers."""
    asked = ["rotor Reynolds number", "tip speed over sqrt(g L)"]
    for held in held_together(scaled_alike(main_demo.study), asked, ["rotor.diameter"]):
        assert held.holds
        # omega D = sqrt(L) and omega D^2 = 1 give D = L^(-1/2) and omega = L
        assert at(held, "rotor.diameter") == pytest.approx(held.port.factor**-0.5, rel=1e-9)
        assert at(held, "rotor.speed") == pytest.approx(held.port.factor, rel=1e-9)


def test_a_rush_is_held_by_running_the_models(main_demo: Any) -> None:
    """A spin-up time follows no power: the factors found, put into the port, must give the reference's margins again.

    The gyro margin is worked out from its definition, as above; the rush margin by another run of the port.
    """
    study = replace(main_demo.study, ports=main_demo.study.ports[:2])
    for held in held_together(study, ["gyro margin", "rush margin"]):
        assert held.holds and held.sought
        assert any(factor.moves for factor in held.factors)
        moved = {factor.name: factor.asked for factor in held.factors}
        given = dict(held.port.variables) | moved
        found = book.evaluate(given, main_demo.design.traits, only=["rush_margin", "top_speed"])
        assert float(found["rush_margin"]) == pytest.approx(study.reference["rush_margin"], rel=1e-5)
        own = main_demo.design.variables
        lift = [each["mass"] * each["track"] / (each["rotor.inertia"] * each["rotor.speed"]) for each in (own, given)]
        yaw = [study.reference["top_speed"] / own["track"], float(found["top_speed"]) / given["track"]]
        assert lift[1] / yaw[1] == pytest.approx(lift[0] / yaw[0], rel=1e-5)
        assert "running the port's own motors" in sentence(held)


def test_more_is_asked_than_the_models_can_hold(main_demo: Any) -> None:
    """Froude's number asks the root of the length's factor of the top speed, and the bite then a rotor speed that only
    another motor reaches: its own is 16 % short there, as the study says of the port at a speed by gravity."""
    study = replace(main_demo.study, ports=main_demo.study.ports[:1])
    asked = ["rush margin", "Froude number", "bite_ratio"]
    (held,) = held_together(study, asked)
    assert held.holds is False and held.sought
    told = sentence(held)
    assert told.startswith("No set of scale factors") and "sought from a tenth to ten times" in told
    assert held.conflict is not None and set(held.conflict) == {"rush margin", "Froude number", "bite_ratio"}
    assert held.conflict["rush margin"] is None


@pytest.mark.parametrize("said", ["gyro margin", "gyro_margin", "Gyro margin", " GYRO  margin"])
def test_a_group_goes_by_name_or_label(main_demo: Any, said: str) -> None:
    assert held_together(main_demo.study, [said, "gyro margin"])[0].asked == ("gyro margin",)


@pytest.mark.parametrize(
    ("asked", "free", "words"),
    [
        (["gyro margn"], [], ["--hold", "gyro margn", 'did you mean "gyro margin"']),
        (["tip_speed"], [], ["--hold", "unit m/s"]),
        (["gyro margin"], ["rotor.diametr"], ["--free", 'did you mean "rotor.diameter"']),
    ],
)
def test_slips_are_told(main_demo: Any, asked: list[str], free: list[str], words: list[str]) -> None:
    with pytest.raises(InputError) as raised:
        held_together(main_demo.study, asked, free)
    for word in words:
        assert word in str(raised.value)


def test_the_command_says_it_in_sentences_and_json(main_demo: Any, command: Callable[..., Any]) -> None:
    asked = ("groups", main_demo.folder / "brief.toml", "--hold", "Froude number", "--hold", "reaction_in_body_lengths")
    text = " ".join(command(*asked).out.split())
    assert "at factor 1 every group holds" in text
    assert "no set of scale factors holds Froude number and reaction in body lengths together" in text
    told = json.loads(command(*asked, "--json").out)
    assert told["free"] == [key for key in FREE if key in main_demo.design.variables]
    assert [row["letter"] for row in told["ports"]] == list(main_demo.study.letters)
    assert all(set(row["conflict"]) == {"Froude number", "reaction in body lengths"} for row in told["ports"])


def test_a_design_alone_has_no_size_to_hold_them_at(main_demo: Any, command: Callable[..., Any]) -> None:
    for arguments in (("groups", main_demo.folder / "design.toml", "--hold", "gyro margin"), ("groups", "--hold", "x")):
        result = command(*arguments)
        assert result.status == 2
        assert "give a brief" in result.err
    assert "--hold" in command("groups", main_demo.folder / "brief.toml", "--free", "track").err
