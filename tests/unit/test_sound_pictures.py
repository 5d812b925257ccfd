"""Pictures of sound: every letter inside the picture, labels apart, alt texts that carry the numbers."""

import itertools

import numpy as np
import pytest
from matplotlib.text import Text

from wallcalc.draw import sound_pictures as pic
from wallcalc.draw.style import to_img
from wallcalc.sound import lesson, measured, predict


@pytest.fixture(scope="module")
def figures():
    sound = predict(lesson.wall(400, fill=50))
    curves = lesson.curves([(f"{c} mm", lesson.wall(c)) for c in (300, 400, 450, 600)])
    scores = measured.scores(status=None)
    row = next(r for r in measured.rows() if r.id == "M1")
    doors = np.arange(15, 37)
    return {
        "contours": pic.draw_contours(sound, "Demo wall"),
        "curves": pic.draw_curves(curves, "Stud centres", [("dip", *lesson.dip(curves[0][1]), 60, 40)]),
        "sweep": pic.draw_sweep([300, 400, 600], [("Rw", [34, 35, 36]), ("STC", [29, 32, 36])], "Ratings"),
        "measured": pic.draw_measured(scores),
        "spectrum": pic.draw_spectrum_check(row, predict(row.build(406.4))),
        "door": pic.draw_door(doors, [("door", lesson.with_doors(lesson.wall(400), doors))], 35.0),
    }


NAMES = ["contours", "curves", "sweep", "measured", "spectrum", "door"]


@pytest.mark.parametrize("name", NAMES)
def test_every_letter_lies_inside_the_picture(figures, name):
    figure = figures[name]
    figure.canvas.draw()
    width, height = figure.canvas.get_width_height()
    for text in figure.findobj(Text):
        if text.get_text().strip() and text.get_visible():
            box = Text.get_window_extent(text)
            outside = max(-box.x0, box.x1 - width, -box.y0, box.y1 - height)
            assert outside <= 1.0, text.get_text()


@pytest.mark.parametrize("name", ["curves", "sweep"])
def test_names_at_the_ends_of_lines_stay_apart(figures, name):
    figure = figures[name]
    figure.canvas.draw()
    right = figure.axes[0].get_window_extent().x1
    boxes = [
        Text.get_window_extent(t) for t in figure.axes[0].texts
    ]  # an annotation's own box holds its line too
    boxes = [box for box in boxes if box.x0 > right]
    assert len(boxes) >= 2
    for one, two in itertools.combinations(boxes, 2):
        assert min(one.y1, two.y1) - max(one.y0, two.y0) < 2.0


def test_texts_in_place_of_pictures_carry_the_numbers():
    sound = predict(lesson.wall(400))
    assert f"Rw {sound.Rw}" in pic.contours_alt(sound)
    assert f"STC {sound.STC}" in pic.contours_alt(sound)
    curves = lesson.curves([("400 mm", lesson.wall(400))])
    assert f"least {min(sound.R[3:]):.0f} dB" in pic.curves_alt(curves)
    scores = measured.scores()
    assert all(s.row.id in pic.measured_alt(scores) for s in scores)
    assert 'alt="two &lt; three"' in to_img(pic.draw_contours(sound, "t"), "two < three")


def test_lesson_frequencies_by_hand():
    # 8.4 kg/m2 each side of 89 mm of air: sqrt(1.205 * 343**2 / 0.089 * 2 / 8.4) / 2 pi = 98 Hz
    assert lesson.cavity_resonance(lesson.wall(400)) == pytest.approx(98.0, abs=0.5)
    # reference notes of the project: 244, 137 and 61 Hz for a clamped bay of 12.5 mm board
    found = [lesson.bay_resonance(lesson.BOARD, c) for c in (300, 400, 600)]
    assert found == pytest.approx([244.0, 137.0, 61.0], rel=0.02)
