"""The real `kilncalc open` and a real browser on it, with nothing of this machine's own settings in play."""

import json
import os
import re
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import nbformat
import pytest

CHROMIUM = Path(os.environ.get("KILNCALC_CHROMIUM", "/usr/bin/chromium"))
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
PICTURES = os.environ.get("KILNCALC_PICTURES")
"""The folder for pictures of what the tests see, if somebody wants to look at them: each takes a while."""
SECONDS = int(os.environ.get("S", 180))
"""How long to wait for what has to come; a machine that is busy with other work is slow, not broken."""

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
"""The workers share the processors among themselves; threads of numpy would only wait for each other."""

LISTEN = """() => {
  const { kernel } = jupyterapp.shell.currentWidget.sessionContext.session;
  if (window.kilncalcHeard === kernel) return;
  window.kilncalcHeard = kernel;
  const asked = window.kilncalcAsked = new Set();
  const lost = window.kilncalcLost = [];
  kernel.anyMessage.connect((_, { msg, direction }) => {
    if (direction === 'send' && msg.channel === 'shell') asked.add(msg.header.msg_id);
  });
  kernel.iopubMessage.connect((_, msg) => {
    const { execution_state, name, text } = msg.content;
    if (execution_state === 'idle') asked.delete(msg.parent_header.msg_id);
    if (name === 'stderr' && text.includes('Traceback')) lost.push(text);
  });
  kernel.statusChanged.connect((_, status) => status === 'restarting' && asked.clear());
}"""
"""Remember from now on what the page has asked of the kernel, until it is answered and has reached the page,
and each traceback from a callback, which the kernel writes and JupyterLab shows to nobody.

The kernel need not answer in order: a slider's and a cell's requests are worked on beside each other.
"""

SETTLED = f"""async part => {{
  const frame = () => new Promise(requestAnimationFrame);
  const look = () => part.innerHTML + [...part.querySelectorAll('input')].map(input => input.value);
  const late = performance.now() + {SECONDS * 1000};
  const none = async what => {{
    while (what()) {{
      if (performance.now() > late) throw new Error(`still so: ${{what}}`);
      await frame();
    }}
  }};
  let before;
  await none(() => window.kilncalcAsked.size);
  do {{
    before = look();
    await frame();
    await frame();
    await none(() => window.kilncalcAsked.size || part.querySelector('[aria-busy=true]'));
    if (performance.now() > late) throw new Error('never still');
  }} while (look() !== before);
}}"""
"""Wait until all that was done to a part of the page has been answered and drawn, and nothing follows."""


@dataclass
class Lab:
    """A running `kilncalc open`: its process, its address with the token, and what it said so far."""

    process: subprocess.Popen
    home: Path
    folder: Path
    port: int
    lines: list[str] = field(default_factory=list)
    address: str = ""

    def url(self, name: str) -> str:
        """Return the address of another notebook of the folder, in the same view, with the token."""
        return self.address.replace("0-start-here.ipynb", name)

    def api(self, what: str, where: str = "api") -> str:
        """Return the address of something the server tells or does, with the token."""
        token = self.address.split("token=")[1]
        return f"http://localhost:{self.port}/{where}/{what}?token={token}"


def pytest_xdist_auto_num_workers() -> int:
    """One worker more than processors: a test in a browser waits half its time for one of five processes."""
    return min(os.cpu_count() or 1, 7) + 1


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def _home_with_settings_of_its_own(home: Path) -> dict[Path, bytes]:
    """Make a person's home with Jupyter settings in it, and return those files as they are."""
    broken_kernel = {
        "argv": ["/no/such/python", "{connection_file}"],
        "display_name": "Old",
        "language": "python",
    }
    planted = {
        home / ".jupyter/jupyter_lab_config.json": {"LabApp": {"default_url": "/tree"}},
        home / ".jupyter/jupyter_server_config.json": {
            "ServerApp": {"ip": "0.0.0.0", "root_dir": "/"},
            "FileContentsManager": {"preferred_dir": "etc"},
        },
        home / ".jupyter/labconfig/page_config.json": {"disabledExtensions": {"their-own": True}},
        home / ".jupyter/lab/user-settings/@jupyterlab/apputils-extension/themes.jupyterlab-settings": {
            "theme": "JupyterLab Light"
        },
        home / ".local/share/jupyter/kernels/python3/kernel.json": broken_kernel,
    }
    for path, content in planted.items():
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(json.dumps(content), encoding="utf-8")
    return {path: path.read_bytes() for path in planted}


def _wait_until_it_answers(port: int) -> None:
    """JupyterLab names its address a moment before it listens there; a person is slower than that."""
    for _ in range(10 * SECONDS):
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.1)
    pytest.fail(f"nothing answers at port {port}")


@pytest.fixture(scope="session")
def lab(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Lab]:
    """Start the command as a person does, and stop it; it must leave the person's settings alone."""
    home = tmp_path_factory.mktemp("home")
    planted = _home_with_settings_of_its_own(home)
    port, folder = _free_port(), home / "kilncalc-lessons"
    environment = {name: value for name, value in os.environ.items() if not name.startswith("JUPYTER")}
    environment |= {"HOME": str(home), "USERPROFILE": str(home), "JUPYTER_PREFER_ENV_PATH": "0"}
    command = [sys.executable, "-m", "kilncalc", "open", "--no-browser", "--port", str(port)]
    command += ["--", "--LabApp.expose_app_in_browser=True"]
    if getattr(os, "geteuid", lambda: 1)() == 0:
        command += ["--allow-root"]
    process = subprocess.Popen(
        command,
        env=environment,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    running = Lab(process, home, folder, port)
    ready = threading.Event()

    def listen() -> None:
        for line in process.stdout:
            running.lines.append(line)
            if found := re.search(r"http://localhost:\S+token=\w+", line):
                running.address = found[0]
                ready.set()
        ready.set()

    listener = threading.Thread(target=listen, daemon=True)
    listener.start()
    ready.wait(SECONDS)
    if not running.address:
        process.kill()
        pytest.fail("JupyterLab did not start; it said:\n" + "".join(running.lines))
    _wait_until_it_answers(port)
    yield running
    process.terminate()
    try:
        assert process.wait(SECONDS) == 0
    except subprocess.TimeoutExpired:
        process.terminate()  # the second time the command kills JupyterLab
        process.wait(SECONDS)
        pytest.fail("JupyterLab did not stop when asked; it said:\n" + "".join(running.lines[-20:]))
    listener.join(SECONDS)
    assert {path: path.read_bytes() for path in planted} == planted
    settings = {path for path in (home / ".jupyter").rglob("*") if path.is_file()} - planted.keys()
    assert {path.name for path in settings} <= {"migrated"}, "Jupyter's own marker, and nothing else"
    with socket.socket() as probe:  # nobody listens any more: the server has ended with the command
        assert probe.connect_ex(("127.0.0.1", port)) != 0


def keep(shown: "Page | Locator", name: str) -> None:  # noqa: F821
    """Keep a picture of a page or of a part of it."""
    if PICTURES:
        shown.screenshot(path=Path(PICTURES, f"{name}.png"))


def open_alone(lab: Lab, page: "Page", code: str) -> None:  # noqa: F821
    """Open a page of one panel, which is none of ours: it runs when asked to."""
    folder = lab.folder / "alone"
    folder.mkdir(exist_ok=True)
    cell = nbformat.v4.new_code_cell(code, metadata={"tags": ["panel"]})
    kernel = {"kernelspec": {"name": "python3", "display_name": "Python 3", "language": "python"}}
    made = nbformat.v4.new_notebook(cells=[cell], metadata=kernel)
    nbformat.write(made, folder / "page.ipynb")
    page.goto(lab.url("alone/page.ipynb"))
    page.get_by_role("button", name="Run this page").click()
    page.wait_for_selector(".kilncalc-bar[data-state=alive]")


@pytest.fixture(scope="module")
def browser() -> Iterator["Browser"]:  # noqa: F821
    """Chromium without a window. Module scope: while it is open no other test can run an event loop."""
    if not CHROMIUM.is_file():
        pytest.skip(f"no browser at {CHROMIUM}; install Debian's chromium or name one in KILNCALC_CHROMIUM")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        yield chromium
        chromium.close()
