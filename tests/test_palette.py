"""A picture in a palette beside the same dots as they were drawn, read back by Pillow."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from scaling.show.figures.kinds import kind_named
from scaling.show.figures.look import DARK, LIGHT, drawing
from scaling.show.figures.palette import AREA, COLOURS, png
from scaling.show.figures.saving import in_dots

SEEN = 24
"""Steps of 255 by which a dot on an edge may be off in red, green or blue: common practice, no source."""


def read(content: bytes) -> np.ndarray:
    """The dots of a PNG in a palette."""
    image = Image.open(io.BytesIO(content))
    assert image.mode == "P"
    return np.asarray(image.convert("RGB")).astype(int)


def opaque(colours: np.ndarray) -> np.ndarray:
    """Rows of red, green and blue as the drawing library hands dots on."""
    return np.concatenate([colours, np.full((*colours.shape[:-1], 1), 255)], axis=-1).astype(np.uint8)


@pytest.mark.parametrize("colours", [1, 2, 100, COLOURS])
def test_so_many_colours_as_a_palette_has_are_kept_as_they_are(colours: int) -> None:
    random = np.random.default_rng(colours)
    some = random.integers(0, 256, (colours, 3))
    places = np.concatenate([np.arange(colours), random.integers(0, colours, 60 * 80 - colours)])
    dots = some[places].reshape(60, 80, 3)
    assert (read(png(opaque(dots), 100)) == dots).all()


def test_of_too_many_colours_areas_stay_and_the_rest_is_as_near_as_can_be() -> None:
    """Every grey and thousands of blues: 254 colours spread over a cube's blue edge leave steps of one beside them."""
    dots = np.zeros((100, 100, 3), dtype=int)
    dots[:50] = (250, 251, 252)
    dots[50:, :, 2] = np.arange(5000).reshape(50, 100) % 256
    dots[50:, :, 1] = np.arange(5000).reshape(50, 100) // 256
    found = read(png(opaque(dots), 100))
    assert (found[:50] == dots[:50]).all()
    assert np.abs(found - dots).max() <= 8
    assert len(np.unique(found.reshape(-1, 3), axis=0)) == COLOURS


@pytest.mark.parametrize("look", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("kind", ["exponents", "spin_up", "factor_curves"])
def test_no_loss_is_seen_and_areas_are_as_they_were_drawn(main_demo, kind: str, look) -> None:
    made = kind_named(kind).figure(main_demo.study, look)
    found = read(in_dots(made, 100))
    plain = io.BytesIO()
    with drawing(look):
        made.savefig(plain, format="png", dpi=100)
    drawn = np.asarray(Image.open(plain).convert("RGB")).astype(int)
    assert found.shape == drawn.shape
    assert np.abs(found - drawn).max() <= SEEN
    codes = drawn @ (1, 256, 65536)
    colours, places, counts = np.unique(codes, return_inverse=True, return_counts=True)
    area = (counts >= 2 * AREA * codes.size)[places].reshape(codes.shape)
    assert 0.5 < area.mean() < 1
    assert (found[area] == drawn[area]).all()
    assert len(colours) > COLOURS
    assert len(in_dots(made, 100)) < 0.5 * len(plain.getvalue())
