"""Every notebook in a real Chromium on a wall, prices and rules whose every text is markup that runs a script."""

from __future__ import annotations

import csv
import json
import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from lab_server import NOTHING_IN_WORK, REPOSITORY, Lab, running_lab

pytestmark = pytest.mark.browser

NOTEBOOKS = sorted(path.name for path in (REPOSITORY / "notebooks").glob("*.ipynb"))
MARKUP = "<img src=x onerror=bad()>"
ALL_RAN = """() => [...document.querySelectorAll('.jp-CodeCell .jp-InputArea-prompt')].every(
  prompt => /\\[\\d+\\]/.test(prompt.textContent))"""
FOUND = """() => ({ran: window.ran === true,
  made: document.querySelectorAll('img[src="x"], [onerror], [onmouseover]').length})"""


def make_hostile(data: Path) -> None:
    """Put markup into every text of the walls, the rules and the price book."""
    for file in (data / "walls").glob("*.toml"):
        text = file.read_text(encoding="utf-8")
        file.write_text(re.sub(r'(?m)^(\s*name) = "(.*?)"', rf"\1 = '{MARKUP}\" \2'", text), encoding="utf-8")
    for file in (data / "rules").glob("*.toml"):
        text = file.read_text(encoding="utf-8")
        file.write_text(
            re.sub(r'(?m)^(title|edition|source|note|text) = "', rf'\1 = "{MARKUP} ', text), encoding="utf-8"
        )
    with (data / "prices.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    rows += [
        row | {"product": MARKUP, "code": f"{MARKUP}{row['code']}"}
        for row in rows
        if row["product"] == "wool-50"
    ]
    for row in rows:
        row["description"] = f'{MARKUP}" {row["description"]}'
        row["source"] = f"{MARKUP} {row['source']}"
    with (data / "prices.csv").open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)


@pytest.fixture(scope="module")
def lab(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Lab]:
    """A lab whose kernels find a checkout with hostile data."""
    checkout = tmp_path_factory.mktemp("checkout")
    for folder in ("wallcalc", "data"):
        shutil.copytree(REPOSITORY / folder, checkout / folder, ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(REPOSITORY / "pyproject.toml", checkout)
    make_hostile(checkout / "data")
    private = tmp_path_factory.mktemp("private")
    settings = private / "settings" / "@jupyterlab" / "notebook-extension"
    settings.mkdir(parents=True)
    all_at_once = json.dumps({"windowingMode": "none"})  # cells out of sight are in the page too
    (settings / "tracker.jupyterlab-settings").write_text(all_at_once, encoding="utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("PYTHONPATH", str(checkout))
        with running_lab(tmp_path_factory.mktemp("lab"), private) as running:
            yield running


@pytest.mark.parametrize("notebook", NOTEBOOKS)
def test_no_text_of_a_file_runs_as_markup(lab: Lab, chromium, notebook: str) -> None:
    context = chromium.new_context(viewport={"width": 1280, "height": 1000})
    context.add_init_script("window.bad = () => { window.ran = true; }")
    page = context.new_page()
    page.set_default_timeout(60_000)
    page.goto(f"{lab.address}/lab/tree/{notebook}?reset&token={lab.token}")
    page.wait_for_selector(".jp-Notebook")
    lab.wait_for_kernel(notebook)
    page.get_by_role("menuitem", name="Run", exact=True).click()
    page.locator("#jp-mainmenu-run").get_by_text("Run All Cells", exact=True).click()
    page.wait_for_function(ALL_RAN, timeout=240_000)
    page.wait_for_function(NOTHING_IN_WORK, timeout=240_000)
    errors = page.locator('[data-mime-type="application/vnd.jupyter.error"]').all_inner_texts()
    assert errors == []
    for panel in page.locator(".wallcalc-lesson").all():
        panel.locator("button").first.click()  # a guess, after which the step shows what it has
    folds = page.locator(".jp-OutputArea button:visible", has_text=re.compile("^Show: "))
    for _ in range(40):
        if not folds.count():
            break
        folds.first.click()
        page.wait_for_timeout(200)
    assert folds.count() == 0
    for box in page.locator(".wallcalc-panel input[type=text]:visible").all()[:8]:
        box.fill(MARKUP)
        box.press("Enter")
    for name in ("Keep this option", "Export files"):
        for button in page.get_by_role("button", name=name, exact=True).all():
            button.click()
    page.wait_for_function(NOTHING_IN_WORK, timeout=240_000)
    page.wait_for_timeout(1000)
    lab.wait_for_kernel(notebook, 240)
    if notebook in ("checks.ipynb", "chosen_wall.ipynb", "wall_study.ipynb"):  # those that read a wall's file
        assert MARKUP in page.locator(".jp-Notebook").inner_text(), "the text itself is shown"
    assert page.evaluate(FOUND) == {"ran": False, "made": 0}
    page.evaluate(
        "text => { document.body.appendChild(document.createElement('div')).innerHTML = text; }", MARKUP
    )
    page.wait_for_function("() => window.ran === true")  # such text would have been found
    context.close()
    lab.stop_kernels()
