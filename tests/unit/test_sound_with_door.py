"""What a wall's check says of its door: the combined rating, and the rating the door would need."""

from __future__ import annotations

import dataclasses

import pytest

import wallcalc as wc
from wallcalc.shipped import data_folder

WALL = wc.Wall.load(data_folder() / "walls" / "laundry_plain.toml")


def with_rating(rating: float | None) -> wc.Wall:
    return dataclasses.replace(WALL, openings=(dataclasses.replace(WALL.openings[0], rating=rating),))


def row_of(design: wc.Design):
    return design.checks[design.checks["check"] == "sound with its openings"].iloc[0]


def test_a_door_as_good_as_asked_costs_one_decibel() -> None:
    poor = wc.design(with_rating(20), wc.Option(fill="wool-75"))
    row = row_of(poor)
    assert row["verdict"] == "caution"
    assert row["value"] == poor.sound.with_door.Rw < poor.sound.Rw - 1
    asked = float(row["why"].split("would need Rw ")[1].split(" ")[0])
    good = wc.design(with_rating(asked), wc.Option(fill="wool-75"))
    assert good.sound.with_door.Rw == good.sound.Rw - 1
    assert row_of(good)["verdict"] == "ok"
    less = wc.design(with_rating(asked - 2), wc.Option(fill="wool-75"))
    assert less.sound.with_door.Rw < less.sound.Rw - 1 or row_of(less)["verdict"] == "caution"


def test_an_assumed_rating_says_so_and_a_wall_without_openings_has_no_row() -> None:
    row = row_of(wc.design(with_rating(None)))
    assert "(assumed)" in row["case"]
    assert "assumed rating" in row["source"]
    plain = wc.design(dataclasses.replace(WALL, openings=()))
    assert (plain.checks["check"] != "sound with its openings").all()


@pytest.mark.parametrize("rating", [15, 27, 40])
def test_the_combined_rating_lies_between_door_and_wall(rating: int) -> None:
    sound = wc.design(with_rating(rating)).sound
    assert min(rating, sound.Rw) - 1 <= sound.with_door.Rw <= max(rating, sound.Rw)
