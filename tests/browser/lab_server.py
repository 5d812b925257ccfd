"""Where the browser tests run: a JupyterLab that answers on the loopback, and how Chromium is started."""

from __future__ import annotations

import json
import time
import urllib.request
from dataclasses import dataclass
from pathlib import Path

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
