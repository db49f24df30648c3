"""Find the files of answers that a class has handed in: in a folder, in folders in it, in zips.

No link is followed, nothing is unpacked and nothing run: a zip's members are read in memory, each with a cap.
"""

import os
import re
import stat
import struct
import zipfile
import zlib
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath

from kilncalc.classroom.roster import Student
from kilncalc.classroom.tables import Problem, read_bytes
from kilncalc.exercises import SESSION_FILE, Session, same_id

LARGEST_FILE = 5_000_000
"""A file of answers larger than this is not read; the boxes write none."""

_MOST_ENTRIES = 200_000
_DEEPEST = 20
_LARGEST_SESSION = 100_000
_LARGEST_DIRECTORY = 1_000_000
"""The list of members at the end of a zip: a thousand members need a tenth of this."""
_READABLE = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
"""The other ways to pack may ask for any amount of memory before a byte is read."""
_LINK = "this is a link, and links are not followed"
_DAMAGED = (
    *(zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, struct.error),
    *(OverflowError, UnicodeDecodeError),
)
"""What reading a zip that somebody has tampered with may raise."""
_WORD = re.compile(r"[\s_.()-]*answers?[\s_.()-]*", re.IGNORECASE)
_COPY = re.compile(r"[\s_-]*\(\d{1,3}\)$")


@dataclass(frozen=True)
class Found:
    """A file that may hold answers: its name as shown, where it is, and what may say whose it is."""

    name: str
    path: Path
    member: str | None
    places: tuple[str, ...]
    """The name of the file, of its folder, of the folder around that ..., each without its ending."""
    session: str
    """The id in the session file beside it, or empty."""

    def content(self) -> bytes:
        """Return the bytes; OSError or ValueError with a sentence if that cannot be done."""
        if self.member is None:
            return read_bytes(self.path, LARGEST_FILE)
        with _open_zip(self.path) as archive:
            return _read_member(archive, archive.getinfo(self.member), LARGEST_FILE)

    def owner(self, students: Mapping[str, Student]) -> Student | None:
        """Return whose file it is by the names around it, else by the session beside it."""
        for place in (*self.places, self.session):
            for name in _as_ids(place):
                if student := students.get(same_id(name)):
                    return student
        return None


@dataclass
class Search:
    """What was found, what was wrong on the way, and how many other files lay there."""

    found: list[Found] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    others: int = 0


def search(folder: Path, students: Mapping[str, Student], leave_out: Collection[Path] = ()) -> Search:
    """Look for files of answers: `answers.csv`, names with "answers" in them, and `<id>.csv`.

    `students` is by `same_id`; files in `leave_out` are not looked at. Raises OSError where there is no
    such folder.
    """
    result = Search()
    left_out = {os.path.realpath(path) for path in leave_out}
    for count, (entry, where) in enumerate(_walk(folder, result.problems)):
        if count >= _MOST_ENTRIES:
            told = f"there are more than {_MOST_ENTRIES} files here; the rest was not looked at"
            result.problems.append(Problem(str(folder), None, told))
            break
        name = "/".join((*where, entry.name))
        lower = entry.name.lower()
        wanted = _is_answers(PurePosixPath(entry.name), students)
        if not (wanted or lower.endswith(".zip")) or os.path.realpath(entry.path) in left_out:
            result.others += lower != SESSION_FILE
        elif not entry.is_file(follow_symlinks=False):
            result.problems.append(Problem(name, None, "this is not a file, so it was not read"))
        elif wanted:
            path = Path(entry.path)
            places = (path.stem, *reversed(where))
            beside = path.with_name(SESSION_FILE)
            session = _session_id(beside) if not beside.is_symlink() and beside.is_file() else ""
            result.found.append(Found(name, path, None, places, session))
        else:
            _look_into_zip(Path(entry.path), where, name, students, result)
    result.found.sort(key=lambda found: found.name)
    result.problems.sort(key=lambda problem: problem.file)  # a folder has no order of its own
    return result


def _walk(folder: Path, problems: list[Problem]) -> Iterator[tuple[os.DirEntry, tuple[str, ...]]]:
    """Yield everything under `folder` that is neither a folder nor a link, with the folders it lies in."""
    waiting: list[tuple[Path, tuple[str, ...]]] = [(folder, ())]
    while waiting:
        here, where = waiting.pop()
        try:
            entries = os.scandir(here)
        except OSError as error:
            if not where:
                raise
            problems.append(Problem("/".join(where), None, f"this folder cannot be opened: {error.strerror}"))
            continue
        with entries:
            for entry in entries:
                inner = (*where, entry.name)
                name = "/".join(inner)
                if entry.is_symlink() or getattr(entry, "is_junction", bool)():
                    problems.append(Problem(name, None, _LINK))
                elif not entry.is_dir(follow_symlinks=False):
                    yield entry, where
                elif len(inner) > _DEEPEST:
                    problems.append(Problem(name, None, "this folder lies too deep and was not opened"))
                else:
                    waiting.append((here / entry.name, inner))


def _is_answers(name: PurePosixPath, students: Mapping[str, Student]) -> bool:
    if name.suffix.lower() != ".csv":
        return False
    return "answers" in name.stem.lower() or any(same_id(stem) in students for stem in _as_ids(name.stem))


def _as_ids(place: str) -> tuple[str, ...]:
    """Return a name as it stands, without the "(1)" of a second download, and without the word "answers"."""
    plain = _COPY.sub("", place)
    return place, plain, _WORD.sub("", plain)


def _session_id(path: Path) -> str:
    try:
        return _id_in(read_bytes(path, _LARGEST_SESSION))
    except (OSError, ValueError):
        return ""


def _id_in(content: bytes) -> str:
    try:
        return Session.from_json(content).student
    except ValueError:
        return ""


# ---------------------------------------------------------------------------------------------------- zips


def _look_into_zip(
    path: Path, where: tuple[str, ...], name: str, students: Mapping[str, Student], result: Search
) -> None:
    try:
        with _open_zip(path) as archive:
            members = {info.filename: info for info in archive.infolist()}
            for info in archive.infolist():
                if info.is_dir():
                    continue
                inside = PurePosixPath(info.filename)
                if not _is_answers(inside, students):
                    result.others += inside.name != SESSION_FILE
                    if inside.suffix.lower() == ".zip":
                        told = "this is a zip inside a zip and was not opened; unpack the outer one first"
                        result.problems.append(Problem(f"{name}/{inside}", None, told))
                    continue
                if reason := _why_not(info):
                    result.problems.append(Problem(f"{name}/{inside}", None, reason))
                    continue
                beside = members.get(str(inside.with_name(SESSION_FILE)))
                session = "" if beside is None else _session_in(archive, beside)
                places = (inside.stem, *reversed(inside.parts[:-1]), path.stem, *reversed(where))
                result.found.append(Found(f"{name}/{inside}", path, info.filename, places, session))
    except (OSError, ValueError) as error:
        result.problems.append(Problem(name, None, f"this zip {_reason(error)}"))


def _session_in(archive: zipfile.ZipFile, info: zipfile.ZipInfo) -> str:
    if _why_not(info):
        return ""
    try:
        return _id_in(_read_member(archive, info, _LARGEST_SESSION))
    except ValueError:
        return ""


def _why_not(info: zipfile.ZipInfo) -> str:
    """Return why a member is not read, or an empty text."""
    parts = re.split(r"[/\\]", info.filename)
    if ".." in parts or parts[0] == "" or ":" in parts[0]:
        return "its name points out of the zip, so it was not read"
    if stat.S_ISLNK(info.external_attr >> 16):
        return _LINK
    if info.flag_bits & 1:
        return "it is locked with a password, so it was not read"
    if info.compress_type not in _READABLE:
        return "it is packed in an unusual way, so it was not read; pack it as an ordinary zip"
    return ""


def _open_zip(path: Path) -> zipfile.ZipFile:
    """Open a zip whose list of members is short enough to be held; ValueError with a sentence otherwise."""
    _check_directory(path)
    try:
        return zipfile.ZipFile(path)
    except _DAMAGED as error:
        raise ValueError(f"is damaged ({error})") from None


def _check_directory(path: Path) -> None:
    with path.open("rb") as file:
        size = file.seek(0, os.SEEK_END)
        file.seek(max(0, size - 66_000))
        tail = file.read()
    at = tail.rfind(b"PK\5\6")
    if at < 0 or len(tail) < at + 22:
        raise ValueError("is damaged (its end is missing)")
    (directory,) = struct.unpack_from("<L", tail, at + 12)
    if directory > _LARGEST_DIRECTORY or b"PK\6\7" in tail[max(0, at - 20) : at]:
        raise ValueError("has too many members and was not opened")


def _read_member(archive: zipfile.ZipFile, info: zipfile.ZipInfo, largest: int) -> bytes:
    try:
        with archive.open(info) as file:
            content = file.read(largest + 1)
    except _DAMAGED as error:
        raise ValueError(f"is damaged ({error})") from None
    if len(content) > largest:
        raise ValueError(f"is larger than {largest / 1e6:g} MB, so it was not read")
    return content


def _reason(error: OSError | ValueError) -> str:
    if isinstance(error, OSError):
        return f"cannot be opened: {error.strerror or error}"
    return str(error)
