"""The command line and the folder of lessons it lays: nothing a person did is ever lost."""

import errno
import json
import os
import re
import socket
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from contextlib import contextmanager
from importlib.metadata import version
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jupyter_client.blocking import BlockingKernelClient

from kilncalc import __version__, _resources, cli
from kilncalc.classroom import files, lesson_folder, notebooks

START = "0-start-here.ipynb"
LESSON = "2-volume-to-weight.ipynb"
BESIDE = f"2-volume-to-weight-new-{__version__}.ipynb"


def notebook(*sources, lesson="2"):
    cells = [
        {
            "cell_type": "code",
            "id": f"c{i}",
            "metadata": {},
            "execution_count": None,
            "outputs": [],
            "source": text,
        }
        for i, text in enumerate(sources)
    ]
    made = {"cells": cells, "metadata": {}, "nbformat": 4, "nbformat_minor": 5}
    made["metadata"]["kilncalc"] = {
        "lesson": lesson,
        "version": __version__,
        "digest": notebooks.digest(made),
    }
    return made


def save(path, made):
    path.write_text(json.dumps(made, indent=1), encoding="utf-8")


def sources(path):
    return ["".join(cell["source"]) for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]]


def run_all(path):
    """What Run All and Save do to a file: outputs and counts, sources split into lines, no source changed."""
    made = json.loads(path.read_text(encoding="utf-8"))
    for count, cell in enumerate(made["cells"], 1):
        cell["source"] = (
            cell["source"].splitlines(keepends=True) if isinstance(cell["source"], str) else cell["source"]
        )
        cell["execution_count"] = count
        cell["outputs"] = [{"output_type": "stream", "name": "stdout", "text": "412 g\n"}]
    save(path, made)


def edit(path, text):
    made = json.loads(path.read_text(encoding="utf-8"))
    made["cells"][0]["source"] = text
    save(path, made)


@contextmanager
def shipping(folder):
    """Let the package ship the lessons of `folder`."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(_resources, "lessons", lambda: folder)
        yield folder


@pytest.fixture
def shipped(tmp_path):
    folder = tmp_path / "shipped"
    folder.mkdir()
    save(folder / START, notebook("start", lesson="0"))
    save(folder / LESSON, notebook("one", "two\nthree"))
    with shipping(folder):
        yield folder


@pytest.fixture
def mine(tmp_path):
    return tmp_path / "my lessons"


# What counts as edited


def test_digest_is_that_of_sources_alone():
    made = notebook("one", "two\nthree")
    same = notebook(["one"], ["two\n", "three"])
    same["cells"][0] |= {
        "id": "other",
        "execution_count": 7,
        "outputs": ["x"],
        "metadata": {"collapsed": True},
    }
    assert notebooks.digest(same) == notebooks.digest(made)
    crlf = notebook("one", "two\r\nthree")
    assert notebooks.digest(crlf) == notebooks.digest(made)


@pytest.mark.parametrize(
    "other",
    [
        ("one", "two\nthree "),
        ("two\nthree", "one"),
        ("one",),
        ("one", "two\nthree", ""),
        ("onetwo\nthree",),
        ("one", "two\\nthree"),
    ],
    ids=["a space", "order", "a cell gone", "a cell added", "cells merged", "a backslash for a line end"],
)
def test_digest_sees_every_change(other):
    assert notebooks.digest(notebook(*other)) != notebooks.digest(notebook("one", "two\nthree"))


def test_digest_sees_a_change_of_kind():
    changed = notebook("one")
    changed["cells"][0]["cell_type"] = "markdown"
    assert notebooks.digest(changed) != notebooks.digest(notebook("one"))
    assert notebooks.edited(changed)


def test_a_notebook_as_laid_is_not_edited():
    made = notebook("one")
    assert notebooks.origin(made) == notebooks.Origin("2", __version__, notebooks.digest(made))
    assert not notebooks.edited(made)


@pytest.mark.parametrize(
    "told", [None, 3, {}, {"lesson": "2", "version": "0.1.0"}, {"lesson": 2, "version": "", "digest": ""}]
)
def test_without_a_usable_origin_a_notebook_counts_as_edited(told):
    made = notebook("one")
    made["metadata"]["kilncalc"] = told
    assert notebooks.origin(made) is None
    assert notebooks.edited(made)


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"\xff\xfe\x00",
        b"null",
        b"[]",
        b"{}",
        b'{"cells": {}}',
        b'{"cells": [1], "metadata": {}}',
        b'{"cells": []}',
        b'{"cells": [{"cell_type": "code", "source": null}], "metadata": {}}',
        b'{"cells": [], "metadata": 3}',
        b"[" * 100_000,
    ],
)
def test_what_is_no_notebook_is_refused_by_name(tmp_path, content):
    path = tmp_path / "x.ipynb"
    path.write_bytes(content)
    with pytest.raises(ValueError, match=r"x\.ipynb is not a notebook"):
        notebooks.read(path)


# Laying the lessons


def test_a_new_folder_gets_every_lesson(shipped, mine):
    laid = lesson_folder.lay(mine)
    assert laid == lesson_folder.Laid(new=[START, LESSON])
    for name in (START, LESSON):
        assert (mine / name).read_bytes() == (shipped / name).read_bytes()
    assert sorted(path.name for path in mine.iterdir()) == [START, LESSON]


def test_a_lesson_that_was_only_run_keeps_its_outputs(shipped, mine):
    lesson_folder.lay(mine)
    run_all(mine / LESSON)
    before = (mine / LESSON).read_bytes()
    assert lesson_folder.lay(mine) == lesson_folder.Laid(kept=[START, LESSON])
    assert (mine / LESSON).read_bytes() == before


def test_an_untouched_older_lesson_is_brought_up_to_date(shipped, mine):
    lesson_folder.lay(mine)
    run_all(mine / LESSON)
    save(shipped / LESSON, notebook("better"))
    assert lesson_folder.lay(mine) == lesson_folder.Laid(kept=[START], updated=[LESSON])
    assert sources(mine / LESSON) == ["better"]


def test_an_edited_lesson_stays_alone_while_the_package_has_no_other(shipped, mine):
    lesson_folder.lay(mine)
    edit(mine / LESSON, "my note")
    before = (mine / LESSON).read_bytes()
    assert lesson_folder.lay(mine) == lesson_folder.Laid(kept=[START, LESSON])
    assert (mine / LESSON).read_bytes() == before
    assert not (mine / BESIDE).exists()


def test_another_version_is_laid_beside_an_edited_lesson(shipped, mine):
    lesson_folder.lay(mine)
    edit(mine / LESSON, "my note")
    before = (mine / LESSON).read_bytes()
    save(shipped / LESSON, notebook("better"))
    assert lesson_folder.lay(mine) == lesson_folder.Laid(
        kept=[START], new=[BESIDE], beside=[(LESSON, BESIDE)]
    )
    assert (mine / LESSON).read_bytes() == before
    assert sources(mine / BESIDE) == ["better"]
    # Opened again: both still named, nothing laid twice.
    assert lesson_folder.lay(mine) == lesson_folder.Laid(kept=[START, BESIDE], beside=[(LESSON, BESIDE)])
    # The one beside follows the package as long as nobody has edited it, and is then left alone too.
    save(shipped / LESSON, notebook("better still"))
    assert lesson_folder.lay(mine).updated == [BESIDE]
    edit(mine / BESIDE, "my second note")
    save(shipped / LESSON, notebook("best"))
    third = BESIDE.replace(".ipynb", "-2.ipynb")
    assert lesson_folder.lay(mine).beside == [(LESSON, third)]
    assert (mine / LESSON).read_bytes() == before
    assert sources(mine / BESIDE) == ["my second note"]
    assert sources(mine / third) == ["best"]


@pytest.mark.parametrize("content", [b"", b"my shopping list", b'{"cells": [], "metadata": {}}'])
def test_a_file_of_the_same_name_that_is_no_lesson_stays(shipped, mine, content):
    mine.mkdir()
    (mine / LESSON).write_bytes(content)
    assert lesson_folder.lay(mine).beside == [(LESSON, BESIDE)]
    assert (mine / LESSON).read_bytes() == content
    assert sources(mine / BESIDE) == ["one", "two\nthree"]


def test_other_files_in_the_folder_are_not_touched(shipped, mine):
    lesson_folder.lay(mine)
    (mine / "answers.csv").write_bytes(b"key,text\n2.1,412 g\n")
    (mine / "my piece.ipynb").write_bytes(b"mine")
    before = {path: (path.read_bytes(), path.stat().st_mtime_ns) for path in mine.iterdir()}
    lesson_folder.lay(mine)
    assert {path: (path.read_bytes(), path.stat().st_mtime_ns) for path in mine.iterdir()} == before


@settings(max_examples=60, deadline=None)
@given(st.lists(st.sampled_from(["edit", "edit the newest", "run", "package", "open"]), max_size=12))
def test_whatever_happens_no_edit_is_lost(steps):
    with tempfile.TemporaryDirectory() as place:
        shipped, mine = Path(place, "shipped"), Path(place, "mine")
        shipped.mkdir()
        save(shipped / LESSON, notebook("package 0"))
        written = set()
        with shipping(shipped):
            lesson_folder.lay(mine)
            for number, step in enumerate(steps, 1):
                notes = sorted(mine.iterdir(), key=lambda path: path.stat().st_mtime_ns)
                if step.startswith("edit"):
                    target = notes[-1] if step == "edit the newest" else mine / LESSON
                    written -= set(sources(target))  # the person wrote over their own words
                    edit(target, f"note {number}")
                    written.add(f"note {number}")
                elif step == "run":
                    run_all(notes[-1])
                elif step == "package":
                    save(shipped / LESSON, notebook(f"package {number}"))
                else:
                    lesson_folder.lay(mine)
            lesson_folder.lay(mine)
            found = {text for path in mine.iterdir() for text in sources(path)}
            assert written <= found
            origins = {notebooks.origin(notebooks.read(path)).digest for path in mine.iterdir()}
            assert notebooks.digest(notebooks.read(shipped / LESSON)) in origins


def test_no_lessons_in_the_package_is_said(shipped, mine):
    for path in shipped.iterdir():
        path.unlink()
    with pytest.raises(FileNotFoundError, match="has no lessons"):
        lesson_folder.lay(mine)
    assert not mine.exists()


def test_the_package_ships_the_start_page_and_nothing_but_notebooks():
    names = [path.name for path in _resources.lessons().iterdir() if not path.name.startswith(".")]
    assert START in names and cli.START == START
    # A picture as a file of its own would not be copied to the person's folder: it belongs into the notebook.
    assert [name for name in names if not name.endswith(".ipynb")] == []


# Writing files


def test_write_makes_a_file_with_ordinary_rights(tmp_path):
    files.write(tmp_path / "a", b"new")
    (tmp_path / "ordinary").write_bytes(b"")
    assert (tmp_path / "a").read_bytes() == b"new"
    assert (tmp_path / "a").stat().st_mode == (tmp_path / "ordinary").stat().st_mode


def test_write_never_overwrites_unasked(tmp_path):
    (tmp_path / "a").write_bytes(b"old")
    with pytest.raises(FileExistsError, match="left as it is"):
        files.write(tmp_path / "a", b"new")
    assert (tmp_path / "a").read_bytes() == b"old"
    files.write(tmp_path / "a", b"new", replace=True)
    assert (tmp_path / "a").read_bytes() == b"new"
    assert [path.name for path in tmp_path.iterdir()] == ["a"]


@pytest.mark.skipif(not hasattr(os, "symlink") or os.name == "nt", reason="needs links")
def test_write_does_not_follow_a_link_to_nowhere(tmp_path):
    (tmp_path / "a").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(FileExistsError):
        files.write(tmp_path / "a", b"new")
    assert not (tmp_path / "elsewhere").exists()


@pytest.mark.parametrize("replace", [False, True])
@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_a_failure_half_way_leaves_the_folder_as_it_was(tmp_path, monkeypatch, step, replace):
    if replace:
        (tmp_path / "a").write_bytes(b"old")

    def full(*_):
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, step, full)
    with pytest.raises(OSError, match=r"cannot write .*a: No space left"):
        files.write(tmp_path / "a", b"new", replace=replace)
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == (
        [("a", b"old")] if replace else []
    )


HALFWAY = """
import os, sys
from pathlib import Path
from kilncalc.classroom import files
real = os.fsync
def halfway(number):
    print("halfway", flush=True)
    sys.stdin.readline()
    real(number)
os.fsync = halfway
files.write(Path(sys.argv[1]), b"whole" * 1000)
"""


@pytest.mark.skipif(os.name == "nt", reason="a file is locked otherwise there")
@pytest.mark.parametrize("end", ["goes on", "killed"])
def test_what_another_run_is_writing_is_not_swept_away_and_what_a_stopped_one_left_is(tmp_path, end):
    command = [sys.executable, "-c", HALFWAY, str(tmp_path / "a")]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as other:
        assert other.stdout.readline() == b"halfway\n"
        (part,) = tmp_path.iterdir()
        for _ in range(3):
            files.sweep(tmp_path)
        assert list(tmp_path.iterdir()) == [part] and part.name.endswith(".part")
        if end == "killed":
            other.kill()
            other.wait()
            files.sweep(tmp_path)
            assert list(tmp_path.iterdir()) == []
            return
        other.communicate(b"\n")
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [("a", b"whole" * 1000)]


@pytest.mark.skipif(os.name == "nt", reason="a file is locked otherwise there")
def test_a_sweep_in_the_moment_before_a_file_is_locked_takes_nothing_from_its_writer(tmp_path, monkeypatch):
    real, swept = files._lock, []

    def late(file, wait):
        if wait and not swept:
            swept.append(1)
            files.sweep(tmp_path)
        return real(file, wait)

    monkeypatch.setattr(files, "_lock", late)
    files.write(tmp_path / "a", b"whole")
    assert swept and [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [("a", b"whole")]


def test_where_files_cannot_be_locked_only_old_ones_are_swept(tmp_path, monkeypatch):
    monkeypatch.setattr(files, "_lock", lambda file, wait: None)
    files.write(tmp_path / "a", b"whole")
    names = [".b.78-0a1b2c3d.part", "c.79-0a1b2c3d.part", ".d.part", ".session.json.77.part"]
    for name in names:
        (tmp_path / name).write_bytes(b"half")
    files.sweep(tmp_path)
    assert {path.name for path in tmp_path.iterdir()} == {"a", *names}
    for path in tmp_path.iterdir():
        os.utime(path, (1e9, 1e9))
    files.sweep(tmp_path)
    assert {path.name for path in tmp_path.iterdir()} == {"a", *names[1:]}  # those are not ours


# The command line


@contextmanager
def as_nobody(folder):
    """Within it, `folder` cannot be written in, not even by root."""
    folder.chmod(0o555)
    root = os.geteuid() == 0
    if root:
        os.seteuid(65534)
    try:
        yield
    finally:
        if root:
            os.seteuid(0)
        folder.chmod(0o755)


@pytest.fixture
def not_root(monkeypatch):
    monkeypatch.setattr(os, "geteuid", lambda: 1000, raising=False)


@pytest.fixture
def jupyterlab(monkeypatch):
    """Record how JupyterLab would be started instead of starting it."""
    started = []

    class Process:
        def __init__(self, command, cwd, env):
            started.append((command, cwd, env))

        def wait(self):
            return 0

        def terminate(self):
            started.append("terminated")

        kill = terminate

    monkeypatch.setattr(subprocess, "Popen", Process)
    monkeypatch.setattr(cli.signal, "signal", lambda *_: None)
    return started


def problem(capsys, *arguments):
    """Run the command, which must fail with exit code 2 and one line, and return that line."""
    assert cli.main(arguments) == 2
    said = capsys.readouterr().err.splitlines()
    assert len(said) == 1, said
    assert said[0].startswith("kilncalc: ")
    return said[0]


def test_a_taken_port_is_one_sentence(capsys, not_root, mine, shipped, jupyterlab):
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        said = problem(capsys, "open", "--folder", str(mine), "--port", str(port))
    assert f"port {port} cannot be used" in said and "--port" in said
    assert not mine.exists() and not jupyterlab


def test_a_port_left_a_moment_ago_is_not_called_taken(not_root, mine, shipped, jupyterlab):
    with socket.create_server(("127.0.0.1", 0)) as server:
        port = server.getsockname()[1]
        with socket.create_connection(("127.0.0.1", port)):
            server.accept()[0].close()
    assert cli.main(["open", "--folder", str(mine), "--port", str(port)]) == 0


def test_root_is_refused_and_never_allowed_by_ourselves(capsys, monkeypatch, mine, shipped, jupyterlab):
    monkeypatch.setattr(os, "geteuid", lambda: 0, raising=False)
    assert "root" in problem(capsys, "open", "--folder", str(mine))
    assert not mine.exists() and not jupyterlab
    assert cli.main(["open", "--folder", str(mine), "--", "--allow-root"]) == 0
    assert jupyterlab[0][0].count("--allow-root") == 1


def test_missing_jupyterlab_is_one_sentence(capsys, monkeypatch, not_root, mine, shipped, jupyterlab):
    monkeypatch.setattr(cli.importlib.util, "find_spec", lambda name: None)
    said = problem(capsys, "open", "--folder", str(mine))
    assert "JupyterLab is missing" in said and "pip install jupyterlab" in said
    assert not mine.exists() and not jupyterlab


def test_a_file_where_the_folder_should_be_is_one_sentence(capsys, not_root, mine, shipped, jupyterlab):
    mine.write_bytes(b"a file")
    for name in (mine, mine / "deeper"):
        assert f"{mine} is a file" in problem(capsys, "open", "--folder", str(name))
    assert mine.read_bytes() == b"a file" and not jupyterlab


@pytest.mark.skipif(os.name == "nt", reason="rights work otherwise there")
def test_a_folder_that_takes_no_files_is_one_sentence(capsys, jupyterlab, monkeypatch):
    # nobody may not be allowed to look into this environment
    monkeypatch.setattr(cli.importlib.util, "find_spec", lambda name: name)
    with tempfile.TemporaryDirectory() as place, shipping(Path(place)):
        save(Path(place, LESSON), notebook("one"))
        Path(place).chmod(0o755)
        locked = Path(place, "locked")
        locked.mkdir()
        for name in (locked, locked / "deeper"):
            with as_nobody(locked):
                said = problem(capsys, "open", "--folder", str(name))
            assert f"cannot write in {name}: Permission denied" in said
        assert list(locked.iterdir()) == [] and not jupyterlab


def test_no_lessons_is_one_sentence(capsys, tmp_path, not_root, mine, jupyterlab):
    (tmp_path / "nothing").mkdir()
    with shipping(tmp_path / "nothing"):
        assert "no lessons" in problem(capsys, "open", "--folder", str(mine))


@pytest.mark.slow
def test_a_failing_jupyterlab_is_said(capsys, monkeypatch, not_root, mine, shipped):
    monkeypatch.setattr(cli.signal, "signal", lambda *_: None)
    assert cli.main(["open", "--folder", str(mine), "--", "--no-such-flag"]) == 2
    assert "JupyterLab stopped with an error" in capsys.readouterr().err


def test_a_hanging_jupyterlab_ends_at_the_third_ctrl_c(not_root, mine, shipped, jupyterlab, monkeypatch):
    presses = iter([KeyboardInterrupt, KeyboardInterrupt, KeyboardInterrupt])

    def wait(process):
        for press in presses:
            assert "terminated" not in jupyterlab
            raise press
        return -9

    monkeypatch.setattr(subprocess.Popen, "wait", wait)
    assert cli.main(["open", "--folder", str(mine)]) == 0
    assert jupyterlab[1:] == ["terminated"]


@pytest.mark.parametrize("port", ["0", "65536", "-1", "eighty", "8888.0", "٨٨٨٨", ""])
def test_a_port_that_is_none_is_refused(capsys, port):
    with pytest.raises(SystemExit) as stopped:
        cli.main(["open", f"--port={port}"])
    assert stopped.value.code == 2
    assert "is not a whole number from 1 to 65535" in capsys.readouterr().err


@pytest.mark.parametrize(
    "arguments", [[], ["opne"], ["open", "here"], ["open", "--folder", ""], ["open", "--browser"]]
)
def test_a_slip_in_the_command_is_refused(capsys, arguments):
    with pytest.raises(SystemExit) as stopped:
        cli.main(arguments)
    assert stopped.value.code == 2
    assert capsys.readouterr().err.startswith("usage: kilncalc")


@pytest.mark.parametrize("theirs", ["--notebook-dir", "--ServerApp.root_dir", "--ServerApp.notebook_dir"])
def test_a_folder_for_jupyterlab_replaces_ours_under_each_of_its_names(
    not_root, mine, shipped, jupyterlab, tmp_path, theirs
):
    assert cli.main(["open", "--folder", str(mine), "--no-browser", "--", f"{theirs}={tmp_path}"]) == 0
    ((command, _cwd, _environment),) = jupyterlab
    assert [word for word in command if word.startswith(("--ServerApp.root_dir", theirs))] == [
        f"{theirs}={tmp_path}"
    ]


def test_jupyterlab_is_started_on_the_folder_with_our_settings_in_front(
    monkeypatch, not_root, mine, shipped, jupyterlab
):
    monkeypatch.setenv("JUPYTER_CONFIG_PATH", "/theirs")
    assert (
        cli.main(["open", "--folder", str(mine), "--no-browser", "--", "--ServerApp.ip=127.0.0.1", "-y"]) == 0
    )
    ((command, cwd, environment),) = jupyterlab
    assert command[:4] == [sys.executable, "-P", "-m", "jupyterlab"]
    assert f"--ServerApp.root_dir={mine}" in command and "--no-browser" in command
    assert "--LabApp.default_url=/doc/tree/0-start-here.ipynb" in command
    # What a person passes on replaces ours: JupyterLab refuses an option given twice.
    assert "--ip=localhost" not in command and "--log-level=ERROR" in command
    assert command[-2:] == ["--ServerApp.ip=127.0.0.1", "-y"]
    assert cwd != mine and not cwd.is_relative_to(mine)
    ours, theirs = environment["JUPYTER_CONFIG_PATH"].split(os.pathsep)
    assert theirs == "/theirs"
    assert {path.name for path in Path(ours, "labconfig").iterdir()} == {
        "page_config.json",
        "default_setting_overrides.json",
    }


def test_paths_that_hang_on_a_folder_are_not_passed_on(monkeypatch, not_root, mine, shipped, jupyterlab):
    absolute = str(mine.parent)
    monkeypatch.setenv("PYTHONPATH", os.pathsep.join(["", ".", "lib", absolute]))
    for name in ("PYTHONSTARTUP", "IPYTHONDIR", "JUPYTER_CONFIG_DIR"):
        monkeypatch.setenv(name, ".ipython")
    assert cli.main(["open", "--folder", str(mine)]) == 0
    ((_command, _cwd, environment),) = jupyterlab
    assert environment["PYTHONPATH"] == absolute and environment["PYTHONSAFEPATH"] == "1"
    assert not {"PYTHONSTARTUP", "IPYTHONDIR", "JUPYTER_CONFIG_DIR"} & set(environment)


# A folder that somebody else has filled


MARK = "open({where!r} + '/' + __name__ + '.ran', 'w').close()\n"


@pytest.fixture
def planted(tmp_path):
    """A folder with a file for everything that Python, IPython or Jupyter might load; each leaves a mark."""
    folder, marks = tmp_path / "S01", tmp_path / "marks"
    for path in (folder, marks):
        path.mkdir()
    code = MARK.format(where=str(marks))
    names = set(sys.stdlib_module_names) | {"sitecustomize", "usercustomize", "numpy", "ipykernel_launcher"}
    names |= {"jupyterlab", "ipykernel", "IPython", "jupyter_server", "traitlets", "mistune", "nbformat"}
    names |= {f"jupyter_{name}_config" for name in ("server", "lab", "notebook", "application")}
    for name in (*names, "jupyter_config", "ipython_config", "ipython_kernel_config"):
        (folder / f"{name}.py").write_text(code)
    for place in (".ipython", "."):
        startup = folder / place / "profile_default" / "startup"
        startup.mkdir(parents=True)
        for path in (startup / "00.py", startup.parent / "ipython_config.py"):
            path.write_text(code)
    argv = [sys.executable, "-c", code.replace("__name__", "'kernelspec'")]
    spec = json.dumps({"argv": argv, "display_name": "Python 3", "language": "python"})
    for place in ("kernels", "share/jupyter/kernels", ".local/share/jupyter/kernels"):
        (folder / place / "python3").mkdir(parents=True)
        (folder / place / "python3" / "kernel.json").write_text(spec)
    (folder / ".jupyter").mkdir()
    (folder / ".jupyter" / "jupyter_server_config.py").write_text(code)
    return folder, marks


def ours(folder, form, *arguments, **keywords):
    environment = {name: value for name, value in os.environ.items() if not name.startswith("PYTHONSAFE")}
    return subprocess.Popen(
        [sys.executable, *form, *arguments],
        cwd=folder,
        env=environment | keywords.pop("env", {}),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        encoding="utf-8",
        errors="replace",
        **keywords,
    )


AS_A_COMMAND = ("-P", "-m", "kilncalc")
"""What the installed command `kilncalc` comes to: its own folder, not the current one, is searched."""


@pytest.mark.parametrize("form", [AS_A_COMMAND, ("-m", "kilncalc")], ids=["command", "module"])
def test_no_command_loads_anything_from_the_folder_it_is_started_in(planted, tmp_path, form):
    folder, marks = planted
    if form == AS_A_COMMAND:
        (folder / "kilncalc.py").write_text(MARK.format(where=str(marks)))
    else:  # what Python itself loads for `-m`, from wherever it is started, before a line of ours is run
        (tmp_path / "bare.py").write_text("import sys; print(*sys.modules)")
        bare = subprocess.run([sys.executable, "-m", "bare"], cwd=tmp_path, capture_output=True, text=True)
        for name in bare.stdout.split():
            (folder / f"{name}.py").unlink(missing_ok=True)
    (tmp_path / "class.csv").write_text("id\nS01\n")
    (folder / "answers.csv").write_text("key,text\n")
    running = [
        ours(folder, form, *arguments)
        for arguments in (
            ("results", "../class.csv", ".", "--to", str(tmp_path / "r")),
            ("handout", "../class.csv", "--to", str(tmp_path / "h"), "--lesson", "0", "--printable"),
            ("key", "../class.csv", "--to", str(tmp_path / "k"), "--lesson", "2"),
            ("open", "--folder", ".", "--", "--version", "--allow-root"),
        )
    ]
    for process in running:
        said, complained = process.communicate(timeout=120)
        assert process.returncode == 0, complained
        assert said
    assert [path.name for path in marks.iterdir()] == []


def test_what_is_planted_would_run(planted):
    """Else the tests around this one would pass with nothing to find."""
    folder, marks = planted
    subprocess.run([sys.executable, "-c", "import numpy, html"], cwd=folder, check=True)
    assert {path.name for path in marks.iterdir()} >= {"numpy.ran", "html.ran"}


def test_neither_server_nor_kernel_loads_anything_from_the_folder_that_is_opened(planted, tmp_path):
    folder, marks = planted
    (folder / "kilncalc.py").write_text(MARK.format(where=str(marks)))
    runtime = tmp_path / "runtime"
    arguments = ("open", "--no-browser", "--folder", ".", "--", "--allow-root")
    process = ours(folder, AS_A_COMMAND, *arguments, env={"JUPYTER_RUNTIME_DIR": str(runtime)})
    try:
        address = next(
            found
            for line in process.stderr
            if (found := re.search(r"(http://localhost:\d+)/\S*\?token=(\w+)", line))
        )
        request = urllib.request.Request(
            f"{address[1]}/api/sessions",
            json.dumps(
                {"path": LESSON, "name": "", "type": "notebook", "kernel": {"name": "python3"}}
            ).encode(),
            {"Authorization": f"token {address[2]}"},
        )
        for _ in range(200):  # it names its address a moment before it listens there
            try:
                kernel = json.load(urllib.request.urlopen(request, timeout=60))["kernel"]["id"]
                break
            except urllib.error.HTTPError:
                raise
            except urllib.error.URLError:
                time.sleep(0.1)
        client = BlockingKernelClient(connection_file=str(runtime / f"kernel-{kernel}.json"))
        client.load_connection_file()
        client.start_channels(hb=False)
        client.kernel_info(reply=True, timeout=60)
        code = "import os, html, mimetypes, numpy, kilncalc, kilncalc.panels.lesson2; print(os.getcwd())"
        said = []
        reply = client.execute_interactive(
            code, timeout=60, output_hook=lambda message: said.append(message["content"].get("text", ""))
        )
        client.stop_channels()
        assert reply["content"]["status"] == "ok", reply
        assert "".join(said).strip() == str(folder.resolve())  # where the answers are kept
        assert [path.name for path in marks.iterdir()] == []
    finally:
        process.terminate()
        process.communicate(timeout=60)


def test_both_notebooks_are_named_on_screen(capsys, not_root, mine, shipped, jupyterlab):
    cli.main(["open", "--folder", str(mine)])
    assert str(mine) in capsys.readouterr().out
    edit(mine / LESSON, "my note")
    save(shipped / LESSON, notebook("better"))
    cli.main(["open", "--folder", str(mine)])
    (line,) = [line for line in capsys.readouterr().out.splitlines() if BESIDE in line and "new:" not in line]
    assert LESSON in line and "your changes" in line


def test_a_tilde_is_the_home_folder_in_every_command(monkeypatch, tmp_path, capsys):
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("USERPROFILE", str(tmp_path))
    (tmp_path / "class.csv").write_text("id\nS01\n", encoding="utf-8")
    (tmp_path / "in").mkdir()
    for arguments in (
        ["key", "~/class.csv", "--to=~/key", "--lesson", "2"],
        ["results", "~/class.csv", "~/in", "--to=~/results"],
        ["handout", "~/class.csv", "--to=~/handouts", "--lesson", "0"],
    ):
        assert cli.main(arguments) == 0, capsys.readouterr().err
    assert {path.name for path in tmp_path.iterdir()} == {"class.csv", "in", "key", "results", "handouts"}
    with pytest.raises(SystemExit):
        cli.main(["key", "~/class.csv", "--to=~nobody-of-that-name/key"])
    assert "there is no such user" in capsys.readouterr().err


@pytest.mark.parametrize("page", ["ascii", "cp1252", "cp437"])
def test_a_narrow_code_page_never_ends_in_a_traceback(tmp_path, page):
    """Names of any script, and what cannot be shown is a question mark: in every command, good and bad."""
    roster = tmp_path / "Klasse 美玲 ½.csv"
    roster.write_text("id,name,Größe\nŁódź-3,美玲,½\n", encoding="utf-8")
    folder = tmp_path / "in ΩЖ"
    folder.mkdir()
    (folder / "Łódź-3.csv").write_text("Жшы\n", encoding="utf-8")
    environment = {"PYTHONIOENCODING": page, "PYTHONUTF8": "0"}
    out = tmp_path / "out 美"
    running = [
        ours(tmp_path, AS_A_COMMAND, *arguments, env=environment)
        for arguments in (
            ["results", str(roster), str(folder), "--to", str(out / "results")],
            ["key", str(roster), "--to", str(out / "key"), "--lesson", "2"],
            ["handout", str(roster), "--to", str(out / "handout"), "--lesson", "0"],
            ["handout", str(roster), "--to", str(out / "one"), "--student", "Жшы"],
            ["open", "--folder", str(out / "美"), "--port", "Жшы"],
            ["--help"],
        )
    ]
    codes = []
    for process in running:
        said, complained = process.communicate(timeout=120)
        assert "Traceback" not in complained and said + complained, complained
        codes.append(process.returncode)
    assert codes == [0, 0, 0, 2, 2, 0]


def test_version_and_module_form():
    for arguments in (["--version"], ["--help"]):
        done = subprocess.run(
            [sys.executable, "-m", "kilncalc", *arguments], capture_output=True, text=True, check=True
        )
        assert done.stderr == ""
        assert (done.stdout == f"kilncalc {version('kilncalc')}\n") == (arguments == ["--version"])
        assert done.stdout.startswith(("kilncalc ", "usage: kilncalc"))
