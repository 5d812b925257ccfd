"""The chosen option as files: written, and packed as one archive for the browser to save."""

from __future__ import annotations

import base64
import io
import zipfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import wallcalc as wc
from wallcalc.designing.pipeline import EXPORT_SECONDS
from wallcalc.files import file_name, numbered
from wallcalc.output.manifest import WALL
from wallcalc.panel.history import Moment
from wallcalc.panel.wall_transfer import holds_another
from wallcalc.panel.words import option_words


def export_folder(exports: Path, moment: Moment) -> Path:
    """Return the folder of an option's export: the wall's name, then one of the option's own.

    A wall of the same name that was exported to it before keeps it, and a number is added to the name.
    """
    option = file_name(option_words(moment.option))
    folders = (exports / name / option for name in numbered(file_name(moment.wall.name)))
    return next(folder for folder in folders if not holds_another(folder / WALL, moment.wall))


def write_export(exports: Path, moment: Moment) -> tuple[Any, list[Path]]:
    """Search the cutting plans further than while comparing, and write the option's files.

    Raises OSError: when the files cannot be written.
    """
    chosen = wc.design(
        moment.wall, moment.option, rules=moment.rules, prices=moment.prices, seconds=EXPORT_SECONDS
    )
    return chosen, [Path(path) for path in wc.export(chosen, export_folder(exports, moment))]


def archive(paths: Sequence[Path], folder: Path) -> tuple[str, str]:
    """Return files as one archive: its file name and a data URI that needs no script."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as pack:
        for path in paths:
            pack.write(path, path.name)
    data = base64.b64encode(packed.getvalue()).decode("ascii")
    return f"{folder.parent.name}_{folder.name}.zip", f"data:application/zip;base64,{data}"
