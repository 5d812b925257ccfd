"""Where the shipped data and notebooks are: beside the package in a checkout, inside it once installed."""

from __future__ import annotations

from pathlib import Path

PACKAGE = Path(__file__).resolve().parent


def _folder(name: str, package: Path) -> Path:
    installed = package / "_shipped" / name
    if installed.is_dir():
        return installed
    checkout = package.parent
    if (checkout / "pyproject.toml").is_file() and (checkout / name).is_dir():
        return checkout / name
    raise FileNotFoundError(
        f"the folder '{name}' that comes with wallcalc was not found: looked for {installed} (an installed wallcalc) "
        f"and {checkout / name} beside a pyproject.toml (a checkout); install wallcalc again"
    )


def data_folder() -> Path:
    """Return the folder of the shipped data (rules, prices, timber classes, walls).

    ``data`` of the checkout, or ``wallcalc/_shipped/data`` of an installed package. Raises FileNotFoundError:
    when neither exists; the message names both places.
    """
    return _folder("data", PACKAGE)


def notebooks_folder() -> Path:
    """Return the folder of the shipped notebooks.

    ``notebooks`` of the checkout, or ``wallcalc/_shipped/notebooks`` of an installed package. Raises
    FileNotFoundError: when neither exists; the message names both places.
    """
    return _folder("notebooks", PACKAGE)
