"""Reading an exported folder back: the option from its summary, everything from the manifest."""

from __future__ import annotations

from os import PathLike
from pathlib import Path
from typing import Any

from wallcalc.errors import Problem
from wallcalc.files import read_csv_table
from wallcalc.given.option import OPTION_FIELDS, Option
from wallcalc.given.wall import Wall
from wallcalc.output.inputs import load_prices
from wallcalc.output.manifest import MANIFEST, PRICES, RULES, WALL, ExportError, read_manifest, unchanged
from wallcalc.output.tables import SUMMARY
from wallcalc.output.whole_set import UNFINISHED, settle
from wallcalc.trade.prices import PriceBook
from wallcalc.trade.rule_file import read_rule_file
from wallcalc.trade.rules import Rules


def read_summary(path: str | PathLike[str]) -> Option:
    """Return the option that a summary file names, keyword by keyword.

    Raises ExportError: listing every keyword that is missing, twice there or unreadable. Raises OptionError:
    when a value is not accepted.
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

    An export that was killed there is finished or undone first.

    Parameters
    ----------
    folder : path-like
        A folder written by :func:`wallcalc.output.export.export`.

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
    try:
        settle(place)
    except OSError as error:
        found = f"an export that is not finished ({error})"
        raise ExportError(
            [Problem(UNFINISHED, found, "a folder that may be written to")], str(place)
        ) from error
    manifest = read_manifest(place)
    problems = []
    for entry in manifest["files"]:
        name = str(entry["name"])
        file = place / name
        if Path(name).name != name or not file.is_file():
            problems.append(Problem(name, "no such file", "the file as exported"))
        elif not unchanged(file, str(entry["sha256"])):
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
