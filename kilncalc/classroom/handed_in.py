"""Find the files of answers that a class has handed in: in a folder, in folders in it, in zips.

No link is followed, nothing is unpacked and nothing run. Each zip is opened once and its members are read in
memory, one at a time; there are limits to each file, to each zip and to all of them, and what lies beyond is
named. The smallest are read first, so that a very large one takes nothing from the others.
"""

import functools
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
from kilncalc.exercises import LARGEST_FILE, SESSION_FILE, Session, near_id, same_id

_MOST_ENTRIES = 100_000
_DEEPEST = 20
_MOST_OF_A_ZIP = 25_000_000
_MOST_IN_ALL = 100_000_000
_LARGEST_SESSION = 100_000
_LARGEST_DIRECTORY = 1_000_000
"""The list of members at the end of a zip: a thousand members need a tenth of this."""
_READABLE = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
"""The other ways to pack may ask for any amount of memory before a byte is read."""
_LINK = "this is a link, and links are not followed"
_DAMAGED = (
    *(zipfile.BadZipFile, zlib.error, EOFError, RuntimeError, struct.error),
    *(OverflowError, UnicodeDecodeError),
)
"""What reading a zip that was tampered with may raise; RuntimeError where `zipfile` does not know a way."""
_ENDINGS = (".csv", ".txt", ".tsv", ".tab", ".xlsx", ".xls", ".ods")
"""Of files of answers as they are, and as programs save them."""
_WORD = re.compile(r"[\s_.()-]*answers?[\s_.()-]*", re.IGNORECASE)
_COPY = re.compile(r"[\s_-]*\(\d{1,3}\)$")
_BOUNDARY = re.compile(r"[\s_.,-]+")


@dataclass(frozen=True)
class Found:
    """A file that may hold answers: its name as shown, what is in it, and what may say whose it is."""

    name: str
    content: bytes
    places: tuple[str, ...]
    """The name of the file, of its folder, of the folder around that ..., each without its ending."""
    session: str
    """The id in the session file beside it, or empty."""


class Ids:
    """The ids of a class list, found again in names: as they are, beside other words, or nearly."""

    def __init__(self, students: Collection[Student]) -> None:
        self.exact: Mapping[str, Student] = {same_id(student.id): student for student in students}
        near: dict[str, list[Student]] = {}
        for student in students:
            near.setdefault(near_id(student.id), []).append(student)
        self.near = {key: of_key[0] for key, of_key in near.items() if key and len(of_key) == 1}

        self.named = functools.lru_cache(maxsize=5000)(self._named)

    def _named(self, text: str) -> tuple[Student | None, bool]:
        """Return the student with this id and whether it is written exactly so; None if there is none."""
        exact = self.exact.get(same_id(text))
        return (exact, True) if exact else (self.near.get(near_id(text)), False)

    def at(self, places: Collection[str]) -> tuple[Student | None, bool]:
        """Return whose place it is, and whether an id stands there exactly."""
        names = [name for place in places for name in _names(place)]
        beside = [word for name in names for word in _words(name)]
        for found in (*names, *beside):
            if student := self.exact.get(same_id(found)):
                return student, True
        for found in (*names, *beside):
            if student := self.near.get(near_id(found)):
                return student, False
        return None, False


def _names(place: str) -> Iterator[str]:
    """Yield a name as it stands, and without "answers" and the (1) of a second download."""
    plain = _COPY.sub("", place)
    if not _WORD.search(plain):
        yield from (place, plain)
    elif not (rest := _WORD.sub(" ", plain).strip()).isdigit():  # answers 2 is a copy, not that of student 2
        yield rest


def _words(name: str) -> Iterator[str]:
    """Yield what a name begins with, and what it ends with where that is not only a number."""
    cuts = [(found.start(), found.end()) for found in _BOUNDARY.finditer(name)]
    for start, _ in reversed(cuts):
        yield name[:start]
    for _, end in cuts:
        if not name[end:].isdigit():
            yield name[end:]


@dataclass
class Search:
    """Goes through a folder; afterwards: what was wrong on the way, and how many other files lay there."""

    folder: Path
    ids: Ids
    leave_out: Collection[Path] = ()
    problems: list[Problem] = field(default_factory=list)
    others: int = 0
    _read: int = 0

    def found(self) -> Iterator[Found]:
        """Yield the files of answers: names with "answers" in them, and names that are an id.

        Raises OSError where there is no such folder.
        """
        left_out = {os.path.realpath(path) for path in self.leave_out}
        wanted: list[tuple[int, str, Path, tuple[str, ...]]] = []
        for count, (entry, where) in enumerate(self._walk()):
            if count >= _MOST_ENTRIES:
                sentence = f"there are more than {_MOST_ENTRIES} files here; the rest was not looked at"
                self.problems.append(Problem(str(self.folder), None, sentence))
                break
            is_zip = entry.name.lower().endswith(".zip")
            if not (is_zip or self._is_answers(entry.name)) or os.path.realpath(entry.path) in left_out:
                self.others += entry.name.lower() != SESSION_FILE
            elif not entry.is_file(follow_symlinks=False):
                name = "/".join((*where, entry.name))
                self.problems.append(Problem(name, None, "this is not a file, so it was not read"))
            else:
                size = entry.stat(follow_symlinks=False).st_size
                wanted.append((size, "/".join((*where, entry.name)), Path(entry.path), where))
        for _, name, path, where in sorted(wanted):
            if path.name.lower().endswith(".zip"):
                yield from self._in_zip(path, where, name)
                continue
            try:
                content = self._counted(read_bytes(path, LARGEST_FILE))
            except (OSError, ValueError) as error:
                self.problems.append(Problem(name, None, f"this file {_reason(error)}"))
                continue
            beside = path.with_name(SESSION_FILE)
            session = _session_id(beside) if not beside.is_symlink() and beside.is_file() else ""
            yield Found(name, content, (_stem(path.name), *reversed(where)), session)

    def _counted(self, content: bytes) -> bytes:
        if self._read + len(content) > _MOST_IN_ALL:
            raise ValueError(f"was not read: there are more than {_MOST_IN_ALL / 1e6:g} MB of answers")
        self._read += len(content)
        return content

    def _is_answers(self, name: str) -> bool:
        lower = name.lower()
        stem = _stem(name)
        if "answers" in stem.lower() and (lower.endswith(_ENDINGS) or "." not in lower):
            return True
        return lower.endswith(_ENDINGS) and self.ids.at([stem])[0] is not None

    def _walk(self) -> Iterator[tuple[os.DirEntry, tuple[str, ...]]]:
        """Yield everything that is neither a folder nor a link, with the folders it lies in."""
        waiting: list[tuple[Path, tuple[str, ...]]] = [(self.folder, ())]
        while waiting:
            here, where = waiting.pop()
            try:
                entries = os.scandir(here)
            except OSError as error:
                if not where:
                    raise
                sentence = f"this folder cannot be opened: {error.strerror}"
                self.problems.append(Problem("/".join(where), None, sentence))
                continue
            with entries:
                for entry in entries:
                    inner = (*where, entry.name)
                    name = "/".join(inner)
                    if entry.is_symlink() or getattr(entry, "is_junction", bool)():
                        self.problems.append(Problem(name, None, _LINK))
                    elif not entry.is_dir(follow_symlinks=False):
                        yield entry, where
                    elif len(inner) > _DEEPEST:
                        sentence = "this folder lies too deep and was not opened"
                        self.problems.append(Problem(name, None, sentence))
                    else:
                        waiting.append((here / entry.name, inner))

    # ------------------------------------------------------------------------------------------------ zips

    def _in_zip(self, path: Path, where: tuple[str, ...], name: str) -> Iterator[Found]:
        try:
            with _open_zip(path) as archive:
                members = {info.filename: info for info in archive.infolist()}
                left = _MOST_OF_A_ZIP
                for info in archive.infolist():
                    inside = PurePosixPath(info.filename)
                    # not is_dir(): it breaks at a member without a name
                    if info.filename.endswith("/") or not self._is_wanted(f"{name}/{inside}", info, inside):
                        continue
                    try:
                        if left <= 0:
                            most = f"{_MOST_OF_A_ZIP / 1e6:g} MB"
                            raise ValueError(f"was not read: there are more than {most} in this zip")
                        content = self._counted(_read_member(archive, info, LARGEST_FILE))
                    except ValueError as error:
                        left -= LARGEST_FILE  # to find that it is too large took as much
                        self.problems.append(Problem(f"{name}/{inside}", None, f"this file {error}"))
                        continue
                    left -= len(content)
                    beside = members.get(str(inside.with_name(SESSION_FILE)))
                    session = "" if beside is None else _session_in(archive, beside)
                    places = (*reversed(inside.parts[:-1]), _stem(path.name), *reversed(where))
                    yield Found(f"{name}/{inside}", content, (_stem(inside.name), *places), session)
        except (OSError, ValueError) as error:
            self.problems.append(Problem(name, None, f"this zip {_reason(error)}"))

    def _is_wanted(self, name: str, info: zipfile.ZipInfo, inside: PurePosixPath) -> bool:
        if not self._is_answers(inside.name):
            self.others += inside.name != SESSION_FILE
            if inside.suffix.lower() == ".zip":
                sentence = "this is a zip inside a zip and was not opened; unpack the outer one first"
                self.problems.append(Problem(name, None, sentence))
            return False
        if reason := _why_not(info):
            self.problems.append(Problem(name, None, reason))
        return not reason


def _stem(name: str) -> str:
    """Return a file's name without its endings: S04 for S04.csv.txt."""
    while name.lower().endswith((*_ENDINGS, ".zip")):
        name = name[: name.rindex(".")]
    return name


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
