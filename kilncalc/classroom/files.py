"""The one place where a user's files are written: whole or not at all, and never over another unasked."""

import os
import re
import secrets
import sys
import tempfile
import time
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from typing import BinaryIO

_LEFT = 600.0
"""Where files cannot be locked, one that was not finished for so long [s] was left by a run that stopped."""


def make_folder(folder: Path) -> None:
    """Make `folder` if it is missing and try that it takes new files.

    Raises OSError with a sentence for a person where that cannot be.
    """
    try:
        for part in (folder, *folder.parents):
            if part.exists() and not part.is_dir():
                raise NotADirectoryError(f"{part} is a file, so it cannot be a folder; name another folder")
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            pass
    except OSError as error:
        if error.errno is None:
            raise
        raise OSError(f"cannot write in {folder}: {error.strerror}; name another folder") from error


def check_absent(paths: Iterable[Path]) -> None:
    """Raise FileExistsError, listing those that are there, unless none of `paths` is."""
    there = [str(path) for path in paths if os.path.lexists(path)]
    if there:
        more = [f"and {len(there) - 10} more"] if len(there) > 10 else []
        listed = "\n  ".join([*there[:10], *more])
        raise FileExistsError(
            f"nothing was written, because there is already (--replace writes over it):\n  {listed}"
        )


def sweep(folder: Path) -> None:
    """Take away what a run that was stopped halfway has left in `folder`: files it had not finished.

    One that another run is writing stays: its writer holds a lock on it, which ends with the writer. Where
    files cannot be locked, one is left by its age.
    """
    for part in folder.glob(".*.part"):
        if re.fullmatch(r"\..+\.\d+-[0-9a-f]{8}\.part", part.name) and not part.is_symlink():
            with suppress(OSError):  # another run has taken it away, or it is somebody else's
                _sweep_one(part)


def _sweep_one(part: Path) -> None:
    if not part.is_file():
        return
    with part.open("r+b") as file:
        locked = _lock(file, wait=False)
        if locked:
            part.unlink()
    if locked is None and time.time() - part.stat().st_mtime > _LEFT:
        part.unlink()


def _lock(file: BinaryIO, wait: bool) -> bool | None:
    """Lock an open file: whether that was done, or None where files cannot be locked."""
    if sys.platform == "win32":
        return None
    import fcntl

    try:
        fcntl.flock(file, fcntl.LOCK_EX if wait else fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError:  # as on some network drives
        return None
    return True


def _begun(part: Path) -> BinaryIO:
    """Open a new file that no `sweep` takes away before it is closed."""
    while True:
        file = part.open("xb")
        _lock(file, wait=True)
        if part.exists():
            return file
        file.close()  # a sweep saw it in the moment before it was locked


def _linked(part: Path, path: Path) -> bool:
    """Give the finished file its name, which fails where that is taken; False where no file has two names."""
    try:
        os.link(part, path)
    except FileExistsError:
        raise
    except (OSError, AttributeError):  # as on a memory stick, and in a browser
        return False
    return True


def write(path: Path, content: bytes, *, replace: bool = False) -> None:
    """Write `content` to `path`: the whole of it or nothing, never a part.

    A file that is there already stays as it is and FileExistsError is raised, unless `replace` is true:
    pass that only where a person asked for it or where nothing of theirs can be lost. Any other failure
    is an OSError with a sentence for a person, and leaves `path` as it was.
    """
    part = path.with_name(f".{path.name}.{os.getpid()}-{secrets.token_hex(4)}.part")
    claimed = False
    try:
        if not replace and os.path.lexists(path):
            raise FileExistsError
        with _begun(part) as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
            if sys.platform == "win32":
                file.close()  # an open file cannot be given another name there
            if not replace:
                if not _linked(part, path):
                    path.touch(exist_ok=False)
                claimed = True
            os.replace(part, path)  # of a file that was linked to its name this changes nothing
            claimed = False
    except FileExistsError:
        raise FileExistsError(f"{path} is there already and was left as it is") from None
    except OSError as error:
        raise OSError(f"cannot write {path}: {error.strerror}") from error
    finally:
        part.unlink(missing_ok=True)
        if claimed:
            path.unlink(missing_ok=True)
