"""Who works in this folder, in which units, and how often each exercise was given new numbers.

The session lies in `session.json` of the lesson folder, which is the folder the kernel works in at the time
of the call. It is read again each time, so that two notebooks agree, and written whole or not at all. Where
it cannot be written it is kept in memory, and says so.
"""

import json
import os
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from kilncalc.exercises._questions import same_id
from kilncalc.quantities import unit_system

SESSION_FILE = "session.json"
UNIT_NAMES = {"metric": "metric units", "inches": "inches, ounces and °F"}

_LARGEST_FILE = 100_000
_LONGEST_ID = 64
_JOINERS = "\u200c\u200d"
"""Invisible, but part of the spelling in Persian and several scripts of India."""

_unsaved: dict[Path, "Session"] = {}


@dataclass(frozen=True)
class Session:
    """The student's roster id ("" while none is set), the unit system, and the counts of "new numbers"."""

    student: str = ""
    units: str = "metric"
    new_numbers: Mapping[str, int] = field(default_factory=dict)
    made_for: str = ""
    """Whose hand-out this folder is; "" where it is nobody's."""
    problem: str = field(default="", compare=False)
    """A sentence where the file could not be read or written, else empty."""

    @classmethod
    def from_json(cls, text: bytes) -> "Session":
        """Return the session that a file holds; ValueError with a sentence for any other content."""
        if len(text) > _LARGEST_FILE:
            raise ValueError("it is too large")
        try:
            content: Any = json.loads(text)
        except (ValueError, RecursionError):
            raise ValueError("it is not JSON") from None
        if not isinstance(content, dict):
            raise ValueError("it is not a set of names and values")
        who, system = content.get("student", ""), content.get("units", "metric")
        counts, made_for = content.get("new_numbers", {}), content.get("made_for", "")
        if not isinstance(who, str) or not isinstance(made_for, str) or not isinstance(counts, dict):
            raise ValueError("student or new_numbers is not what was written")
        if not all(type(count) is int and 0 <= count < 1_000_000 for count in counts.values()):
            raise ValueError("a count of new numbers is no count")
        ids = [checked_id(one) if one else "" for one in (who, made_for)]
        return cls(ids[0], unit_system(system), counts, ids[1])

    def to_json(self) -> str:
        """Return the text of the session file."""
        content = {"student": self.student, "units": self.units, "new_numbers": dict(self.new_numbers)}
        if self.made_for:
            content["made_for"] = self.made_for
        return json.dumps(content, ensure_ascii=False, indent=1) + "\n"

    @property
    def doubt(self) -> str:
        """A question to ask where this is the hand-out of somebody else, else empty."""
        if not self.student or not self.made_for or same_id(self.student) == same_id(self.made_for):
            return ""
        if near_id(self.student) == near_id(self.made_for):
            return f"Did you mean {self.made_for}? {self.student} has other numbers; so type {self.made_for}."
        return (
            f"This folder was made for {self.made_for}: are you {self.student}? What you answer here is kept "
            f"as yours and does not count for {self.made_for}."
        )

    def __str__(self) -> str:
        who = f"Student {self.student}" if self.student else "No student is set, so answers are not kept"
        return f"{who}; {UNIT_NAMES[self.units]}.{' ' if self.problem else ''}{self.problem}"

    __repr__ = __str__


def checked_id(text: str) -> str:
    """Return a student's id without outer blanks; ValueError with a sentence for one that cannot serve.

    An id begins with a letter or a digit of any script; letters, digits, blanks and any of . _ - ' @ may
    follow. So it can name a folder, and cannot be a path or a formula of a spreadsheet.
    """
    student = unicodedata.normalize("NFC", text.strip())
    if not student:
        raise ValueError("an id cannot be empty; type the one the class list has for you")
    if len(student) > _LONGEST_ID:
        raise ValueError(f"an id has at most {_LONGEST_ID} characters, this one has {len(student)}")
    for place, character in enumerate(student):
        category = unicodedata.category(character)
        letter_or_digit = category[0] in "LN" or (place and category[0] == "M")
        if not letter_or_digit and not (place and (character in " ._-'@" or character in _JOINERS)):
            shown = character if character.isprintable() else f"U+{ord(character):04X}"
            where = "begin with" if place == 0 else "contain"
            raise ValueError(f"an id cannot {where} {shown!r}; it is letters, digits, blanks and . _ - ' @")
    if student.endswith("."):
        raise ValueError("an id cannot end in a full stop, because some systems drop it from a folder's name")
    return student


def near_id(student: str) -> str:
    """Return an id without what is easily mistyped, capitals, blanks, marks, leading zeros: s1 for S-01."""
    plain = "".join(character for character in same_id(student) if character.isalnum())
    return re.sub(r"(?<!\d)0+(?=\d)", "", plain)


def session() -> Session:
    """Return the session of the folder the kernel works in."""
    return _load(folder())


def student(identifier: str, units: str | None = None) -> Session:
    """Set who works in this folder, and the unit system if given; an empty text takes the id away.

    Another student begins with that student's own numbers. Raises ValueError with a sentence for an id that
    cannot serve (see `checked_id`).
    """
    if not isinstance(identifier, str):
        raise ValueError(f'write the id in double quotes, as in student("S04"), not {identifier!r}')
    wanted = checked_id(identifier) if identifier.strip() else ""
    now = session()
    kept = now.new_numbers if wanted == now.student else {}
    return _save(replace(now, student=wanted, units=_checked_units(units or now.units), new_numbers=kept))


def units(system: str) -> Session:
    """Set the unit system of this folder: "metric" or "inches" (inches, ounces, °F)."""
    return _save(replace(session(), units=_checked_units(system)))


def set_new_numbers(key: str, count: int) -> Session:
    """Set how often the exercise was given new numbers; 0 brings the student's own back."""
    now = session()
    return _save(replace(now, new_numbers={**now.new_numbers, key: count}))


def folder() -> Path:
    """Return the lesson folder: where the kernel works now."""
    try:
        return Path(os.getcwd())
    except OSError:
        return Path(os.curdir)


def _checked_units(system: str) -> str:
    try:
        return unit_system(system)
    except ValueError:
        raise ValueError(f'units are {system!r}; write units("metric") or units("inches")') from None


def _load(where: Path) -> Session:
    if where in _unsaved:
        return _unsaved[where]
    path = where / SESSION_FILE
    try:
        with path.open("rb") as file:
            text = file.read(_LARGEST_FILE + 1)
    except FileNotFoundError:
        return Session()
    except OSError as error:
        return Session(problem=f"{SESSION_FILE} in this folder cannot be opened ({error.strerror}).")
    try:
        return Session.from_json(text)
    except ValueError as error:
        return Session(problem=f"{SESSION_FILE} in this folder is damaged ({error}); set your id again.")


def _save(new: Session) -> Session:
    where = folder()
    path, part = where / SESSION_FILE, where / f".{SESSION_FILE}.{os.getpid()}.part"
    new = replace(new, problem="")
    try:
        try:
            if _is_damaged(path):
                os.replace(path, where / "session-damaged.json")
            part.write_text(new.to_json(), encoding="utf-8")
            os.replace(part, path)
        finally:
            part.unlink(missing_ok=True)
    except OSError as error:
        new = replace(
            new,
            problem=f"This folder cannot be written ({error.strerror}), so this is remembered only until the "
            "kernel is stopped; copy the lessons into a folder of your own.",
        )
        _unsaved[where] = new
        return new
    _unsaved.pop(where, None)
    return new


def _is_damaged(path: Path) -> bool:
    try:
        with path.open("rb") as file:
            Session.from_json(file.read(_LARGEST_FILE + 1))
    except FileNotFoundError:
        return False
    except ValueError:
        return True
    return False
