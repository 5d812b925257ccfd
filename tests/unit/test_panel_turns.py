"""What a person does arrives on another thread than the work between moves: neither disturbs the other."""

from __future__ import annotations

import base64
import io
import re
import threading

from matplotlib.colors import to_rgb
from PIL import Image

from wallcalc.draw import style
from wallcalc.panel.view import StudyPanel

ROUNDS = 4


def _ground(html: str) -> tuple[int, ...]:
    data = base64.b64decode(re.search(r'base64,([^"]+)"', html)[1])
    return Image.open(io.BytesIO(data)).convert("RGB").getpixel((2, 2))


def test_moves_on_one_thread_and_charts_drawn_on_another_leave_whole_pictures(tmp_path):
    panel = StudyPanel("closet.toml", own_walls=tmp_path, exports=tmp_path)
    panel.finish()
    failed: list[BaseException] = []
    grounds = set()
    paper = tuple(round(255 * c) for c in to_rgb(style.PAPER))
    begin, done = threading.Barrier(2), threading.Event()

    def moves() -> None:
        begin.wait()
        for k in range(ROUNDS):
            panel.conditions.value = f"cost at most {1000 + k}"  # the charts are drawn anew
            grounds.update(_ground(html.value) for html in (panel.sweep, panel.trade))
        done.set()

    def between() -> None:
        begin.wait()
        while not done.is_set():
            panel._shown.pop("sweep", None)
            panel._shown.pop("trade", None)
            panel.finish()
            grounds.update(_ground(html.value) for html in (panel.sweep, panel.trade))

    def guarded(work) -> None:
        try:
            work()
        except BaseException as error:
            failed.append(error)
            done.set()

    threads = [threading.Thread(target=guarded, args=(work,)) for work in (moves, between)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(120)
    assert failed == []
    assert panel.state.last_error is None
    assert grounds == {paper}
