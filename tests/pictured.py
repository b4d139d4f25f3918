"""What is really drawn of a picture: its words with their boxes, and which of them leave the sheet or meet."""

from __future__ import annotations

import itertools

import pytest

from scaling.show.figures.look import LIGHT, drawing

AIR = 2.5
"""Dots of air above and below the letters of a line within its box."""


def words(figure):
    """Every text that is drawn, with its box in dots; tick labels off the axis exist but are not drawn."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.text import Text

    shown: list[Text] = []
    draw = Text.draw
    with pytest.MonkeyPatch.context() as patch, drawing(LIGHT):
        patch.setattr(Text, "draw", lambda text, renderer: (shown.append(text), draw(text, renderer))[1])
        FigureCanvasAgg(figure).draw()
        return [(text.get_text(), text.get_window_extent()) for text in shown
                if text.get_visible() and text.get_text().strip()]


def faults(figure):
    """Words that leave the sheet, and pairs that lie over one another, as sentences."""
    boxes = words(figure)
    assert len(boxes) > 5
    edge = figure.bbox
    found = [f"{text!r} leaves the sheet" for text, box in boxes
             if box.x0 < 0 or box.y0 < 0 or box.x1 > edge.x1 or box.y1 > edge.y1]
    for (one, first), (other, second) in itertools.combinations(boxes, 2):
        across = min(first.x1, second.x1) - max(first.x0, second.x0)
        along = min(first.y1, second.y1) - max(first.y0, second.y0)
        if across > 0.5 and along > AIR:
            found.append(f"{one!r} lies over {other!r}")
    return found


def luminance(shade) -> float:
    """Relative luminance of an sRGB colour, 0 to 1: W3C, WCAG 2.1, definitions; from memory."""
    return sum(weight * (part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4)
               for weight, part in zip((0.2126, 0.7152, 0.0722), shade, strict=True))


def contrast(background, colour) -> float:
    """Contrast ratio of WCAG 2.1 (definition of contrast ratio; from memory)."""
    from matplotlib.colors import to_rgb

    low, high = sorted([luminance(to_rgb(background)), luminance(to_rgb(colour))])
    return (high + 0.05) / (low + 0.05)
