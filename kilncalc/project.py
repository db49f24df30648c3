"""A whole piece as a maker describes it: glass, layers, forms, firings, cold work, kiln, and what was fired.

`Project.read` opens a piece file, TOML with short words of the trade and a unit in every value; `write` saves
one. Nothing is computed here but whether the parts go together; `plan` does the rest.
"""

import os
import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Self

from kilncalc import _comments, _parts, _resources, _tables, materials
from kilncalc._parts import Part, PartError
from kilncalc._ranges import did_you_mean
from kilncalc.project_parts import (
    Bond,
    Casting,
    ColdWork,
    Drape,
    DrilledHole,
    Fired,
    Frit,
    Group,
    Hanging,
    Inlay,
    Laid,
    OwnGlass,
    OwnKiln,
    PlannedFiring,
    Prices,
    Rods,
    Sheet,
    Slump,
    Stock,
)

_LARGEST_FILE = 200_000


class ProjectError(ValueError):
    """A piece file that cannot be used: a sentence for each fault, with its line.

    Parameters
    ----------
    faults : sequence of PartError
        Each with its place in the file.
    text : str
        The file.
    name : str
        What it is called.
    """

    def __init__(self, faults: "list[PartError]", text: str, name: str) -> None:
        lines = _parts.lines_of(text, [fault.path for fault in faults])
        found = sorted((fault.line or lines[fault.path], str(fault)) for fault in faults)
        super().__init__("\n".join(f"{name}, line {line}: {sentence}" for line, sentence in found))
        self.lines = tuple(line for line, _ in found)


# -------------------------------------------------------------------------------------------- the whole


@dataclass(frozen=True, kw_only=True)
class Project(Part):
    """A whole piece.

    Parameters
    ----------
    name : str
        What it is called.
    about : str
        What it is, in words.
    units : str
        "metric" or "inches": what its file is written in.
    glass : str
        Its glass: of `materials.glasses()`, or one of `own_glasses`.
    size : pair of floats or None
        Finished length and width [m], 1e-3 to 2; None: a casting, which has the size of its mould.
    draw_in : float or None
        How far each edge draws in while hot, as seen on a trial [m], 0 to 0.05; None: not known.
    labour : float
        Work at the bench for one [s], 0 to 1e6.
    own_glasses : tuple of OwnGlass
        Key `own_glass`.
    sheets : tuple of Sheet
        The body from the shelf upwards; key `sheet`.
    laid : tuple of Laid
        What is laid on it.
    rods : tuple of Rods
        Rods on it.
    frit : tuple of Frit
        Frit on it.
    inlays : tuple of Inlay
        What is let into its top sheet; key `inlay`.
    casting : Casting or None
        The mould of a casting.
    slump : Slump or None
        The mould of a slump.
    drape : Drape or None
        A sleeve over a former.
    firings : tuple of PlannedFiring
        Its firings in order; key `firing`.
    cold_work : ColdWork or None
        What is sawn, ground, polished.
    holes : tuple of DrilledHole
        Key `hole`.
    hanging : Hanging or None
        How it hangs.
    bond : Bond or None
        What is glued.
    kiln : OwnKiln or None
        The kiln; None: a small brick kiln with a controller in °C.
    stock : tuple of Stock
        What there is to use and to buy.
    prices : Prices or None
        Of energy and work.
    group : Group or None
        A class that makes it; key `class`.
    fired : tuple of Fired
        What was fired so far.

    Raises
    ------
    ValueError
        If a value is not allowed, or the parts do not go together.

    Examples
    --------
    >>> tile = Project.from_text('''
    ... name = "tile"
    ... glass = "kiln glass A"
    ... size = ["4 in", "100 mm"]
    ... [[sheet]]
    ... thickness = "3.2 mm"
    ... count = 2
    ... [[firing]]
    ... process = "full fuse"
    ... ''')
    >>> tile.size, tile.sheets[0].count
    ((0.1016, 0.1), 2)
    """

    name: str = _parts.words()
    about: str = _parts.words("")
    units: str = _parts.choice(("metric", "inches"), "metric")
    glass: str = _parts.words()
    size: tuple[float, float] | None = _parts.pair(1e-3, 2.0, None)
    draw_in: float | None = _parts.length(0.0, 0.05, None)
    labour: float = _parts.quantity("time", 0.0, 1e6, 0.0)
    own_glasses: tuple[OwnGlass, ...] = _parts.tables(OwnGlass, "own_glass")
    sheets: tuple[Sheet, ...] = _parts.tables(Sheet, "sheet")
    laid: tuple[Laid, ...] = _parts.tables(Laid, "laid")
    rods: tuple[Rods, ...] = _parts.tables(Rods, "rods")
    frit: tuple[Frit, ...] = _parts.tables(Frit, "frit")
    inlays: tuple[Inlay, ...] = _parts.tables(Inlay, "inlay")
    casting: Casting | None = _parts.table(Casting)
    slump: Slump | None = _parts.table(Slump)
    drape: Drape | None = _parts.table(Drape)
    firings: tuple[PlannedFiring, ...] = _parts.tables(PlannedFiring, "firing")
    cold_work: ColdWork | None = _parts.table(ColdWork)
    holes: tuple[DrilledHole, ...] = _parts.tables(DrilledHole, "hole")
    hanging: Hanging | None = _parts.table(Hanging)
    bond: Bond | None = _parts.table(Bond)
    kiln: OwnKiln | None = _parts.table(OwnKiln)
    stock: tuple[Stock, ...] = _parts.tables(Stock, "stock")
    prices: Prices | None = _parts.table(Prices)
    group: Group | None = _parts.table(Group, "class")
    fired: tuple[Fired, ...] = _parts.tables(Fired, "fired")

    def _check(self) -> None:
        for path, sentence in _do_not_go_together(self):
            raise PartError(path, sentence)

    def glass_of(self, name: str = "") -> materials.Glass:
        """Return a glass of the piece by its name.

        Parameters
        ----------
        name : str
            Of one of `own_glasses` or of the table; empty: the glass of the piece.

        Returns
        -------
        Glass
            The glass, values in SI [-].

        Raises
        ------
        ValueError
            If there is no such glass.

        Examples
        --------
        >>> scenario("banner").glass_of().name
        'kiln glass A'
        """
        wanted = name or self.glass
        for one in self.own_glasses:
            if one.name == wanted:
                return one.glass()
        return materials.glass(wanted)

    @classmethod
    def from_text(cls, text: str, name: str = "piece file") -> Self:
        """Return the piece that a text in TOML describes.

        Parameters
        ----------
        text : str
            The text, up to 200 000 letters.
        name : str
            What it is called in a message.

        Returns
        -------
        Project
            The piece, SI units [-].

        Raises
        ------
        ProjectError
            With a sentence and a line for every fault.

        Examples
        --------
        >>> try:
        ...     Project.from_text("nmae = 'tile'")
        ... except ProjectError as error:
        ...     print(str(error)[:80])
        piece file, line 1: "nmae" is no part of a piece file. Did you mean "name"? Ther
        """
        text = text.replace("\r\n", "\n")
        if len(text) > _LARGEST_FILE:
            fault = PartError((), f"this file has {len(text)} letters; up to {_LARGEST_FILE} are read")
            raise ProjectError([fault], "", name)
        try:
            table = tomllib.loads(text)
        except (tomllib.TOMLDecodeError, RecursionError) as error:
            raise ProjectError([_no_toml(error)], text, name) from None
        faults: list[PartError] = []
        made = cls.from_table(table, (), faults)
        if made is None:
            raise ProjectError(faults, text, name)
        return made

    @classmethod
    def read(cls, path: str | os.PathLike[str], files: bool = True) -> Self:
        """Return the piece that a file describes.

        Parameters
        ----------
        path : str or path
            The piece file.
        files : bool
            Whether its photographs and logs have to be there.

        Returns
        -------
        Project
            The piece, SI units [-].

        Raises
        ------
        ProjectError
            With a sentence and a line for every fault.
        OSError
            If the file cannot be opened.

        Examples
        --------
        >>> Project.read("/nowhere/tile.toml")
        Traceback (most recent call last):
        ...
        FileNotFoundError: [Errno 2] No such file or directory: '/nowhere/tile.toml'
        """
        place = Path(path)
        try:
            text = place.read_bytes()[: 4 * _LARGEST_FILE + 4].decode("utf-8-sig").replace("\r\n", "\n")
        except UnicodeDecodeError:
            raise ProjectError([PartError((), "this file is not UTF-8 text")], "", place.name) from None
        made = cls.from_text(text, place.name)
        faults = list(made._not_there(place.parent)) if files else []
        if faults:
            raise ProjectError(faults, text, place.name)
        return made

    def _not_there(self, folder: Path) -> Iterator[PartError]:
        for place, fired in enumerate(self.fired):
            for key, names in (("log", (fired.log,)), ("before", fired.before), ("after", fired.after)):
                for name in names:
                    if sentence := not_beside(name, folder):
                        yield PartError(("fired", place, key), f"{key}: {sentence}")

    def to_text(self, keep: str = "") -> str:
        """Return the piece as TOML, in its units, which `from_text` turns into exactly the same.

        Parameters
        ----------
        keep : str
            An earlier text of this piece: what has not changed since stays as it stands there, with its
            comments; empty: none.

        Returns
        -------
        str
            The text; what is left at its default is left out.

        Notes
        -----
        A comment goes with what it stands at: where a part is gone, so is its comment.

        Examples
        --------
        >>> banner = scenario("banner")
        >>> Project.from_text(banner.to_text()) == banner
        True
        >>> Project.from_text("# mine\\n" + banner.to_text()).to_text("# mine\\n" + banner.to_text())[:6]
        '# mine'
        """
        plain = self.to_toml(self.units)
        if not keep:
            return plain
        try:
            before = Project.from_text(keep)
            text = _comments.kept(keep.replace("\r\n", "\n"), before.to_text(), plain)
            return text if Project.from_text(text) == self else plain
        except (ValueError, LookupError):  # what is no piece file has nothing to keep
            return plain

    def write(self, path: str | os.PathLike[str], overwrite: bool = False, keep: str = "") -> None:
        """Write the piece to a file that `read` turns into exactly the same.

        Parameters
        ----------
        path : str or path
            The file.
        overwrite : bool
            Whether a file that is there may be written over.
        keep : str
            An earlier text of this piece whose comments stay, as in `to_text`.

        Raises
        ------
        FileExistsError
            If there is a file and `overwrite` is false.

        Examples
        --------
        >>> import tempfile
        >>> with tempfile.TemporaryDirectory() as folder:
        ...     scenario("banner").write(f"{folder}/mine.toml")
        ...     Project.read(f"{folder}/mine.toml").name
        'banner'
        """
        place, content = Path(path), self.to_text(keep).encode("utf-8")
        if not overwrite:
            try:
                with place.open("xb") as file:
                    file.write(content)
            except FileExistsError:
                raise FileExistsError(
                    f"{place} is there already and stays as it is; choose another name, or say overwrite=True"
                ) from None
            return
        part = place.with_name(f".{place.name}.{os.getpid()}.part")
        try:
            part.write_bytes(content)
            os.replace(part, place)
        finally:
            part.unlink(missing_ok=True)


def not_beside(name: str, folder: str | os.PathLike[str]) -> str:
    """Return why a log or a photograph cannot be found.

    Parameters
    ----------
    name : str
        Its file, as a piece file names it; empty: none is named.
    folder : str or path
        Where the piece file is.

    Returns
    -------
    str
        A sentence, with the file that was likely meant; empty where it is there.

    Examples
    --------
    >>> not_beside("drape.csv", "/nowhere")
    'there is no file "drape.csv" beside the piece file.'
    """
    place = Path(folder)
    if not name or (place / name).is_file():
        return ""
    try:
        there = [one.name for one in place.iterdir() if not one.name.startswith(".")][:1000]
    except OSError:
        there = []
    return f'there is no file "{name}" beside the piece file.{did_you_mean(name, there)}'


SCENARIO = ("relief-tray", "banner", "door-sign", "bookend")
"""The four pieces of the evening class, as files of `datasets/pieces`."""


def scenario(name: str) -> Project:
    """Return one of the four pieces of the evening class.

    Parameters
    ----------
    name : str
        One of `SCENARIO`.

    Returns
    -------
    Project
        The piece, SI units [-].

    Raises
    ------
    ValueError
        For another name.

    Examples
    --------
    >>> scenario("bookend").casting.depth
    0.045
    """
    if name not in SCENARIO:
        raise ValueError(f'there is no piece "{name}"; there are {", ".join(SCENARIO)}')
    return Project.read(_resources.datasets() / "pieces" / f"{name}.toml", files=False)


# ----------------------------------------------------------------------------------- what goes together


def _no_toml(error: Exception) -> PartError:
    """What tomllib says, for a person; the line is in its words."""
    where = re.search(r" \(at line (\d+), column (\d+)\)", str(error))
    said, column = str(error), ""
    if where:
        said, column = said.replace(where[0], ""), f" at column {where[2]}"
    return PartError(
        (),
        f"this is not a piece file{column}: {said}. A value with a unit stands in quotes, "
        'thickness = "3.2 mm"; a comment begins with #',
        line=int(where[1]) if where else 0,
    )


def _do_not_go_together(piece: Project) -> Iterator[tuple[_parts.Path, str]]:
    """Yield each place where the parts of a piece contradict one another, and why."""
    yield from _glasses(piece)
    if not piece.name.strip():
        yield ("name",), "name is empty: call the piece something"
    if not piece.firings:
        yield (), "firing is missing: a piece is fired at least once, begin each firing with [[firing]]"
    if bool(piece.sheets) == bool(piece.casting):
        yield (), "a piece is either made of [[sheet]] or is a [casting]: give one of the two"
    if piece.sheets and piece.size is None:
        yield (), 'size is missing: the finished length and width, size = ["240 mm", "180 mm"]'
    if piece.casting:
        for key in ("laid", "rods", "frit", "inlays", "drape", "slump"):
            if getattr(piece, key):
                yield (key,), "a casting has no sheets for something to lie on: make it a piece of its own"
        if piece.size is not None:
            yield ("size",), "a casting has the size of its mould: leave size out"
    yield from _outside(piece)
    yield from _firings(piece)
    for number, fired in enumerate(piece.fired):
        if fired.firing > len(piece.firings):
            sentence = f"firing is {fired.firing}, but only {len(piece.firings)} are planned"
            yield ("fired", number, "firing"), sentence


def _glasses(piece: Project) -> Iterator[tuple[_parts.Path, str]]:
    own = [one.name for one in piece.own_glasses]
    table = [row["name"] for row in _tables.rows("glasses.csv")]
    known = [*own, *table]
    for number, name in enumerate(own):
        if known.count(name) > 1:
            yield ("own_glass", number, "name"), f'there are two glasses called "{name}"'
    used: list[tuple[_parts.Path, str]] = [(("glass",), piece.glass)]
    for key, parts in (
        ("sheet", piece.sheets),
        ("laid", piece.laid),
        ("rods", piece.rods),
        ("frit", piece.frit),
        ("inlay", piece.inlays),
        ("stock", piece.stock),
    ):
        used += [((key, number, "glass"), part.glass) for number, part in enumerate(parts)]  # type: ignore[attr-defined]
    if piece.drape:
        used.append((("drape", "glass"), piece.drape.glass))
    for path, name in used:
        if name and name not in known:
            listed = ", ".join(f'"{one}"' for one in known)
            question = did_you_mean(name, known)
            yield (
                path,
                f'there is no glass called "{name}".{question} There are: {listed}, or an [[own_glass]]',
            )


def _outside(piece: Project) -> Iterator[tuple[_parts.Path, str]]:
    """Parts that do not lie on the piece, and a piece that does not lie on the shelf."""
    size = piece.size
    if size is None:
        return
    for key, parts in (("laid", piece.laid), ("rods", piece.rods), ("frit", piece.frit)):
        for number, part in enumerate(parts):
            corner = part.at or (min(part.points) if getattr(part, "points", ()) else None)  # type: ignore[attr-defined]
            if corner and (corner[0] >= size[0] or corner[1] >= size[1]):
                yield (key, number), f"this lies beside the piece, which is {_two(size)}"
    for number, hole in enumerate(piece.holes):
        radius = hole.diameter / 2
        if not all(radius < place < side - radius for place, side in zip(hole.at, size, strict=True)):
            yield ("hole", number, "at"), f"this hole is not inside the piece, which is {_two(size)}"
    shelf = piece.kiln.shelf if piece.kiln else None
    if shelf and (max(size) > max(shelf) or min(size) > min(shelf)):
        yield ("size",), f"the piece, {_two(size)}, is larger than the shelf, {_two(shelf)}"
    if piece.drape:
        long = piece.drape.along, piece.drape.across
        across = long if piece.drape.lies == "along" else long[::-1]
        if across[0] > size[0] + 1e-9 or across[1] > size[1] + 1e-9:
            yield ("drape", "along"), f"the strip is larger than the piece, which is {_two(size)}"
    if piece.slump and piece.slump.span > max(size):
        yield ("slump", "span"), f"the mould is wider than the piece, {_two(size)}, which would fall into it"


def _two(size: tuple[float, float]) -> str:
    return " by ".join(_parts.as_text(side, "length") for side in size)


def _firings(piece: Project) -> Iterator[tuple[_parts.Path, str]]:
    processes = [one.process for one in piece.firings]
    for key, needed in (("slump", ("slump",)), ("drape", ("drape", "drape and bond"))):
        if getattr(piece, key) and not set(needed) & set(processes):
            yield (key,), f'there is [{key}], but no firing whose process is "{needed[-1]}"'
    if piece.casting and processes[:1] not in ([], ["kiln casting"]):
        yield ("firing", 0, "process"), 'a casting begins with the process "kiln casting"'
    for key, parts in (("laid", piece.laid), ("rods", piece.rods), ("frit", piece.frit)):
        for number, part in enumerate(parts):
            if part.firing > len(processes):  # type: ignore[attr-defined]
                sentence = f"firing is {part.firing}, but only {len(processes)} are planned"  # type: ignore[attr-defined]
                yield (key, number, "firing"), sentence
