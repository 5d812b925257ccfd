"""Reading an exported folder back: the option from its summary, everything from the manifest."""

from __future__ import annotations

import hashlib
import json
from os import PathLike
from pathlib import Path
from typing import Any

from wallcalc.errors import Problem, WallcalcError
from wallcalc.files import read_csv_table
from wallcalc.given.option import OPTION_FIELDS, Option
from wallcalc.given.wall import Wall
from wallcalc.output.inputs import load_prices
from wallcalc.output.tables import SUMMARY
from wallcalc.output.write_csv import FORMAT, MANIFEST, PRICES, RULES, WALL
from wallcalc.trade.prices import PriceBook
from wallcalc.trade.rule_file import read_rule_file
from wallcalc.trade.rules import Rules


class ExportError(WallcalcError):
    """An exported folder that cannot be read back."""

    what = "exported folder"


def read_summary(path: str | PathLike[str]) -> Option:
    """Return the option that a summary file names, keyword by keyword.

    Parameters
    ----------
    path : path-like
        ``summary.csv`` of an export.

    Returns
    -------
    Option

    Raises
    ------
    ExportError
        Listing every keyword that is missing, twice there or unreadable.
    OptionError
        When a value is not accepted.
    """
    found: dict[str, list[str]] = {}
    for row in read_csv_table(path):
        if row.get("group") == "option":
            found.setdefault(str(row.get("name")), []).append(str(row.get("value") or ""))
    problems = [
        Problem(f"option {name}", f"{len(found.get(name, []))} rows", "one row for each keyword")
        for name in OPTION_FIELDS
        if len(found.get(name, [])) != 1
    ]
    keywords: dict[str, Any] = {}
    for name in OPTION_FIELDS:
        if len(found.get(name, [])) != 1:
            continue
        text = found[name][0]
        try:
            keywords[name] = _keyword(name, text)
        except ValueError:
            problems.append(Problem(f"option {name}", repr(text), "a number"))
    if problems:
        raise ExportError(problems, str(path))
    return Option(**keywords)


def rebuild(folder: str | PathLike[str]) -> tuple[Wall, Option, Rules, PriceBook]:
    """Return what an exported design was made from, after checking every file against the manifest.

    Parameters
    ----------
    folder : path-like
        A folder written by :func:`wallcalc.output.write_csv.export`.

    Returns
    -------
    tuple of (Wall, Option, Rules, PriceBook)
        Designing them again gives the design.

    Raises
    ------
    ExportError
        Listing every file that is missing or was changed since.
    """
    place = Path(folder)
    manifest = _manifest(place)
    problems = []
    for entry in manifest["files"]:
        name = str(entry["name"])
        file = place / name
        if Path(name).name != name or not file.is_file():
            problems.append(Problem(name, "no such file", "the file as exported"))
        elif hashlib.sha256(file.read_bytes()).hexdigest() != entry["sha256"]:
            problems.append(Problem(name, "changed since the export", "the file as exported"))
    listed = {str(entry["name"]) for entry in manifest["files"]}
    problems += [
        Problem(MANIFEST, f"no entry for {name}", "a manifest as exported")
        for name in (WALL, SUMMARY, RULES, PRICES)
        if name not in listed
    ]
    if problems:
        raise ExportError(problems, str(place))
    rules = Rules(str(manifest["rules"]["name"]), read_rule_file(place / RULES))
    prices = load_prices(place / PRICES, str(manifest["prices"]["name"]))
    for found, entry in ((rules, manifest["rules"]), (prices, manifest["prices"])):
        if found.digest != entry["digest"]:
            problems.append(Problem(str(entry["file"]), "other content than the design used", "as exported"))
    option = read_summary(place / SUMMARY)
    if problems:
        raise ExportError(problems, str(place))
    return Wall.load(place / WALL), option, rules, prices


def _manifest(place: Path) -> dict[str, Any]:
    file = place / MANIFEST
    try:
        manifest = json.loads(file.read_text(encoding="utf-8"))
        _ = [(e["name"], e["sha256"]) for e in manifest["files"]]
        _ = [(manifest[part]["name"], manifest[part]["digest"]) for part in ("rules", "prices")]
    except OSError as error:
        raise ExportError(
            [Problem(MANIFEST, "no such file", "a folder written by an export")], str(place)
        ) from error
    except (ValueError, KeyError, TypeError) as error:
        raise ExportError(
            [Problem(MANIFEST, "not readable", "a manifest as exported")], str(place)
        ) from error
    if manifest.get("format") != FORMAT:
        found = f"format {manifest.get('format')!r}"
        raise ExportError([Problem(MANIFEST, found, f"format {FORMAT}")], str(place))
    return manifest


def _keyword(name: str, text: str) -> Any:
    if name in ("layers_a", "layers_b"):
        return int(float(text))
    if name == "stud_centres":
        return float(text)
    if name == "course_from":
        try:
            return float(text)
        except ValueError:
            return text
    if name in ("sheet", "board_a", "board_b", "fill"):
        return text or None
    return text
