"""What things are called changes no timber, no note and no count: names that sound like the program's own words."""

from dataclasses import replace

import pytest

import wallcalc as wc
from wallcalc.designing.layouts import added_members
from wallcalc.draw.frame_marks import added_for, added_words, carrying
from wallcalc.records import MODULE, Purpose, for_item
from wallcalc.shipped import data_folder

WALL = wc.Wall.load(data_folder() / "walls" / "laundry_and_practice_room.toml")
SERVICES = tuple("abcdefgh"[: len(WALL.services)])


def renamed(items, services):
    """Return the demo wall with other names."""
    hung = tuple(replace(i, name=name) for i, name in zip(WALL.hung, items, strict=True))
    other = tuple(replace(s, name=name) for s, name in zip(WALL.services, services, strict=True))
    return replace(WALL, hung=hung, services=other)


@pytest.fixture(scope="module")
def plain():
    return made(renamed(("ewer", "harp"), SERVICES))


def made(wall):
    return wc.design(wall, wc.Option(stud_centres=600), model="closed form")


@pytest.mark.parametrize(
    "name", ["module", "layout", "stability", "opening", "moved basin", "joint on side A"]
)
def test_a_hung_item_called_like_a_purpose_changes_nothing(plain, name):
    wall = renamed((name, "harp"), SERVICES)
    design = made(wall)
    for m, n in zip(plain.frame.members, design.frame.members, strict=True):
        assert replace(m, serves=()) == replace(n, serves=())
        assert [p.kind for p in m.serves] == [p.kind for p in n.serves]
    assert [n.replace("ewer", name) for n in plain.frame.notes] == list(design.frame.notes)
    assert added_members(plain) == added_members(design)
    assert (added_for(plain), carrying(plain)) == (added_for(design), carrying(design))
    assert added_words(plain).replace("ewer", name) == added_words(design)
    assert plain.cost == design.cost


@pytest.mark.parametrize("name", ["module", "trough and", "harp", "moved 12 mm up for"])
def test_services_called_like_a_purpose_or_an_item_change_nothing(plain, name):
    design = made(renamed(("ewer", "harp"), (name, *SERVICES[1:])))
    for m, n in zip(plain.frame.members, design.frame.members, strict=True):
        assert replace(m, serves=()) == replace(n, serves=())
        assert [p.kind for p in m.serves] == [p.kind for p in n.serves]
    assert added_members(plain) == added_members(design)
    assert (added_for(plain), carrying(plain)) == (added_for(design), carrying(design))
    assert plain.cost == design.cost


def test_a_purpose_is_told_by_its_kind_and_reads_as_its_words():
    assert for_item("module") != MODULE
    assert MODULE == "module"
    assert str(for_item("module")) == "module"
    assert len({for_item("module"), MODULE, Purpose("module", "module")}) == 2


@pytest.mark.parametrize("name", ["shelf", "O'Brien's shelf, left", "module", "shelf, fixing at 2690"])
def test_a_refused_item_is_found_whatever_it_is_called(name):
    # a fixing 10 mm off the jamb's edge: 8 mm to the left it is on the jamb stud, 18 mm from both its edges
    item = replace(WALL.hung[1], name=name, fixings=((26_900, 12_000),), line=None)
    with pytest.raises(wc.OptionError) as caught:
        made(replace(WALL, hung=(item,), services=()))
    (refusal,) = caught.value.refusals
    assert (refusal.subject.kind, refusal.subject.name) == ("hung item", name)
    assert refusal.nearest_change == f"move {name!r} 8 mm left"
