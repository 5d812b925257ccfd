"""Export: the chosen design as files that open in a spreadsheet, with all that is needed to rebuild it."""

from __future__ import annotations

import contextlib
import hashlib
import importlib.metadata
import json
import os
import shutil
import uuid
from dataclasses import asdict
from os import PathLike
from pathlib import Path
from typing import Any

from wallcalc.files import csv_bytes, held, write_bytes
from wallcalc.output.inputs import prices_bytes, rules_text
from wallcalc.output.tables import (
    SUMMARY,
    SUMMARY_COLUMNS,
    TABLES,
    sound_bytes,
    summary_rows,
    table_bytes,
)

MANIFEST = "manifest.json"
WALL, RULES, PRICES, SOUND, SHEETS = "wall.toml", "rules.toml", "prices.csv", "sound.csv", "print_sheets.pdf"
FORMAT = 1


def export(design: Any, folder: str | PathLike[str], *, sheets: bool = True) -> list[Path]:
    """Write a design's files: tables, summary, the wall, rules and prices used, sheets to print, a manifest.

    Everything is written into a temporary folder beside the target first and then moved in place; when
    anything goes wrong on the way, what was there before is put back. Other files in the folder are left
    alone.

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
        When ``folder`` is a file.
    """
    target = Path(folder).expanduser().absolute()
    if target.exists() and not target.is_dir():
        raise NotADirectoryError(f"cannot write to {target}: it is a file; choose a folder")
    temporary = target.parent / f".{target.name}.{uuid.uuid4().hex[:12]}.part"
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        temporary.mkdir()
    except PermissionError as error:
        raise held(target) from error
    try:
        names = _write_all(design, temporary, sheets)
        _move(temporary, target, names)
    finally:
        shutil.rmtree(temporary, ignore_errors=True)
    return [target / name for name in names]


def _write_all(design: Any, folder: Path, sheets: bool) -> list[str]:
    contents = {table.name: table_bytes(getattr(design, table.attribute)) for table in TABLES}
    contents[SUMMARY] = csv_bytes(SUMMARY_COLUMNS, summary_rows(design, _inputs(design)))
    if getattr(design, "sound", None) is not None:
        contents[SOUND] = sound_bytes(design.sound)
    contents[RULES] = rules_text(design.rules).encode("utf-8")
    contents[PRICES] = prices_bytes(design.prices)
    if sheets:
        from wallcalc.output.sheets import print_sheets

        contents[SHEETS] = print_sheets(design)
    for name, content in contents.items():
        write_bytes(folder / name, content)
    design.wall.save(folder / WALL)
    names = [*contents, WALL]
    files = [
        {"name": name, "sha256": hashlib.sha256(content).hexdigest(), "bytes": len(content)}
        for name, content in ((name, (folder / name).read_bytes()) for name in names)
    ]
    manifest = {
        "format": FORMAT,
        "made_by": f"wallcalc {importlib.metadata.version('wallcalc')}",
        "wall": design.wall.name,
        "option": asdict(design.option),
        "rules": {"file": RULES, "name": design.rules.name, "digest": design.rules.digest},
        "prices": {"file": PRICES, "name": design.prices.name, "digest": design.prices.digest},
        "files": files,
    }
    text = json.dumps(manifest, indent=2, ensure_ascii=False) + "\n"
    write_bytes(folder / MANIFEST, text.encode("utf-8"))
    return [*names, MANIFEST]


def _inputs(design: Any) -> list[tuple[str, str, object, str]]:
    return [
        ("inputs", "rules", design.rules.name, ""),
        ("inputs", "rules digest", design.rules.digest, "sha256"),
        ("inputs", "prices", design.prices.name, ""),
        ("inputs", "prices digest", design.prices.digest, "sha256"),
        ("inputs", "prices are", "net of tax", design.prices.currency),
    ]


def _move(temporary: Path, target: Path, names: list[str]) -> None:
    """Move every new file in place; on any trouble put back what was there."""
    if not target.exists():
        os.replace(temporary, target)
        return
    aside = temporary / "before"
    aside.mkdir()
    saved: list[str] = []
    moved: list[str] = []
    name = ""
    try:
        for name in names:
            if (target / name).exists():
                os.replace(target / name, aside / name)
                saved.append(name)
        for name in names:
            os.replace(temporary / name, target / name)
            moved.append(name)
    except BaseException as error:
        for done in moved:
            with contextlib.suppress(OSError):
                (target / done).unlink()
        for done in saved:
            with contextlib.suppress(OSError):
                os.replace(aside / done, target / done)
        if isinstance(error, PermissionError):
            raise held(target / name) from error
        raise
