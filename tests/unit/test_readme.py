"""README keeps to what is there: its links and pictures, the files it names, its code, its five steps."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys

import matplotlib.image
import pytest
import readme_parts
from readme_parts import ROOT

import wallcalc as wc
from wallcalc.panel import StudyState

PICTURES = [link for link in readme_parts.links() if link.endswith(".png")]
MOST_BYTES = 400_000
WRITTEN_LATER = {"my_prices.csv", "lesson_progress.csv"}
"""Files that README names and its reader makes."""
FILE = re.compile(r"[\w./\\-]+\.(?:toml|csv|ipynb|pdf|json)")


def anchor(heading: str) -> str:
    return re.sub(r"[^\w -]", "", heading.lower()).replace(" ", "-")


def test_links_lead_somewhere() -> None:
    headings = {anchor(h) for h in re.findall(r"^#+ (.+)$", readme_parts.text(), re.MULTILINE)}
    for link in readme_parts.links():
        if link.startswith("#"):
            assert link[1:] in headings, link
        else:
            assert not link.startswith("http"), link
            assert (ROOT / link).is_file(), link


def test_pictures_are_all_shown_and_small() -> None:
    shown = {(ROOT / link).resolve() for link in PICTURES}
    assert shown == {path.resolve() for path in (ROOT / "data" / "pictures").iterdir()}
    for path in shown:
        height, width = matplotlib.image.imread(path).shape[:2]
        assert path.stat().st_size < MOST_BYTES, path.name
        assert 1000 <= width <= 1920, (path.name, width)
        assert height <= width, (path.name, height)


@pytest.fixture(scope="module")
def exported(tmp_path_factory: pytest.TempPathFactory) -> set[str]:
    chosen = wc.design(wc.Wall.load(ROOT / "data/walls/worked_wall.toml"), wc.Option())
    return {path.name for path in wc.export(chosen, tmp_path_factory.mktemp("exported"))}


def test_files_named_are_there(exported: set[str]) -> None:
    given = {p.name for folder in ("data", "notebooks") for p in (ROOT / folder).rglob("*")}
    named = {found for code in readme_parts.codes(readme_parts.text()) for found in FILE.findall(code)}
    assert len(named) > 12
    for name in named:
        path = name.replace("\\", "/")
        if path.startswith("data/"):
            assert (ROOT / path).is_file(), name
        else:
            assert path.rsplit("/", 1)[-1] in given | exported | WRITTEN_LATER, name


def test_commands_open_what_is_there() -> None:
    start, test = readme_parts.blocks("")
    assert [ROOT / word for word in start.split() if word.endswith(".ipynb")] == [
        ROOT / "notebooks/wall_study.ipynb"
    ]
    assert (ROOT / "notebooks/wall_study.ipynb").is_file()
    assert all((ROOT / word).is_dir() for word in test.split()[-2:])
    settings = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    assert re.search(r"Python ([\d.]+) or newer", readme_parts.text())[1] in settings
    for program in ("jupyterlab", "ipywidgets", "pytest", "nbval"):
        assert f'"{program}>=' in settings, "installed by README's own command"


def test_code_runs_as_it_stands(tmp_path) -> None:
    """Each block in a folder that holds the reader's files, in a fresh Python with warnings as errors."""
    blocks = readme_parts.blocks("python")
    assert len(blocks) == 2
    (tmp_path / "my_wall.toml").write_text("\n".join(readme_parts.blocks("toml")), encoding="utf-8")
    shutil.copy(ROOT / "data/prices.csv", tmp_path / "my_prices.csv")
    before = "from wallcalc.panel import StudyPanel\n"
    code = (
        before
        + "\n".join(blocks)
        + "\nassert panel.state.prices_from != 'invented demo prices'\nassert len(best)\n"
    )
    ran = subprocess.run(
        [sys.executable, "-W", "error", "-c", code], cwd=tmp_path, capture_output=True, text=True, timeout=300
    )
    assert ran.returncode == 0, ran.stderr
    assert (tmp_path / "my_wall" / "print_sheets.pdf").is_file()


@pytest.mark.parametrize(("column", "rules"), [(1, "uk"), (2, "us")])
def test_the_wall_of_step_three_builds(column: int, rules: str, tmp_path) -> None:
    keys = {
        "name": "name",
        "clear length": "length",
        "height, floor to ceiling": "height",
        "from the left": "left",
        "door leaf": "leaf",
    }
    state = StudyState("new_wall.toml", own_walls=tmp_path, exports=tmp_path)
    state.choose_rules(rules)
    for row in readme_parts.table(readme_parts.step(3)):
        key = keys[row[0].strip("*")]
        if key == "left":
            state.edit.add("opening")
        cells = state.edit.tables["opening"][0] if key in ("left", "leaf") else state.edit.top
        state.change_wall(state.edit.type(cells, key, row[column].strip("`")))
    assert state.edit.sound
    assert state.wall.name == "Box room"
    assert (len(state.wall.openings), state.buildable, state.row["fails"]) == (1, True, 0)
    metric = column == 1
    assert state.wall.length == (32_000 if metric else round(126.5 * 254))
    assert state.wall.openings[0].leaf == (7620 if metric else 30 * 254)


def test_the_reader_finds_names_and_tables() -> None:
    part = "a *name*, **bold**, `code *x*` [*no*](#x) *b*\n\n| h |\n| - |\n| *c* | `3 m` |\n"
    assert readme_parts.names(part) == ["name", "b", "c"]
    assert readme_parts.table(part) == [["*c*", "`3 m`"]]
    assert [bool(readme_parts.names(readme_parts.step(n))) for n in range(1, 6)] == [True] * 5


def test_the_map_names_every_package_and_module_of_the_ground() -> None:
    """DEVELOPERS.md, in its table or its picture; and names no module that is not there."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    rooms = {p.stem for p in (ROOT / "wallcalc").iterdir() if p.name[0] not in "_."}
    told = set(re.findall(r"[a-z_]+", text.split("## The house")[1].split("The way of a wall")[0]))
    assert rooms - told == set()
    for line in text.splitlines():
        row = re.match(r"\| `(\w+)` \| (.*?) \| ", line)
        if row and (ROOT / "wallcalc" / row[1]).is_dir():
            folder = ROOT / "wallcalc" / row[1]
            there = {p.stem for p in folder.rglob("*.py")} | {p.name for p in folder.rglob("*")}
            named = set(re.findall(r"`([a-z_]+)`", re.sub(r"\([^)]*\)", "", row[2])))
            assert named <= there, (row[1], named - there)
