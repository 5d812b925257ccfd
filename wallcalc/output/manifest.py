"""The manifest of an exported folder: what made it, and every file with its hash."""

from __future__ import annotations

import hashlib
import importlib.metadata
import json
from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path
from typing import Any

from wallcalc.errors import Problem, WallcalcError

MANIFEST = "manifest.json"
WALL, RULES, PRICES, SOUND, SHEETS = "wall.toml", "rules.toml", "prices.csv", "sound.csv", "print_sheets.pdf"
FORMAT = 1


class ExportError(WallcalcError):
    """An exported folder that cannot be read back."""

    what = "exported folder"


def manifest_bytes(design: Any, contents: Mapping[str, bytes]) -> bytes:
    """Return the manifest of a design's files as JSON."""
    manifest = {
        "format": FORMAT,
        "made_by": f"wallcalc {importlib.metadata.version('wallcalc')}",
        "wall": design.wall.name,
        "option": asdict(design.option),
        "rules": {"file": RULES, "name": design.rules.name, "digest": design.rules.digest},
        "prices": {"file": PRICES, "name": design.prices.name, "digest": design.prices.digest},
        "files": [
            {"name": name, "sha256": hashlib.sha256(content).hexdigest(), "bytes": len(content)}
            for name, content in contents.items()
        ],
    }
    return (json.dumps(manifest, indent=2, ensure_ascii=False) + "\n").encode("utf-8")


def read_manifest(folder: Path) -> dict[str, Any]:
    """Return the manifest of a folder; an ExportError where it has none, or one that no export wrote."""
    file = folder / MANIFEST
    try:
        manifest = json.loads(file.read_text(encoding="utf-8"))
        _ = [(e["name"], e["sha256"]) for e in manifest["files"]]
        _ = [(manifest[part]["name"], manifest[part]["digest"]) for part in ("rules", "prices")]
    except OSError as error:
        raise ExportError(
            [Problem(MANIFEST, "no such file", "a folder written by an export")], str(folder)
        ) from error
    except (ValueError, KeyError, TypeError) as error:
        raise ExportError(
            [Problem(MANIFEST, "not readable", "a manifest as exported")], str(folder)
        ) from error
    if manifest.get("format") != FORMAT:
        found = f"format {manifest.get('format')!r}"
        raise ExportError([Problem(MANIFEST, found, f"format {FORMAT}")], str(folder))
    return manifest


def unchanged(file: Path, digest: str) -> bool:
    """Return whether a file is there and holds what its hash was taken of."""
    return file.is_file() and hashlib.sha256(file.read_bytes()).hexdigest() == digest
