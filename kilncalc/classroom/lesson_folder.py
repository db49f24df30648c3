"""Lay the lessons into a person's own folder without touching what that person has edited."""

from dataclasses import dataclass, field
from pathlib import Path

from kilncalc import __version__, _resources
from kilncalc.classroom import files, notebooks


@dataclass
class Laid:
    """What happened to each lesson: names of files in the folder."""

    new: list[str] = field(default_factory=list)
    updated: list[str] = field(default_factory=list)
    kept: list[str] = field(default_factory=list)
    beside: list[tuple[str, str]] = field(default_factory=list)
    """Pairs: the file a person has edited, and the file with this package's version of the same lesson."""


def lay(folder: Path) -> Laid:
    """Bring `folder` up to date with this package's lessons and report what was done.

    A missing lesson is laid. One whose sources are as they were laid is updated when the package brings
    other sources, and otherwise kept with its outputs. An edited one is never changed: when the package's
    version differs from the one that was edited, it is laid beside it under a new name. Into a student's
    hand-out nothing is laid: what was not handed out is not to be seen there, least of all a teacher's notes.
    """
    shipped = sorted(_resources.lessons().glob("*.ipynb"))
    if not shipped:
        raise FileNotFoundError("this installation of kilncalc has no lessons in it; install kilncalc again")
    files.make_folder(folder)
    laid = Laid()
    if handed_out := _handed_out(folder):
        laid.kept = handed_out
        return laid
    for lesson in shipped:
        _lay_one(lesson, folder, laid)
    return laid


def _handed_out(folder: Path) -> list[str]:
    """Return the names of the notebooks in a student's hand-out; empty where the folder is none."""
    there = {path.name: _read_if_possible(path) for path in sorted(folder.glob("*.ipynb"))}
    origins = [notebooks.origin(notebook) for notebook in there.values() if notebook]
    return list(there) if any(origin and origin.student for origin in origins) else []


def _lay_one(lesson: Path, folder: Path, laid: Laid) -> None:
    current = notebooks.digest(notebooks.read(lesson))
    name, number = lesson.name, 1
    while (folder / name).exists():
        theirs = _read_if_possible(folder / name)
        origin = notebooks.origin(theirs) if theirs else None
        if theirs and current in (notebooks.digest(theirs), origin and origin.digest):
            laid.kept.append(name)
            break
        if theirs and not notebooks.edited(theirs):
            files.write(folder / name, lesson.read_bytes(), replace=True)
            laid.updated.append(name)
            break
        name = f"{lesson.stem}-new-{__version__}{f'-{number}' if number > 1 else ''}.ipynb"
        number += 1
    else:
        files.write(folder / name, lesson.read_bytes())
        laid.new.append(name)
    if name != lesson.name:
        laid.beside.append((lesson.name, name))


def _read_if_possible(path: Path) -> dict | None:
    try:
        return notebooks.read(path)
    except (ValueError, OSError):
        return None
