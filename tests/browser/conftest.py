"""JupyterLab on a free loopback port with settings of its own, and Chromium to open it."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from lab_server import Lab, running_chromium, running_lab


@pytest.fixture(scope="session")
def lab(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Lab]:
    with running_lab(tmp_path_factory.mktemp("lab"), tmp_path_factory.mktemp("private")) as running:
        yield running


@pytest.fixture(scope="module")
def chromium() -> Iterator[object]:
    """Debian's Chromium, driven by playwright, whose event loop ends with the module: other tests run loops too."""
    with running_chromium() as browser:
        yield browser
