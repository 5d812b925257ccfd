"""JupyterLab on a free loopback port with settings of its own, and Chromium to open it."""

from __future__ import annotations

import json
import os
import secrets
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.error
from collections.abc import Iterator

import pytest
from lab_server import QUIET, REPOSITORY, Lab


@pytest.fixture(scope="session")
def lab(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Lab]:
    folder = tmp_path_factory.mktemp("lab")
    for notebook in (REPOSITORY / "notebooks").glob("*.ipynb"):
        shutil.copy(notebook, folder)
    private = tmp_path_factory.mktemp("private")
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    token = secrets.token_hex(16)
    environment = os.environ | {
        "JUPYTER_CONFIG_DIR": str(private / "config"),
        "JUPYTER_DATA_DIR": str(private / "data"),
        "JUPYTER_RUNTIME_DIR": str(private / "runtime"),
        "JUPYTERLAB_SETTINGS_DIR": str(private / "settings"),
        "JUPYTERLAB_WORKSPACES_DIR": str(private / "workspaces"),
        "IPYTHONDIR": str(private / "ipython"),
        "MPLCONFIGDIR": str(private / "matplotlib"),
    }
    settings = private / "settings" / "@jupyterlab" / "apputils-extension"
    settings.mkdir(parents=True)
    (settings / "notification.jupyterlab-settings").write_text(
        json.dumps({"fetchNews": "false", "checkForUpdates": False}), encoding="utf-8"
    )
    log = (private / "lab.log").open("w")
    server = subprocess.Popen(
        [
            sys.executable,
            "-m",
            "jupyterlab",
            "--no-browser",
            "--ip=127.0.0.1",
            f"--port={port}",
            "--ServerApp.port_retries=0",
            f"--IdentityProvider.token={token}",
            f"--ServerApp.root_dir={folder}",
            "--ServerApp.allow_root=True",
        ],
        cwd=folder,
        env=environment,
        stdout=log,
        stderr=subprocess.STDOUT,
        start_new_session=True,
    )
    running = Lab(f"http://127.0.0.1:{port}", token, folder)
    try:
        end = time.monotonic() + 60
        while True:
            try:
                running.ask("api/status")
                break
            except (urllib.error.URLError, ConnectionError):
                if server.poll() is not None or time.monotonic() > end:
                    raise RuntimeError((private / "lab.log").read_text()) from None
                time.sleep(0.2)
        yield running
    finally:
        os.killpg(server.pid, signal.SIGTERM)
        try:
            server.wait(15)
        except subprocess.TimeoutExpired:
            os.killpg(server.pid, signal.SIGKILL)
            server.wait(15)
        log.close()


@pytest.fixture(scope="module")
def chromium() -> Iterator[object]:
    """Debian's Chromium, driven by playwright, whose event loop ends with the module: other tests run loops too."""
    playwright = pytest.importorskip("playwright.sync_api")
    program = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    if program is None:
        if os.environ.get("CI"):
            pytest.fail("Chromium is needed in CI: apt-get install chromium")
        pytest.skip("no Chromium on this machine; install it to run the browser tests")
    with playwright.sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=program, args=list(QUIET))
        yield browser
        browser.close()
