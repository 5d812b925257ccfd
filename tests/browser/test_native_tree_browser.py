"""What Chromium hands to a screen reader through the system's own interface, not over its protocol."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from lab_server import Lab, open_notebook, running_chromium

pytestmark = pytest.mark.browser

TREE = "[aria-label^='Show accessibility tree for wall_study']"


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """A Chromium that builds the tree for screen readers from the start."""
    with running_chromium("--force-renderer-accessibility") as started:
        yield started


def sliders(context: Any) -> list[tuple[str, str]]:
    """Return name and value in words of each slider of the study, as the system's accessibility interface has them."""
    page = context.new_page()
    page.goto("chrome://accessibility")
    page.select_option("#apiType", "linux")
    page.fill("#filter-allow", "name* valuetext*")
    page.locator(TREE).click()
    page.wait_for_function("() => /\\[slider\\]/.test(document.body.innerText)")
    lines = [line for line in page.locator("body").inner_text().splitlines() if "[slider]" in line]
    page.close()
    found = [
        (re.search("name='(.*?)'", line), re.search(r"valuetext:(.*?)(?= \S+[:=]|$)", line)) for line in lines
    ]
    return [(name[1] if name else "", said[1] if said else "") for name, said in found]


def test_a_slider_says_its_unit_at_rest_and_when_moved(lab: Lab, browser: Any) -> None:
    page = open_notebook(lab, browser, "wall_study.ipynb", (1280, 720))
    page.evaluate("document.querySelector('.wallcalc-panel').scrollIntoView()")
    assert sliders(page.context) == [("stud centres, mm", "600 mm")]
    page.bring_to_front()
    page.locator(".noUi-handle").focus()
    page.keyboard.press("ArrowLeft")
    page.wait_for_function("() => /599 mm/.test(document.querySelector('.wallcalc-status').textContent)")
    assert sliders(page.context) == [("stud centres, mm", "599 mm")]
    page.context.close()
    lab.stop_kernels()
