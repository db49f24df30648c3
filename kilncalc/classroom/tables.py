"""Tables that come from and go to other people's programs: read without trust, written without formulas."""

import csv
import io
import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

_FORMULA = re.compile(r"""((?:^|(?<=[,;\t\r\n|]))["' ]*)([-=+@\t\r\n＝＋－＠])""")
"""What a spreadsheet program might take for a formula: at the beginning, or after what might end a cell."""
_JOINERS = "\u200c\u200d"


@dataclass(frozen=True)
class Problem:
    """Something in a file that a teacher should look at: where, and one sentence."""

    file: str
    line: int | None
    sentence: str

    def __str__(self) -> str:
        where = shown(self.file, 200) + (f", line {self.line}" if self.line else "")
        return f"{where}: {self.sentence}"


class TableError(ValueError):
    """A table that cannot be used, with every problem found in it."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        super().__init__("\n".join(map(str, problems)))
        self.problems = tuple(problems)


def shown(text: str, longest: int = 80) -> str:
    """Return text from a stranger's file as it can be shown: control characters replaced, cut to length."""
    if len(text) > longest:
        text = f"{text[: longest - 1]}…"
    if text.isprintable():  # as nearly all are, and then there is no control character
        return text
    return "".join(
        c if unicodedata.category(c)[0] != "C" or c in _JOINERS else "\N{REPLACEMENT CHARACTER}" for c in text
    )


def read_bytes(path: Path, largest: int) -> bytes:
    """Return the content of a file; ValueError if it is larger than `largest` bytes."""
    with path.open("rb") as file:
        content = file.read(largest + 1)
    if len(content) > largest:
        raise ValueError(f"is larger than {largest / 1e6:g} MB, so it was not read")
    return content


def decoded(content: bytes) -> str:
    """Return the text of a file in UTF-8, or in UTF-16 with its mark; ValueError with a sentence otherwise.

    An encoding is never guessed: a guess would turn a name into another one.
    """
    encoding = "utf-16" if content[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
    try:
        text = content.decode(encoding)
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise ValueError(
            f"is not UTF-8 text from line {line} on; in the spreadsheet program save it as “CSV UTF-8”"
        ) from None
    if "\0" in text:
        raise ValueError("is not text but a file of some other kind")
    return text


def named(key: str) -> str:
    """Return the key of an exercise as a cell: a bare 2.1 would be taken for a day or a number."""
    return f"exercise {key}"


def to_csv(columns: Sequence[str], rows: Iterable[Sequence[object]], delimiter: str = ",") -> bytes:
    """Return a table as CSV (UTF-8 with its mark) in which no cell can be taken for a formula.

    That holds also where a program takes commas, semicolons or tabs inside a cell for the ends of cells.
    """
    text = io.StringIO(newline="")
    writer = csv.writer(text, delimiter=delimiter)
    writer.writerow(columns)
    for row in rows:
        writer.writerow([_FORMULA.sub(r"\1'\2", cell) if isinstance(cell, str) else cell for cell in row])
    return text.getvalue().encode("utf-8-sig", "replace")
