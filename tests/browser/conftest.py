"""JupyterLab on a free loopback port with settings of its own, and Chromium to open it."""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest
from lab_server import Lab, chromium_program, running_lab, start_chromium


@pytest.fixture(scope="session")
def lab(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Lab]:
    with running_lab(tmp_path_factory.mktemp("lab"), tmp_path_factory.mktemp("private")) as running:
        yield running


@pytest.fixture(scope="module")
def chromium() -> Iterator[object]:
    """Debian's Chromium, driven by playwright, whose event loop ends with the module: other tests run loops too."""
    playwright = pytest.importorskip("playwright.sync_api")
    if chromium_program() is None:
        if os.environ.get("CI"):
            pytest.fail("Chromium is needed in CI: apt-get install chromium")
        pytest.skip("no Chromium on this machine; install it to run the browser tests")
    with playwright.sync_playwright() as driver:
        browser = start_chromium(driver)
        yield browser
        browser.close()
