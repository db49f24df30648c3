"""The hub of DEVELOPERS.md: its lines as written there, as far as they go without JupyterHub and accounts."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from traitlets.config import Config

from kilncalc.classroom import notebooks

SECTION = (
    (Path(__file__).resolve().parents[1] / "DEVELOPERS.md")
    .read_text(encoding="utf-8")
    .partition("## When a class outgrows one laptop")[2]
    .partition("\n## ")[0]
)
BLOCKS = re.findall(r"^```\w*\n(.*?)^```$", SECTION, re.MULTILINE | re.DOTALL)
CLASS = "id,name,units\nS01,Ada,metric\nS02,Ben,inches\nS03,Cat,metric\n"  # invented
posix_only = pytest.mark.skipif(os.name == "nt", reason="a hub runs on Linux")


def block(part):
    """The one block of the section with these words in it."""
    (found,) = [text for text in BLOCKS if part in text]
    return found


def settings_of(folder):
    """What the hub's settings say, those for idle servers too, with its files in another folder."""
    (folder / "class.csv").write_text(CLASS, encoding="utf-8")
    settings = Config()
    code = (block("get_config()") + block("idle_culler")).replace("/opt/kilncalc", str(folder))
    exec(compile(code, "jupyterhub_config.py", "exec"), {"get_config": lambda: settings})
    return settings


def test_the_settings_let_the_class_in_and_find_the_page(tmp_path):
    settings = settings_of(tmp_path)
    assert settings.Authenticator.allowed_users == {"s01", "s02", "s03"}
    around = settings.Spawner.environment
    assert Path(around["JUPYTER_PATH"], "labextensions/kilncalc/package.json").is_file()
    assert Path(around["JUPYTER_CONFIG_PATH"], "jupyter_server_config.json").is_file()


def test_kernels_stop_before_their_server_and_nobody_listens_to_them(tmp_path):
    settings = settings_of(tmp_path)
    given = dict(argument.removeprefix("--").split("=") for argument in settings.Spawner.args)
    # through ports any account hears what a kernel tells its page: it was tried
    assert given["KernelManager.transport"] == "ipc"
    (service,) = settings.JupyterHub.services
    (role,) = settings.JupyterHub.load_roles
    assert role["services"] == [service["name"]]
    seconds = int(service["command"][-1].removeprefix("--timeout="))
    assert int(given["MappingKernelManager.cull_idle_timeout"]) < seconds
    # published: jupyterhub-idle-culler 2.0.0, README: Caveats, Permissions
    assert seconds > 30 + 300
    assert set(role["scopes"]) == {"list:users", "read:users:activity", "read:servers", "delete:servers"}


@posix_only
def test_a_first_sign_in_lays_the_lessons_and_leaves_a_hand_out_alone(tmp_path):
    script = tmp_path / "start-student"
    code = block("jupyterhub-singleuser").replace("/opt/kilncalc/venv/bin/python", sys.executable)
    script.write_text(code.replace("/opt/kilncalc/venv/bin/jupyterhub-singleuser", "echo started"))
    home = tmp_path / "home"
    home.mkdir()

    def sign_in():
        done = subprocess.run(
            ["sh", script, "--some=1"], env={**os.environ, "HOME": str(home)}, capture_output=True, text=True
        )
        assert (done.returncode, done.stdout) == (0, "started --some=1\n"), done.stderr

    sign_in()
    lessons = home / "kilncalc-lessons"
    assert len(list(lessons.glob("*.ipynb"))) == 9
    shutil.rmtree(lessons)
    (tmp_path / "class.csv").write_text(CLASS, encoding="utf-8")
    _run(tmp_path, "kilncalc handout class.csv --to handouts --lesson 2")
    shutil.copytree(tmp_path / "handouts/S01", lessons)
    sign_in()
    assert [path.name for path in lessons.glob("*.ipynb")] == ["2-volume-to-weight.ipynb"]


@posix_only
def test_copies_reach_their_students_and_answers_come_back(tmp_path):
    (tmp_path / "class.csv").write_text(CLASS, encoding="utf-8")
    for student in ("s01", "s02", "s03"):
        (tmp_path / "home" / student).mkdir(parents=True)
    lines = block("kilncalc handout").splitlines(keepends=True)
    start = next(number for number, line in enumerate(lines) if line.startswith("jupyterhub "))
    # a student's own rights need accounts: here a home is all there is of them
    own = re.compile(r"runuser -u (\$id|\$\(.*?A-Z a-z\)) --")

    def as_written(part):
        text = "".join(part).replace("s01 s02 s03 s04", "s01 s02 s03").replace("/opt/kilncalc/venv/bin:", "")
        text, how_many = own.subn(r'env HOME="$PWD/home/\1"', text)
        assert how_many == 1
        return _run(tmp_path, text)

    as_written(lines[:start])
    for student in ("s01", "s02", "s03"):
        laid = tmp_path / "home" / student / "kilncalc-lessons"
        copy = notebooks.read(laid / "2-volume-to-weight.ipynb")
        assert notebooks.origin(copy).student == student.upper()
        assert not [cell for cell in copy["cells"] if "teacher" in cell["metadata"].get("tags", [])]
    for student in ("s01", "s02"):
        folder = tmp_path / "home" / student / "kilncalc-lessons"
        _run(
            folder,
            f"'{sys.executable}' -c 'from kilncalc.exercises import answer; answer(\"2.2\", \"751 g\")'",
        )
    shutil.copy(folder / "answers.csv", folder / "answers-more.csv")
    said = as_written(lines[start + 1 :])
    collected = {str(path.relative_to(tmp_path / "in")) for path in (tmp_path / "in").rglob("*.csv")}
    assert collected == {"s01/answers.csv", "s02/answers.csv", "s02/answers-more.csv"}
    assert "2 students of 3 handed in answers." in said and "Nothing from: S03" in said


def _run(folder, text):
    """Run lines of a shell in a folder, with this Python's kilncalc, and return what they said."""
    text = re.sub(r"^kilncalc ", f'"{sys.executable}" -m kilncalc ', text, flags=re.MULTILINE)
    done = subprocess.run(["sh", "-ec", text], cwd=folder, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr + done.stdout
    return done.stdout
