"""A real browser and the two servers that a user would start."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path
from urllib.error import URLError
from urllib.request import urlopen

import pytest

from pickupcalc.show.suite import FIRST_PAGE
from tests.conftest import ROOT

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
# No sandbox, since tests often run as root in a container; nothing but this machine is looked up;
# a sound takes its time without a sound card.
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update"]
FLAGS += ["--disable-sync", "--no-first-run"]
FLAGS += ["--autoplay-policy=no-user-gesture-required", "--disable-audio-output"]

if CHROMIUM is None or find_spec("playwright") is None:
    collect_ignore_glob = ["test_*.py"]


@pytest.fixture(scope="session")
def browser():
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        chromium = driver.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield chromium
        chromium.close()


@pytest.fixture
def page(browser):
    opened = browser.new_page(viewport={"width": 1300, "height": 1000})
    yield opened
    opened.close()


@contextmanager
def served(arguments: list[str], folder: Path, path: str) -> Iterator[str]:
    """The address of `pickupcalc lab` with these arguments, once `path` answers."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "-m", "pickupcalc", "lab", "--no-browser", "--port", str(port), *arguments]
    settings = folder / "jupyter"
    settings.mkdir(exist_ok=True)
    (settings / "jupyter_server_config.json").write_text('{"ServerApp": {"allow_root": true}}')
    # JupyterLab takes cells out of the page that are out of sight; a test looks at all of them.
    tracker = settings / "lab" / "@jupyterlab" / "notebook-extension" / "tracker.jupyterlab-settings"
    tracker.parent.mkdir(parents=True, exist_ok=True)
    tracker.write_text('{"windowingMode": "none"}')
    environment = os.environ | {"JUPYTER_TOKEN": "bench", "JUPYTER_CONFIG_DIR": str(settings)}
    environment |= {"JUPYTERLAB_SETTINGS_DIR": str(settings / "lab"), "PYTHONPATH": str(ROOT)}
    log = folder / f"server-{port}.log"
    with log.open("wb") as out:
        server = subprocess.Popen(command, cwd=folder, env=environment, stdout=out, stderr=out)
    base = f"http://127.0.0.1:{port}"
    try:
        _wait_for(f"{base}{path}", server, log)
        yield base
    finally:
        subprocess.run(["pkill", "-P", str(server.pid)], check=False)
        server.wait(timeout=20)


def _wait_for(address: str, server: subprocess.Popen[bytes], log: Path) -> None:
    for _ in range(600):
        try:
            urlopen(address, timeout=5).close()
            return
        except (URLError, ConnectionError, TimeoutError):
            assert server.poll() is None, log.read_text()
            time.sleep(0.2)
    raise AssertionError(f"{address} did not answer")


@pytest.fixture(scope="session")
def suite_folder(tmp_path_factory):
    return tmp_path_factory.mktemp("suite")


@pytest.fixture(scope="session")
def lab(suite_folder):
    """JupyterLab, started as a user would start it, on a copy of the notebooks."""
    with served(["--folder", "mine"], suite_folder, "/api") as base:
        yield base


@pytest.fixture(scope="session")
def voila(suite_folder):
    """The notebooks as pages without code."""
    with served(["--app", "--folder", "mine"], suite_folder, f"/voila/render/{FIRST_PAGE}") as base:
        yield base
