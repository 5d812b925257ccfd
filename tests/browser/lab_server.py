"""Where the browser tests run: a JupyterLab that answers on the loopback, and how Chromium opens a notebook in it."""

from __future__ import annotations

import json
import os
import secrets
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import matplotlib
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
FONTS = f"""<?xml version="1.0"?>
<!DOCTYPE fontconfig SYSTEM "fonts.dtd">
<fontconfig>
  <dir>{Path(matplotlib.get_data_path(), "fonts", "ttf")}</dir>
  <selectfont><acceptfont><glob>*/DejaVuSans*</glob></acceptfont>
    <rejectfont><glob>*/fonts/ttf/*</glob></rejectfont></selectfont>
  <alias><family>monospace</family><prefer><family>DejaVu Sans Mono</family></prefer></alias>
  <alias><family>sans-serif</family><prefer><family>DejaVu Sans</family></prefer></alias>
  <cachedir prefix="xdg">fontconfig</cachedir>
</fontconfig>
"""
"""The fonts that the browser finds, as fontconfig reads it."""
LAST_CELL_RAN = """() => { const all = document.querySelectorAll('.jp-Notebook .jp-Cell .jp-InputArea-prompt');
  return all.length > 0 && /\\[\\d+\\]/.test(all[all.length - 1].textContent); }"""
NOTHING_IN_WORK = "() => !document.querySelector('.wallcalc-panel progress')"


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


@contextmanager
def running_lab(folder: Path, private: Path) -> Iterator[Lab]:
    """Serve a copy of the notebooks from a folder, with configuration, data and settings in a private one."""
    for notebook in (REPOSITORY / "notebooks").glob("*.ipynb"):
        shutil.copy(notebook, folder)
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
    with (private / "lab.log").open("w") as log:
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


def chromium_program() -> str | None:
    """Return where Debian's Chromium is, None when it is not installed."""
    return shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")


@contextmanager
def running_chromium(*switches: str) -> Iterator[Any]:
    """Run Debian's Chromium, driven by playwright, started with further switches.

    It finds no fonts but those that matplotlib brings along, so that what is clipped or overlaps does not depend on
    the machine's.
    """
    playwright = pytest.importorskip("playwright.sync_api")
    if chromium_program() is None:
        if os.environ.get("CI"):
            pytest.fail("Chromium is needed in CI: apt-get install chromium")
        pytest.skip("no Chromium on this machine; install it to run the browser tests")
    with tempfile.TemporaryDirectory() as folder, playwright.sync_playwright() as driver:
        fonts = Path(folder, "fonts.conf")
        fonts.write_text(FONTS, encoding="utf-8")
        browser = driver.chromium.launch(
            executable_path=chromium_program(),
            args=[*QUIET, *switches],
            env=os.environ | {"FONTCONFIG_FILE": str(fonts)},
        )
        yield browser
        browser.close()


def open_notebook(
    lab: Lab, browser: Any, notebook: str, size: tuple[int, int], *, scale: float = 1.0, bar: bool = True
) -> Any:
    """Open a notebook, run all its cells and wait until it rests.

    ``size`` is the window in pixels of the screen; with ``scale`` 2 the page is shown at 200 %, so it has half of
    them to lay itself out in. ``bar`` leaves the file browser beside it open.
    """
    width, height = (round(side / scale) for side in size)
    context = browser.new_context(viewport={"width": width, "height": height}, device_scale_factor=scale)
    page = context.new_page()
    page.set_default_timeout(60_000)
    page.goto(f"{lab.address}/lab/tree/{notebook}?reset&token={lab.token}")
    page.wait_for_selector(".jp-Notebook")
    if not bar:
        page.keyboard.press("Control+b")
    lab.wait_for_kernel(notebook)
    page.get_by_role("menuitem", name="Run", exact=True).click()
    page.locator("#jp-mainmenu-run").get_by_text("Run All Cells", exact=True).click()
    page.wait_for_selector(".wallcalc-panel img.wallcalc-picture")
    page.wait_for_function(LAST_CELL_RAN, timeout=240_000)
    page.wait_for_function(NOTHING_IN_WORK, timeout=240_000)
    page.wait_for_timeout(500)
    return page
