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
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

REPOSITORY = Path(__file__).resolve().parents[2]
SHOTS = Path(__file__).resolve().parent / "shots"
QUIET = (
    "--no-sandbox",
    "--disable-dev-shm-usage",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-quic",
)


@dataclass(frozen=True)
class Lab:
    """A running JupyterLab: where it answers, its token and the folder it serves."""

    address: str
    token: str
    folder: Path

    def ask(self, path: str) -> object:
        """Return the server's JSON answer."""
        request = urllib.request.Request(
            f"{self.address}/{path}", headers={"Authorization": f"token {self.token}"}
        )
        with urllib.request.urlopen(request, timeout=10) as answer:
            return json.load(answer)

    def wait_for_kernel(self, notebook: str, seconds: float = 60.0) -> None:
        """Wait until the notebook's own kernel is idle (the toolbar says so before there is one)."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            for session in self.ask("api/sessions"):
                if session["path"].endswith(notebook) and session["kernel"]["execution_state"] == "idle":
                    return
            time.sleep(0.1)
        raise TimeoutError(f"no idle kernel for {notebook} within {seconds} s")

    def stop_kernels(self) -> None:
        """Shut every session down, so that the next page begins with a new kernel."""
        for session in self.ask("api/sessions"):
            request = urllib.request.Request(
                f"{self.address}/api/sessions/{session['id']}",
                method="DELETE",
                headers={"Authorization": f"token {self.token}"},
            )
            urllib.request.urlopen(request, timeout=20).close()


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


@pytest.fixture(scope="session")
def chromium() -> Iterator[object]:
    """Debian's Chromium, driven by playwright."""
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
