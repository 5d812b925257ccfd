"""Export: the chosen design as files that open in a spreadsheet, with all that is needed to rebuild it."""

from __future__ import annotations

import contextlib
import errno
import os
from os import PathLike
from pathlib import Path
from typing import Any

from wallcalc.files import csv_bytes, held
from wallcalc.given.wall_file import text_to_save
from wallcalc.output.inputs import prices_bytes, rules_text
from wallcalc.output.manifest import (
    MANIFEST,
    PRICES,
    RULES,
    SHEETS,
    SOUND,
    WALL,
    ExportError,
    manifest_bytes,
    read_manifest,
    unchanged,
)
from wallcalc.output.tables import (
    SUMMARY,
    SUMMARY_COLUMNS,
    TABLES,
    sound_bytes,
    summary_rows,
    table_bytes,
)
from wallcalc.output.whole_set import NotWrittenError, alone, replace_set

REASONS = {
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "no more may be stored on this disk",
    errno.EFBIG: "a file would be larger than is allowed here",
    errno.ENAMETOOLONG: "its name is too long",
    errno.ELOOP: "its links lead round in a circle",
}


def export(design: Any, folder: str | PathLike[str], *, sheets: bool = True) -> list[Path]:
    """Write a design's files: tables, summary, the wall, rules and prices used, sheets to print, a manifest.

    The files of the last export there, as its manifest names them, are replaced as a whole or, when anything goes
    wrong, not at all; so too when the export is killed, once the folder is next exported to or rebuilt from. Other
    files in the folder are left alone.

    Parameters
    ----------
    design : Design
        The chosen design.
    folder : path-like
        Where to write; made when it is not there.
    sheets : bool
        Whether the sheets to print (PDF) are made too.

    Returns
    -------
    list of pathlib.Path
        The files written, the manifest last.

    Raises
    ------
    FileHeldError
        When a file there is held open by another program, or the folder may not be written to.
    NotADirectoryError
        When ``folder``, or what it should be in, is a file.
    NotWrittenError
        When something there has the name of a file to be written and no export wrote it, when another export into
        the folder is under way, or when the files cannot be written for another reason, such as a full disk.
    """
    contents = _contents(design, sheets)
    contents[MANIFEST] = manifest_bytes(design, contents)
    target = Path(folder).expanduser().absolute()
    if "\0" in str(target):
        raise NotWrittenError(f"cannot write to {str(target)!r}: a name cannot hold the sign of number 0")
    made: list[Path] = []
    try:
        made = _make(target)
        with alone(target):
            replace_set(target, _replaced(target, contents), contents)
    except BaseException as error:
        for place in made:
            with contextlib.suppress(OSError):
                place.rmdir()
        if isinstance(error, OSError):
            raise _said(error, target, contents) from error
        raise
    return [target / name for name in contents]


def _contents(design: Any, sheets: bool) -> dict[str, bytes]:
    contents = {table.name: table_bytes(getattr(design, table.attribute)) for table in TABLES}
    contents[SUMMARY] = csv_bytes(SUMMARY_COLUMNS, summary_rows(design, _inputs(design)))
    if getattr(design, "sound", None) is not None:
        contents[SOUND] = sound_bytes(design.sound)
    contents[RULES] = rules_text(design.rules).encode("utf-8")
    contents[PRICES] = prices_bytes(design.prices)
    if sheets:
        from wallcalc.output.sheets import print_sheets

        contents[SHEETS] = print_sheets(design)
    contents[WALL] = text_to_save(design.wall).encode("utf-8")
    return contents


def _inputs(design: Any) -> list[tuple[str, str, object, str]]:
    return [
        ("inputs", "rules", design.rules.name, ""),
        ("inputs", "rules digest", design.rules.digest, "sha256"),
        ("inputs", "prices", design.prices.name, ""),
        ("inputs", "prices digest", design.prices.digest, "sha256"),
        ("inputs", "prices are", "net of tax", design.prices.currency),
    ]


def _make(target: Path) -> list[Path]:
    """Make a folder and those above it; return the ones made, the innermost first."""
    missing = [place for place in (target, *target.parents) if not os.path.lexists(place)]
    above = missing[-1].parent if missing else target
    if not above.is_dir():
        if above.is_symlink():
            raise NotWrittenError(f"cannot write to {target}: {above} is a link that leads nowhere")
        raise NotADirectoryError(
            f"cannot write to {target}: {'it' if above == target else above} is a file; choose a folder"
        )
    target.mkdir(parents=True, exist_ok=True)
    return missing


def _replaced(target: Path, contents: dict[str, bytes]) -> list[str]:
    """Return the files of the last export that go, the manifest first; those changed since and not written anew stay.

    Raises NotWrittenError with all that has the name of a file to be written and that no export wrote.
    """
    last: dict[str, str] = {}
    odd: list[str] = []
    if os.path.lexists(target / MANIFEST):
        try:
            last = {str(e["name"]): str(e["sha256"]) for e in read_manifest(target)["files"]}
        except ExportError:
            odd.append(f"{MANIFEST}, which is no manifest of an export")
        else:
            last = {MANIFEST: ""} | {n: d for n, d in last.items() if Path(n).name == n}
    for name in contents:
        file = target / name
        if file.is_symlink() or (file.exists() and not file.is_file()):
            odd.append(f"{name}, which is a {'link' if file.is_symlink() else 'folder'}")
        elif file.exists() and name not in last and name != MANIFEST:
            odd.append(f"{name}, which no export wrote")
    if odd:
        raise NotWrittenError(
            f"cannot write to {target}: there is {'; '.join(odd)}. Move it away, or choose another folder. "
            "Nothing was changed."
        )
    stale = (
        name for name, digest in last.items() if name not in contents and unchanged(target / name, digest)
    )
    here = (name for name in dict.fromkeys([MANIFEST, *contents]) if (target / name).exists())
    return [*here, *stale]


def _said(error: OSError, target: Path, contents: dict[str, bytes]) -> OSError:
    """Return an error that names what could not be written, and why."""
    if isinstance(error, NotWrittenError) or (error.errno is None and error.args):
        return error
    if isinstance(error, PermissionError) or error.errno == errno.EROFS:
        name = Path(error.filename).name if isinstance(error.filename, (str, PathLike)) else ""
        return held(target / name if name in contents else target)
    reason = REASONS.get(error.errno or 0, error.strerror or type(error).__name__)
    return NotWrittenError(f"cannot write to {target}: {reason}. Nothing was changed.")
