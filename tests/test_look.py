"""The look of the pictures: colours that can be told apart by every eye on both pages, and words that stand out."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from pictured import contrast

from scaling.files.errors import InputError
from scaling.show.figures.look import DARK, LIGHT, MARKERS, sign_of

LOOKS = pytest.mark.parametrize("look", [LIGHT, DARK], ids=["light", "dark"])

# G. M. Machado, M. M. Oliveira & L. A. F. Fernandes, A Physiologically-based Model for Simulation of Color Vision
# Deficiency, IEEE Trans. Visualization and Computer Graphics 15 (2009), table of matrices at severity 1.0, on linear
# RGB: seen in several public implementations that agree.
EYES = {
    "usual": np.eye(3),
    "deuteranopia": np.array([
        [0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881],
    ]),
    "protanopia": np.array([
        [0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998],
    ]),
}

# IEC 61966-2-1 (sRGB primaries to XYZ, white D65) and CIE 1976 L*a*b*, both from memory.
TO_XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])


def lab(colour: str, eye: str) -> np.ndarray:
    from matplotlib.colors import to_rgb

    part = np.asarray(to_rgb(colour))
    linear = np.where(part <= 0.04045, part / 12.92, ((part + 0.055) / 1.055) ** 2.4)
    x, y, z = (TO_XYZ @ np.clip(EYES[eye] @ linear, 0, 1)) / TO_XYZ.sum(axis=1)
    f = [np.cbrt(t) if t > (6 / 29) ** 3 else t / (3 * (6 / 29) ** 2) + 4 / 29 for t in (x, y, z)]
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def apart(one: str, other: str, eye: str) -> float:
    """The colour difference of CIE 1976; about 2.3 can just be noticed side by side."""
    return float(np.linalg.norm(lab(one, eye) - lab(other, eye)))


def test_the_measure_sees_what_it_should():
    assert apart("#000000", "#FFFFFF", "usual") == pytest.approx(100, abs=0.1), "CIE 1976: white is L* = 100"
    red, green = "#C03020", "#507A18"  # as light as each other: only red and green receptors tell them apart
    assert apart(red, green, "deuteranopia") < 0.5 * apart(red, green, "usual")
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21), "W3C, WCAG 2.1: the largest contrast"


@LOOKS
def test_words_and_marks_stand_out_from_the_page(look):
    for colour in (look.ink, look.soft, look.good, look.bad):
        assert contrast(look.page, colour) >= 4.5, colour  # W3C, WCAG 2.1, success criterion 1.4.3
        assert contrast(look.wash, colour) >= 4.5, colour
    assert contrast(look.tint, look.ink) >= 4.5
    for colour in (*look.colours, look.rule):
        assert contrast(look.page, colour) >= 3.0, colour  # W3C, WCAG 2.1, success criterion 1.4.11


@LOOKS
@pytest.mark.parametrize("eye", EYES)
def test_colours_are_told_apart(look, eye):
    for one, other in itertools.combinations((*look.colours, look.ink), 2):
        assert apart(one, other, eye) > 12, (one, other)  # five times what can just be noticed
    for one, other in itertools.pairwise(look.fills):
        assert apart(one, other, eye) > 12, (one, other)


@LOOKS
def test_a_mark_and_a_dash_tell_ports_apart_without_colour(look):
    signs = [sign_of(place, "A", 1.0, "", look) for place in range(12)]
    assert len({sign.marker for sign in signs}) == 12 == len(set(MARKERS))
    assert len({(sign.colour, str(sign.dash)) for sign in signs}) == 12
    assert all(sign.mark(hollow=True)["markerfacecolor"] == look.page for sign in signs)


def test_a_sheet_has_a_width_that_words_fit_on():
    assert LIGHT.sized(6.0, None).width == 6.0
    for width in (1.0, 100.0):
        with pytest.raises(InputError, match="a picture cannot be this wide"):
            LIGHT.sized(width, None)
