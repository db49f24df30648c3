"""The command `kilncalc`: one subcommand for each thing a person does outside a notebook."""

import argparse
import importlib.util
import os
import signal
import socket
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from kilncalc import __version__
from kilncalc.classroom import lesson_folder

START = "0-start-here.ipynb"
_OUR_JUPYTER_CONFIG = Path(__file__).resolve().parent / "_jupyter_config"


class Problem(Exception):
    """Something a person has to put right: one sentence, shown without a traceback."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line and return the exit code: 0 done, 2 with one sentence of what to put right."""
    arguments = list(sys.argv[1:] if arguments is None else arguments)
    passed_on: list[str] = []
    if "--" in arguments:
        cut = arguments.index("--")
        arguments, passed_on = arguments[:cut], arguments[cut + 1 :]
    parser = _parser()
    options = parser.parse_args(arguments)
    if passed_on and options.run is not open_lessons:
        parser.error(f"nothing can be passed on by this command: {' '.join(passed_on)}")
    options.passed_on = passed_on
    try:
        return options.run(options)
    except Problem as problem:
        print(f"kilncalc: {problem}", file=sys.stderr)
    except OSError as problem:
        print(f"kilncalc: {_sentence(problem)}", file=sys.stderr)
    return 2


def _sentence(problem: OSError) -> str:
    if problem.errno is None:
        return str(problem)
    return ": ".join(str(part) for part in (problem.filename, problem.strerror) if part)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="kilncalc", description="Lessons for kiln-formed glass.", allow_abbrev=False
    )
    parser.add_argument("--version", action="version", version=f"kilncalc {__version__}")
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", required=True)

    opening = commands.add_parser(
        "open",
        help="open the lessons in JupyterLab",
        description="Copy the lessons into your own folder, where they are yours to change, and open them.",
        epilog="Whatever stands after -- goes to JupyterLab as it is.",
        usage="kilncalc open [-h] [--folder DIR] [--no-browser] [--port N] [-- ARGS]",
        allow_abbrev=False,
    )
    opening.add_argument(
        "--folder",
        type=_folder,
        default=Path("~/kilncalc-lessons"),
        metavar="DIR",
        help="your folder of lessons, made if it is missing (default: %(default)s)",
    )
    opening.add_argument("--no-browser", action="store_true", help="show the address instead of opening it")
    opening.add_argument(
        "--port", type=_port, metavar="N", help="use this port (default: the first that is free)"
    )
    opening.set_defaults(run=open_lessons)
    return parser


def _folder(text: str) -> Path:
    if not text.strip():
        raise argparse.ArgumentTypeError("the name is empty")
    return Path(text)


def _port(text: str) -> int:
    if not (text.isascii() and text.isdecimal() and 1 <= int(text) <= 65535):
        raise argparse.ArgumentTypeError(f"{text!r} is not a whole number from 1 to 65535")
    return int(text)


def open_lessons(options: argparse.Namespace) -> int:
    """Lay the lessons into the person's folder and run JupyterLab on them until it is stopped."""
    _check_jupyterlab_can_start(options.port, options.passed_on)
    folder = Path(os.path.abspath(options.folder.expanduser()))
    _tell(folder, lesson_folder.lay(folder))
    with tempfile.TemporaryDirectory(prefix="kilncalc-") as workspaces:
        command = [
            *(sys.executable, "-m", "jupyterlab", "--log-level=ERROR"),
            f"--ServerApp.root_dir={folder}",
            "--ServerApp.ip=localhost",
            f"--LabApp.default_url=/doc/tree/{START}",
            f"--LabApp.workspaces_dir={workspaces}",
            "--LabApp.extension_manager=readonly",
            "--KernelManager.transport_encryption=auto",
        ]
        if options.no_browser:
            command.append("--no-browser")
        if options.port is not None:
            command += [f"--port={options.port}", "--ServerApp.port_retries=0"]
        return _run([*command, *options.passed_on], folder)


def _check_jupyterlab_can_start(port: int | None, passed_on: Sequence[str]) -> None:
    if importlib.util.find_spec("jupyterlab") is None:
        raise Problem(f"JupyterLab is missing; install it with: {sys.executable} -m pip install jupyterlab")
    as_root = getattr(os, "geteuid", lambda: 1)() == 0
    if as_root and not any("allow-root" in word or "allow_root" in word for word in passed_on):
        raise Problem(
            "JupyterLab does not run as root, because a page could then change anything on this machine; "
            "use your own account (or, in a container, add: -- --allow-root)"
        )
    if port is None:
        return
    with socket.socket() as probe:
        if os.name != "nt":
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(("127.0.0.1", port))
        except OSError as error:
            raise Problem(
                f"port {port} cannot be used ({error.strerror}); name another with --port, "
                "or leave --port out to get one that is free"
            ) from error


def _tell(folder: Path, laid: lesson_folder.Laid) -> None:
    print(f"Your lessons are in {folder}")
    for names, what in ((laid.new, "new"), (laid.updated, "brought up to date")):
        if names:
            print(f"  {what}: {', '.join(names)}")
    for yours, ours in laid.beside:
        print(f"  {yours} has your changes and stays as it is; kilncalc {__version__} has another: {ours}")
    print("JupyterLab starts now. To stop it: save your notebooks, then press Ctrl+C twice in this window.")
    sys.stdout.flush()


def _run(command: Sequence[str], folder: Path) -> int:
    environment = dict(os.environ)
    config = [str(_OUR_JUPYTER_CONFIG), environment.get("JUPYTER_CONFIG_PATH", "")]
    environment["JUPYTER_CONFIG_PATH"] = os.pathsep.join(filter(None, config))
    # The kernel of this Python, not one that a person once registered under the same name.
    environment["JUPYTER_PREFER_ENV_PATH"] = "1"
    process = subprocess.Popen(command, cwd=folder, env=environment)
    signal.signal(signal.SIGTERM, lambda *_: process.terminate())
    while True:
        try:
            code = process.wait()
            break
        except KeyboardInterrupt:
            continue  # JupyterLab got it too and asks, or stops
    if code > 0:
        raise Problem(f"JupyterLab stopped with an error (code {code}); what it said stands above")
    return 0
