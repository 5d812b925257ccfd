"""Broken files of every kind: each is refused within two seconds, with the place, what was found and what would do."""

from __future__ import annotations

import os
import socket
import time

import pytest

import wallcalc as wc
from tests import broken_corpus
from wallcalc.errors import WallcalcError

LOADERS = {"wall": wc.Wall.load, "rules": wc.Rules.load, "prices": wc.PriceBook.load}
CASES = [
    pytest.param(kind, case, id=f"{kind}: {case.name}")
    for kind, made in (
        ("wall", broken_corpus.walls()),
        ("rules", broken_corpus.rules()),
        ("prices", broken_corpus.prices()),
        *((kind, broken_corpus.floods(kind)) for kind in LOADERS),
    )
    for case in made
]
MOST_SECONDS = 2.0


def problems_of(kind, path):
    """Return the problems of a file; it must be refused, by our own error, soon, and in a message of some pages."""
    start = time.process_time()
    with pytest.raises(WallcalcError) as caught:
        LOADERS[kind](path)
    assert time.process_time() - start < MOST_SECONDS
    assert len(str(caught.value)) < 50_000
    return caught.value.problems


def test_the_corpus_is_large_and_no_case_is_there_twice():
    assert len(CASES) >= 200
    assert len({case.id for case in CASES}) == len(CASES)


@pytest.mark.parametrize("kind", LOADERS)
def test_the_file_that_the_broken_ones_are_made_from_is_good(kind, tmp_path):
    path = tmp_path / "good"
    path.write_bytes(broken_corpus.GOOD[kind])
    LOADERS[kind](path)


@pytest.mark.parametrize(("kind", "case"), CASES)
def test_a_broken_file_is_told_of_in_one_problem(kind, case, tmp_path):
    path = tmp_path / "broken"
    path.write_bytes(case.content)
    (problem,) = problems_of(kind, path)
    assert problem.field.split(", column")[0] == case.field
    assert problem.found.startswith(case.found)
    assert problem.accepted.startswith(case.accepted)


@pytest.mark.parametrize("kind", LOADERS)
@pytest.mark.parametrize(
    ("what", "found"),
    [
        ("folder", "a folder, which is no file"),
        ("pipe", "a pipe, which is no file"),
        ("device", "a device, which is no file"),
        ("socket", "a socket, which is no file"),
        ("nowhere", "no file that can be read (No such file or directory)"),
        ("link to nowhere", "no file that can be read (No such file or directory)"),
        ("link to itself", "no file that can be read (Too many levels of symbolic links)"),
        ("long name", "no file that can be read (File name too long)"),
        ("NUL", "a path with a character that no path has"),
    ],
)
def test_what_is_no_file_is_one_clear_error_and_never_a_wait(kind, what, found, tmp_path):
    path, listening = tmp_path / "x", None
    if what == "folder":
        path.mkdir()
    elif what == "pipe":
        os.mkfifo(path)
    elif what == "device":
        path = "/dev/zero"
    elif what == "socket":
        listening = socket.socket(socket.AF_UNIX)
        listening.bind(os.path.relpath(path))
    elif what.startswith("link"):
        path.symlink_to(path if what == "link to itself" else tmp_path / "none")
    elif what == "long name":
        path = tmp_path / ("x" * 300)
    elif what == "NUL":
        path = "a\0b"
    try:
        (problem,) = problems_of(kind, path)
    finally:
        if listening is not None:
            listening.close()
    assert problem.field == "file"
    assert problem.found.startswith(found)


def test_a_thousand_openings_make_a_message_of_some_lines(tmp_path):
    hatch = '[[opening]]\nkind = "hatch"\nleft = 1\nwidth = 500\nheight = 500\nsill = 0\n'
    path = tmp_path / "wall.toml"
    path.write_text('name = "x"\nlength = "3.84 m"\nheight = "2.62 m"\n' + hatch * 1000)
    problems = problems_of("wall", path)
    assert (problems[0].field, problems[0].found) == ("opening", "1,000 tables")
    assert problems[0].accepted == "no more than 100 of them"


@pytest.mark.parametrize("count", [201, 5000])
def test_thousands_of_fixings_are_refused_at_once(count, tmp_path):
    points = ", ".join(f"[{100 + i % 3000}, {500 + i // 3000}]" for i in range(count))
    path = tmp_path / "wall.toml"
    path.write_text(
        'name = "x"\nlength = "3.84 m"\nheight = "2.62 m"\n'
        f'[[hung]]\nname = "a"\nside = "A"\nmass = 1\nfixings = [{points}]\n'
    )
    (problem,) = problems_of("wall", path)
    assert (problem.field, problem.found) == ("hung[1].fixings", f"{count:,} fixings")
    assert problem.accepted == "no more than 200 fixings on a wall"


def test_many_fixings_of_many_items_are_counted_together(tmp_path):
    rail = '[[hung]]\nname = "{}"\nside = "A"\nmass = 1\nfixing_centres = 100\nfixing_line = [[100, {}], [3700, {}]]\n'
    path = tmp_path / "wall.toml"
    head = 'name = "x"\nlength = "3.84 m"\nheight = "2.62 m"\n'
    path.write_text(head + "".join(rail.format(n, 500 + n, 500 + n) for n in range(6)))  # 37 fixings each
    (problem,) = problems_of("wall", path)
    assert (problem.field, problem.found) == ("hung", "222 fixings in all")


@pytest.mark.parametrize("kind", ["wall", "rules"])
def test_thousands_of_keys_that_are_not_known_are_told_soon(kind, tmp_path):
    path = tmp_path / "x.toml"
    path.write_bytes(b"".join(b"lenght%d = 1\n" % i for i in range(9000)) + broken_corpus.GOOD[kind])
    assert len(problems_of(kind, path)) == 9000
