"""A stamped label looks as matplotlib's own text does, pixel for pixel, and costs less the second time."""

from __future__ import annotations

import io
import time

import numpy as np
import pytest
from matplotlib.text import Text

from wallcalc.draw import stamped_text
from wallcalc.draw.stamped_text import StampedText
from wallcalc.draw.style import new_figure, sized

LABELS = (
    (50, 100, "S1", {}),
    (150, 100, "door opening\n842 wide\n2030 high", {}),
    (200, 60, "1200.5", {"rotation": 90, "va": "top"}),
    (20, 180, "A1-3", {"ha": "left", "color": "#1f4e79"}),
    (250, 150, "N2.1 Ärmel", {"va": "bottom", "ha": "right"}),
    (296, 20, "beyond the edge", {}),
)


def _picture(kind: type[Text], bold: bool = False) -> np.ndarray:
    figure = new_figure(300, 200)
    ax = figure.add_axes((0, 0, 1, 1))
    ax.set_axis_off()
    ax.set_xlim(0, 300)
    ax.set_ylim(0, 200)
    for x, y, words, how in LABELS:
        look = {"ha": "center", "va": "center", "color": "#22303a", **how}
        made = (
            StampedText(1.25, x=x, y=y, text=words, **look)
            if kind is StampedText
            else Text(x, y, words, linespacing=1.25, **look)
        )
        made.set_fontproperties(sized(8.0, bold))
        ax.add_artist(made)
        made.set_clip_path(None)
    figure.canvas.draw()
    return np.asarray(figure.canvas.buffer_rgba()).astype(int)


@pytest.mark.parametrize("bold", [False, True])
def test_it_looks_as_the_plain_text_does(bold):
    plain, stamped = _picture(Text, bold), _picture(StampedText, bold)
    assert np.abs(plain - stamped).max() <= 2, "blending may round the last bit"
    assert (plain[..., :3].min(axis=2) < 128).sum() > 200, "there is something to see"


def test_another_look_is_another_stamp():
    stamped_text._stamps.clear()
    _picture(StampedText)
    first = len(stamped_text._stamps)
    assert first == len(LABELS)
    _picture(StampedText)
    assert len(stamped_text._stamps) == first
    _picture(StampedText, bold=True)
    assert len(stamped_text._stamps) == 2 * first


def test_on_paper_it_is_text_and_not_pixels():
    figure = new_figure(300, 200)
    figure.add_artist(StampedText(1.25, x=0.5, y=0.5, text="setting out", transform=figure.transFigure))
    page = io.BytesIO()
    figure.savefig(page, format="svg")
    assert b"<image" not in page.getvalue()


def test_the_second_time_is_cheaper():
    stamped_text._stamps.clear()
    begun = time.process_time()
    _picture(StampedText)
    first = time.process_time() - begun
    again = []
    for _ in range(5):
        begun = time.process_time()
        _picture(StampedText)
        again.append(time.process_time() - begun)
    assert min(again) < first
