"""The command `kilncalc`: one subcommand for each thing a person does outside a notebook."""

import argparse
import datetime
import importlib.util
import io
import os
import signal
import socket
import subprocess
import sys
import tempfile
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from kilncalc import __version__, page
from kilncalc.classroom import lesson_folder

if TYPE_CHECKING:
    from kilncalc.classroom.roster import Student
    from kilncalc.exercises import Question
    from kilncalc.exercises.own import OwnQuestion

START = "0-start-here.ipynb"
_VARIABLES_WITH_PATHS = (
    *("PYTHONPATH", "PYTHONSTARTUP", "PYTHONHOME", "PYTHONUSERBASE", "PYTHONPYCACHEPREFIX", "IPYTHONDIR"),
    *("JUPYTER_PATH", "JUPYTER_DATA_DIR", "JUPYTER_CONFIG_PATH", "JUPYTER_CONFIG_DIR"),
)


class Problem(Exception):
    """Something a person has to put right: one sentence, shown without a traceback."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line and return the exit code: 0 done, 2 with one sentence of what to put right."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a narrow code page shows ? for what it does not have
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
        epilog="Whatever stands after -- goes to JupyterLab as it is; write paths in it in full.",
        usage="kilncalc open [-h] [--folder DIR] [--no-browser] [--port N] [-- ARGS]",
        allow_abbrev=False,
    )
    opening.add_argument(
        "--folder",
        type=_folder,
        default="~/kilncalc-lessons",
        metavar="DIR",
        help="your folder of lessons, made if it is missing (default: %(default)s)",
    )
    opening.add_argument("--no-browser", action="store_true", help="show the address instead of opening it")
    opening.add_argument(
        "--port", type=_port, metavar="N", help="use this port (default: the first that is free)"
    )
    opening.set_defaults(run=open_lessons)

    handing_out = commands.add_parser(
        "handout",
        help="make each student's copy of the lessons",
        description="Make a folder per student: the lessons, that student's own numbers in the questions.",
        allow_abbrev=False,
    )
    _add_roster(handing_out)
    _add_target(handing_out, "a folder per student is made in it")
    _add_lessons(handing_out)
    _add_own(handing_out)
    handing_out.add_argument(
        "--student", action="append", default=[], metavar="ID", help="only this student; may be repeated"
    )
    handing_out.add_argument("--zip", action="store_true", help="make a zip per student instead of a folder")
    handing_out.add_argument(
        "--printable", action="store_true", help="add a page to print beside each notebook (HTML)"
    )
    handing_out.add_argument(
        "--sheet", action="store_true", help="add a sheet to print with the exercises alone (HTML)"
    )
    handing_out.set_defaults(run=make_handout)

    reading = commands.add_parser(
        "results",
        help="show what the class answered",
        description="Read the files answers.csv that students handed in, in folders or zips named by their "
        "ids, and write results.html, results.csv (a row a student and question) and grades.csv (a row a "
        "student). Nothing that a student sent is run.",
        allow_abbrev=False,
    )
    _add_roster(reading)
    reading.add_argument("handed_in", type=_folder, metavar="FOLDER", help="where the answers lie")
    _add_target(reading, "results.html, results.csv and grades.csv go there")
    _add_lessons(reading)
    _add_own(reading)
    _add_semicolons(reading)
    reading.set_defaults(run=show_results)

    key = commands.add_parser(
        "key",
        help="write the answers and workings of every student",
        description="Write key.html, to print, and key.csv: each student's numbers, answers and workings.",
        allow_abbrev=False,
    )
    _add_roster(key)
    _add_target(key, "key.html and key.csv go there")
    _add_lessons(key)
    _add_own(key)
    _add_semicolons(key)
    key.add_argument(
        "--sheet", action="store_true", help="the answers alone, one sheet a student, without the workings"
    )
    key.set_defaults(run=write_key)

    printing = commands.add_parser(
        "card",
        help="print a piece: its card for the kiln, its record, or a project sheet",
        description="Write one HTML page to print: the card that stands by the kiln, with every firing and "
        "the cold work; what was fired (--record); or a sheet for others who make the piece (--sheet).",
        allow_abbrev=False,
    )
    printing.add_argument("piece", type=_folder, metavar="PIECE", help="the piece file, such as tray.toml")
    printing.add_argument(
        "--to", type=_folder, metavar="FILE", help="the page (default: beside the piece file)"
    )
    printing.add_argument(
        "--start",
        type=_moment,
        metavar="TIME",
        help='when the first firing begins, "19:30" or "2026-03-05 19:30"',
    )
    printing.add_argument("--units", choices=("metric", "inches"), help="default: those of the piece file")
    what = printing.add_mutually_exclusive_group()
    what.add_argument("--record", action="store_true", help="what was fired, without names and costs")
    what.add_argument(
        "--sheet", action="store_true", help="a project sheet, for those who want to make one too"
    )
    printing.add_argument("--replace", action="store_true", help="write over a page that is there")
    printing.set_defaults(run=print_card)

    logs = commands.add_parser(
        "log",
        help="read the kiln's logs of a piece back: what the kiln did, and what the glass felt",
        description="Lay each log that the [[fired]] entries of a piece file name over the segments as run, "
        "and say what was assumed and mended, what became of each segment, and what the glass bore.",
        allow_abbrev=False,
    )
    logs.add_argument("piece", type=_folder, metavar="PIECE", help="the piece file, such as tray.toml")
    logs.add_argument("--units", choices=("metric", "inches"), help="default: those of the piece file")
    logs.set_defaults(run=read_logs)

    checking = commands.add_parser(
        "check",
        help="check a file of questions of your own",
        description="Try each question in a TOML file with every set of numbers that a student can get, and "
        "report each fault by its line.",
        allow_abbrev=False,
    )
    checking.add_argument(
        "questions", type=_folder, metavar="QUESTIONS", help="the file, such as questions.toml"
    )
    checking.add_argument(
        "--example",
        action="store_true",
        help="write an example there first: six questions, each part explained",
    )
    checking.set_defaults(run=check_questions)
    return parser


def _add_roster(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "roster",
        type=_folder,
        metavar="ROSTER",
        help="the class list: a CSV file with a column id and, if wanted, name and units (metric or inches)",
    )


def _add_target(command: argparse.ArgumentParser, what: str) -> None:
    command.add_argument("--to", type=_folder, required=True, metavar="DIR", help=what)
    command.add_argument(
        "--replace", action="store_true", help="write over what an earlier run has written there"
    )


def _add_semicolons(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--semicolons",
        dest="delimiter",
        action="store_const",
        const=";",
        default=",",
        help="part the cells of the tables by semicolons, as a spreadsheet with a decimal comma wants them",
    )


def _add_lessons(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--lesson",
        action="append",
        default=[],
        metavar="N",
        help="only this lesson, such as 2 or 4b; may be repeated",
    )


def _add_own(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--lessons",
        type=_folder,
        metavar="FOLDER",
        help="your own copies of the lessons instead of ours (.ipynb)",
    )
    command.add_argument(
        "--questions",
        type=_folder,
        metavar="FILE",
        help="questions of your own (kilncalc check explains them)",
    )


def _folder(text: str) -> Path:
    if not text.strip():
        raise argparse.ArgumentTypeError("the name is empty")
    try:
        return Path(text).expanduser()
    except RuntimeError as error:
        raise argparse.ArgumentTypeError(f"{text}: there is no such user") from error


def _moment(text: str) -> datetime.datetime:
    try:
        return datetime.datetime.strptime(text.strip().replace("T", " "), "%Y-%m-%d %H:%M")
    except ValueError:
        pass
    try:
        at = datetime.datetime.strptime(text.strip(), "%H:%M").time()
    except ValueError:
        raise argparse.ArgumentTypeError(
            f'{text!r} is no time; write "19:30" for today, or "2026-03-05 19:30"'
        ) from None
    return datetime.datetime.combine(datetime.date.today(), at)


def _port(text: str) -> int:
    if not (text.isascii() and text.isdecimal() and 1 <= int(text) <= 65535):
        raise argparse.ArgumentTypeError(f"{text!r} is not a whole number from 1 to 65535")
    return int(text)


def open_lessons(options: argparse.Namespace) -> int:
    """Lay the lessons into the person's folder and run JupyterLab on them until it is stopped."""
    _check_jupyterlab_can_start(options.port, options.passed_on)
    folder = Path(os.path.abspath(options.folder))
    laid = lesson_folder.lay(folder)
    _tell(folder, laid)
    first = min([START, *laid.kept], key=lambda name: (not (folder / name).exists(), name))
    with tempfile.TemporaryDirectory(prefix="kilncalc-") as workspaces:
        ours = {
            "--ServerApp.root_dir": folder,
            "--FileContentsManager.preferred_dir": "",
            "--LabApp.default_url": f"/doc/tree/{quote(first)}",
            "--LabApp.workspaces_dir": workspaces,
            "--LabApp.extension_manager": "readonly",
            "--KernelManager.transport_encryption": "auto",
            "--ip": "localhost",
            "--log-level": "ERROR",
        }
        if options.port is not None:
            ours |= {"--port": options.port, "--ServerApp.port_retries": 0}
        given = {_bare(word) for word in options.passed_on}
        command = [sys.executable, "-P", "-m", "jupyterlab"]
        command += [f"{name}={value}" for name, value in ours.items() if _bare(name) not in given]
        command += ["--no-browser"] * options.no_browser
        return _run([*command, *options.passed_on], Path(workspaces))


def _bare(option: str) -> str:
    """Return what an option sets: JupyterLab refuses one given twice, and --ip is --ServerApp.ip."""
    name = option.partition("=")[0].lstrip("-").rpartition(".")[2].replace("-", "_")
    return "root_dir" if name == "notebook_dir" else name


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


def _run(command: Sequence[str], neutral: Path) -> int:
    """Run JupyterLab in a folder that nobody else fills, and not in that of the lessons."""
    process = subprocess.Popen(command, cwd=neutral, env=_environment(os.environ))
    ways_to_stop = iter([process.terminate])
    signal.signal(signal.SIGTERM, lambda *_: next(ways_to_stop, process.kill)())
    presses = 0
    while True:
        try:
            code = process.wait()
            break
        except KeyboardInterrupt:
            # JupyterLab got it too: it asks at the first and stops at the second, unless it hangs.
            presses += 1
            if presses > 2:
                process.kill()
    if code > 0:
        raise Problem(f"JupyterLab stopped with an error (code {code}); what it said stands above")
    return 0


def _environment(given: Mapping[str, str]) -> dict[str, str]:
    """Return what JupyterLab is started with: our settings in front, and no path that hangs on a folder."""
    environment = dict(given)
    for name in _VARIABLES_WITH_PATHS:
        kept = [path for path in environment.pop(name, "").split(os.pathsep) if os.path.isabs(path)]
        if kept:
            environment[name] = os.pathsep.join(kept)
    environment |= page.environment(environment)
    environment["JUPYTER_PREFER_ENV_PATH"] = "1"  # this Python's, not what a person once installed elsewhere
    # No process that is started from there imports from the folder it is in: a student may have filled it.
    environment["PYTHONSAFEPATH"] = "1"
    return environment


def make_handout(options: argparse.Namespace) -> int:
    """Make each student's copy of the lessons."""
    from kilncalc.classroom import handout
    from kilncalc.exercises import same_id

    students = _students(options.roster)
    if wanted := {same_id(name): name for name in options.student}:
        students = tuple(student for student in students if same_id(student.id) in wanted)
        if missing := set(wanted) - {same_id(student.id) for student in students}:
            names = ", ".join(sorted(wanted[one] for one in missing))
            raise Problem(f"{options.roster} has no student {names}")
    own = _own(options)
    lessons = _or_problem(handout.shipped_lessons, options.lesson, options.lessons)
    lessons = _or_problem(handout.with_own, lessons, own)
    made = handout.hand_out(
        students,
        lessons,
        options.to,
        zipped=options.zip,
        pages=options.printable,
        sheets=options.sheet,
        own_questions=options.questions.read_bytes() if own else b"",
        replace=options.replace,
        progress=_bar("hand-outs"),
    )
    what = "zip" if options.zip else "folder"
    exercises = sum(len(lesson.keys) for lesson in lessons)
    print(f"{_count(made.students, what)} in {options.to}, each with:")
    print(f"  {_count(len(lessons), 'lesson')} ({', '.join(lesson.label for lesson in lessons)})")
    print(f"  {_count(exercises, 'exercise')} with the student's own numbers")
    if made.pages:
        print(f"  {_count(len(lessons), 'page')} to print")
    if made.sheets:
        print(f"  {_count(made.sheets // len(students), 'sheet')} of exercises to print")
    return 0


def show_results(options: argparse.Namespace) -> int:
    """Mark what the class handed in."""
    from kilncalc.classroom import files, results, results_page

    students = _students(options.roster)
    page, *tables = (options.to / name for name in ("results.html", "results.csv", "grades.csv"))
    if not options.replace:
        files.check_absent([page, *tables])
    own = _own(options)
    found = _or_problem(
        results.collect,
        students,
        options.handed_in,
        [] if options.lessons else options.lesson,
        leave_out=(options.roster, *tables),
        progress=_bar("students"),
        asked=_asked(options, own) if options.lessons else (),
        own=own,
    )
    files.make_folder(options.to)
    files.write(page, results_page.page(found).encode("utf-8", "replace"), replace=options.replace)
    for table, made in zip(tables, (found.to_csv, found.grades), strict=True):
        files.write(table, made(options.delimiter), replace=options.replace)
    print(f"{_count(len(found.handed_in), 'student')} of {len(students)} handed in answers.")
    if found.missing:
        print(f"Nothing from: {', '.join(student.id for student in found.missing)}")
    for asked in found.questions:
        states = found.states(asked)
        counts = ", ".join(f"{states[state]} {results_page.WORDS[state]}" for state in results.STATES)
        print(f"{asked.key} {asked.title}: {counts}")
    for problem in found.problems[:20]:
        print(f"! {problem}")
    if len(found.problems) > 20:
        print(f"! and {len(found.problems) - 20} more, all in {page.name}")
    not_looked_at = f"; {_count(found.others, 'other file')} not looked at" if found.others else ""
    written = ", ".join(str(path) for path in (page, *tables))
    print(f"{_count(found.files, 'file')} of answers read{not_looked_at}. Written: {written}")
    return 0


def write_key(options: argparse.Namespace) -> int:
    """Write every student's numbers, answers and workings."""
    from kilncalc.classroom import files, key

    students = _students(options.roster)
    own = _own(options)
    asked = _asked(options, own) if options.lessons else [*_or_problem(key.asked_in, options.lesson), *own]
    page, table = options.to / "key.html", options.to / "key.csv"
    if not options.replace:
        files.check_absent([page, table])
    files.make_folder(options.to)
    made = (
        key.sheets(students, asked, _bar("students"))
        if options.sheet
        else key.page(students, asked, _bar("questions"))
    )
    files.write(page, made.encode(), replace=options.replace)
    files.write(table, key.to_csv(students, asked, options.delimiter), replace=options.replace)
    print(f"{_count(len(students), 'student')}, {_count(len(asked), 'question')}. Written: {page}, {table}")
    return 0


def print_card(options: argparse.Namespace) -> int:
    """Write a page of a piece to print: its card, its record or its project sheet."""
    from kilncalc.classroom import card, files
    from kilncalc.plan import plan
    from kilncalc.project import Project
    from kilncalc.quantities import Show

    kind = "record" if options.record else "sheet" if options.sheet else "card"
    target = options.to or options.piece.with_name(f"{options.piece.stem}-{kind}.html")
    if not options.replace:
        files.check_absent([target])
    piece = _or_problem(Project.read, options.piece)
    show = Show(options.units or piece.units)
    if kind == "record":
        written = _or_problem(card.record, piece, show, options.piece.parent)
    elif kind == "sheet":
        written = _or_problem(card.sheet, plan(piece), show)
    else:
        written = _or_problem(card.card, plan(piece), show, options.start)
    files.make_folder(target.parent)
    files.write(target, written.encode("utf-8"), replace=options.replace)
    print(f"The {kind} of {piece.name} is in {target}; open it in a browser and print it.")
    return 0


def read_logs(options: argparse.Namespace) -> int:
    """Read the logs of a piece back, one after the other."""
    from kilncalc.figures import firing_log as pictures
    from kilncalc.firing_log import read_log
    from kilncalc.plan import kiln_of
    from kilncalc.plan_bodies import bodies_of
    from kilncalc.project import Project
    from kilncalc.quantities import Show
    from kilncalc.read_back import read_back

    piece = _or_problem(Project.read, options.piece)
    logged = [fired for fired in piece.fired if fired.log]
    if not logged:
        raise Problem(f'no [[fired]] entry of {options.piece} names a log; write log = "FILE" into it')
    bodies, show = _or_problem(bodies_of, piece), Show(options.units or piece.units)
    for fired in logged:
        log = _or_problem(read_log, options.piece.parent / fired.log)
        body = bodies[fired.firing - 1]
        back = _or_problem(read_back, log, fired.segments, body, kiln_of(piece))
        figure = pictures.read_back(back, show)
        print(f"{fired.date}, {piece.firings[fired.firing - 1].process}, {fired.log}")
        for line in (*log.assumed, *log.mended):
            print(f"  read with: {line}")
        for reading in figure["readings"]:
            print(f"  {reading['value']}: {reading['says']}")
        for number, asked, became in figure["table"]["rows"]:
            print(f"  {number}. {asked}: {became}")
    return 0


def check_questions(options: argparse.Namespace) -> int:
    """Check a file of a teacher's own questions; with `--example`, write one first."""
    from kilncalc.classroom import files
    from kilncalc.exercises.own import EXAMPLE, check_own

    if options.example:
        files.write(options.questions, EXAMPLE.read_bytes())
        print(f"An example to change is in {options.questions}")
    checked = _or_problem(check_own, options.questions)
    for asked in checked:
        sets = max(asked.variants("metric"), asked.variants("inches"))
        print(f"{asked.key} {asked.title}: {_count(sets, 'set')} of numbers")
    print(f"{_count(len(checked), 'question')}: nothing to complain about")
    return 0


def _own(options: argparse.Namespace) -> tuple["OwnQuestion", ...]:
    from kilncalc.exercises.own import read_own

    return _or_problem(read_own, options.questions) if options.questions else ()


def _asked(options: argparse.Namespace, own: Sequence["OwnQuestion"]) -> list["Question"]:
    """Return the questions that a teacher's copies of the lessons ask, in order."""
    from kilncalc.classroom import handout
    from kilncalc.exercises import question

    lessons = _or_problem(handout.shipped_lessons, options.lesson, options.lessons)
    lessons = _or_problem(handout.with_own, lessons, own)
    keys = dict.fromkeys(key for lesson in lessons for key in lesson.keys)
    by_key = {asked.key: asked for asked in own}
    return [by_key.get(key) or question(key) for key in keys]


def _students(path: Path) -> tuple["Student", ...]:
    from kilncalc.classroom.roster import read_roster

    roster = _or_problem(read_roster, path)
    if roster.unused:
        print(f"{path.name}: these columns are not used: {', '.join(roster.unused)}")
    return roster.students


def _or_problem(function: Callable[..., Any], *arguments: Any, **keywords: Any) -> Any:
    """Call a function whose ValueError is a sentence for the person at the keyboard."""
    try:
        return function(*arguments, **keywords)
    except ValueError as error:
        lines = str(error).splitlines()
        more = [f"and {len(lines) - 20} more problems"] if len(lines) > 20 else []
        raise Problem("\n  ".join([*lines[:20], *more])) from error


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def _bar(what: str) -> Callable[[int, int], None] | None:
    """Return what draws a progress bar on a terminal; None where nobody would see it."""

    def draw(done: int, total: int) -> None:
        filled = 30 * done // max(total, 1)
        line = f"\r{what} [{'#' * filled}{'.' * (30 - filled)}] {done} of {total}"
        print(line, end="" if done < total else "\n", file=sys.stderr, flush=True)

    return draw if sys.stderr.isatty() else None
