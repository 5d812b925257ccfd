"""Colours that must be told apart are, for every eye; letters and lines stand out from their ground.

Contrast ratios are those of WCAG 2.2 (success criteria 1.4.3: 4.5 for letters, 1.4.11: 3 for lines that carry
meaning). Colour-vision deficiencies are simulated by the matrices of severity 1.0 in table 1 of G. M. Machado, M. M.
Oliveira, L. A. F. Fernandes, A physiologically-based model for simulation of color vision deficiency, IEEE
Transactions on Visualization and Computer Graphics 15 (6), 2009, which act on linear RGB; distances are CIE 1976
L*a*b*, of which some 2.3 is just noticed side by side and 20 is plain to see.
"""

from __future__ import annotations

import itertools
import re

import numpy as np
import pytest
from matplotlib.colors import to_rgb, to_rgba

from wallcalc.draw import style
from wallcalc.panel.page_style import STYLE

LETTERS, LINES = 4.5, 3.0
PLAIN = 20.0
EYES = {
    "all cones": np.eye(3),
    "no long cones": [
        [0.152286, 1.052583, -0.204868],
        [0.114503, 0.786281, 0.099216],
        [-0.003882, -0.048116, 1.051998],
    ],
    "no middle cones": [
        [0.367322, 0.860646, -0.227968],
        [0.280085, 0.672501, 0.047413],
        [-0.01182, 0.04294, 0.968881],
    ],
    "no short cones": [
        [1.255528, -0.076749, -0.178779],
        [-0.078411, 0.930809, 0.147602],
        [0.004733, 0.691367, 0.3039],
    ],
}
TO_XYZ = np.array(
    [[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.072175], [0.0193339, 0.119192, 0.9503041]]
)
WHITE_POINT = (0.95047, 1.0, 1.08883)
SERIES = (style.BLUE, style.ORANGE, style.RED, style.PLUM, style.GREY, style.VIOLET)
JOINTS = [colour for kind, (colour, *_) in style.JOINT_KINDS.items() if kind != "corner"]
PANEL, INK = "#fbfaf6", "#22303a"


def linear(colour) -> np.ndarray:
    c = np.asarray(to_rgb(colour))
    return np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)


def contrast(one, other) -> float:
    dark, light = sorted(float(linear(c) @ TO_XYZ[1]) for c in (one, other))
    return (light + 0.05) / (dark + 0.05)


def apart(one, other, eye) -> float:
    """Return the distance of two colours as an eye sees them."""

    def lab(colour) -> np.ndarray:
        seen = np.clip(np.asarray(EYES[eye]) @ linear(colour), 0, 1)
        x = TO_XYZ @ seen / WHITE_POINT
        f = np.where(x > 216 / 24389, np.cbrt(x), (24389 / 27 * x + 16) / 116)
        return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])

    return float(np.linalg.norm(lab(one) - lab(other)))


def over(colour, ground) -> tuple[float, ...]:
    """Return the colour that a translucent one makes over a ground."""
    *rgb, alpha = to_rgba(colour)
    return tuple(alpha * np.array(rgb) + (1 - alpha) * np.array(to_rgb(ground)))


def test_the_arithmetic_gives_published_values():
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#767676", "#ffffff") == pytest.approx(
        4.54, abs=0.01
    )  # WCAG's own example of a grey that passes
    assert apart("#ffffff", "#000000", "all cones") == pytest.approx(100.0, abs=0.01)
    for eye, matrix in EYES.items():  # white stays white
        assert np.asarray(matrix).sum(axis=1) == pytest.approx(np.ones(3), abs=1e-5), eye
    red_green = [apart("#ff0000", "#8a8a00", eye) for eye in EYES]
    assert red_green[2] < 0.5 * red_green[0], (
        "a pair that is hard to tell apart without middle cones is found"
    )


def test_lines_stand_out_from_their_ground():
    for colour in (*SERIES, *JOINTS, style.SOFT, style.HUNG, style.PIPE_EDGE, style.TIMBER_EDGE):
        assert contrast(colour, style.PAPER) >= LINES, colour
    for colour in JOINTS:
        assert contrast(colour, over(style.BOARD, style.TIMBER)) >= LINES, "over a stud behind the board"


def test_letters_stand_out_from_their_ground():
    for colour in (style.INK, style.SOFT, style.RED, style.PLUM, style.VIOLET, style.HUNG):
        assert contrast(colour, style.PAPER) >= LETTERS, colour


@pytest.mark.parametrize("eye", EYES)
def test_colours_that_mean_something_are_told_apart(eye):
    for group in (SERIES, JOINTS):
        for one, other in itertools.combinations(group, 2):
            assert apart(one, other, eye) >= PLAIN, (one, other)


def test_what_colour_alone_does_not_tell_apart_has_another_sign():
    looks = [dashes for kind, (_, dashes, _) in style.JOINT_KINDS.items() if kind != "corner"]
    assert len(set(looks)) == len(looks)
    assert len(set(style.CUT_HATCHES)) == len(style.CUT_COLOURS) == len(style.CUT_HATCHES)
    assert style.HUNG_HATCH != style.SERVICE_HATCH
    assert len({s["marker"] for s in style.SERIES.values()}) == len(style.SERIES)
    assert len({str(s["linestyle"]) for s in style.SERIES.values()}) == len(style.SERIES)


def test_the_panels_letters_and_borders_stand_out():
    rules = re.findall(r"([^{}]+)\{([^{}]*)\}", STYLE.partition("<style>")[2])
    assert len(rules) > 50
    seen = 0
    for selector, text in rules:
        ink = re.search(r"(?:^|[;\s])color:(#\w+)", text)
        ground = re.search(r"background(?:-color)?:(#\w+)", text)
        if ink or ground:
            seen += 1
            ratio = contrast(ink[1] if ink else INK, ground[1] if ground else PANEL)
            assert ratio >= LETTERS, selector.strip()
    assert seen > 20
    edge = re.search(r"input-border-color:(#\w+)", STYLE)
    assert contrast(edge[1], PANEL) >= LINES
    assert contrast(re.search(r"outline:3px solid (#\w+)", STYLE)[1], PANEL) >= LINES
    for level in ("caution", "error"):
        assert f".wallcalc-message.{level}::before" in STYLE, "not by colour alone"
