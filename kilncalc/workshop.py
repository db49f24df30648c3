"""A course as a workshop: pieces times students, from glass and frit to firings, energy and cost."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from kilncalc._ranges import scalar_in_range, whole_in_range
from kilncalc.cutting import Blank, CutList, StockSheet, cut_list

ALIKE = 1.25
"""How much thicker than the thinnest the thickest piece of a firing may be: common practice, no source."""

JOULES_IN_A_KILOWATT_HOUR = 3.6e6


@dataclass(frozen=True)
class CoursePiece:
    """What each student makes, as it is cut and fired.

    Parameters
    ----------
    name : str
        What it is.
    length, width : float
        Sides of its blanks [m], above 0 to 2.
    sheets : int
        How many sheets lie on each other [-], 1 to 20.
    frit : float
        Weight of frit of one sieved size [kg], 0 to 50.
    processes : tuple of str
        Its firings, in order, each by the name of its process.

    Raises
    ------
    ValueError
        If a number is out of range, or it is never fired.

    Examples
    --------
    >>> CoursePiece("tray", 0.247, 0.187, sheets=2, processes=("tack fuse", "slump")).sheets
    2
    """

    name: str
    length: float
    width: float
    sheets: int = 1
    frit: float = 0.0
    processes: tuple[str, ...] = ("full fuse",)

    def __post_init__(self) -> None:
        for field in ("length", "width"):
            value = scalar_in_range(
                f"{field} of the {self.name}", getattr(self, field), "m", 0.0, 2.0, open_low=True
            )
            object.__setattr__(self, field, value)
        object.__setattr__(self, "sheets", whole_in_range("sheets", self.sheets, 1, 20))
        object.__setattr__(self, "frit", scalar_in_range("frit", self.frit, "kg", 0.0, 50.0))
        if not self.processes:
            raise ValueError(f"processes of the {self.name} is empty: a piece is fired at least once")


@dataclass(frozen=True)
class Load:
    """The firings of one process that pieces of like thickness share.

    Attributes
    ----------
    process : str
        Name of the process.
    pieces : tuple of str
        Names of the pieces in it.
    thinnest, thickest : float
        Thickness of the thinnest and the thickest of them, as laid [m].
    shelves : CutList
        Each firing as a shelf with the pieces in their places.
    """

    process: str
    pieces: tuple[str, ...]
    thinnest: float
    thickest: float
    shelves: CutList

    @property
    def firings(self) -> int:
        """How often the kiln is fired for it [-]."""
        return len(self.shelves.sheets)

    @property
    def most(self) -> int:
        """The most pieces that lie on one shelf [-]."""
        return max(len(shelf.blanks) for shelf in self.shelves.sheets)


@dataclass(frozen=True)
class Course:
    """What a course needs.

    Attributes
    ----------
    students : int
        How many [-].
    blanks_each : int
        Blanks in the kit of one student [-].
    blanks_cut : int
        Blanks to cut for all, so that enough are left when some break [-].
    sheets : CutList
        The sheets they are cut from.
    frit_each : float
        Frit in the kit of one student [kg].
    frit_crushed : float
        Glass to crush for all, of which sieving leaves enough [kg].
    paper : float
        Fibre paper under the pieces of all firings, if each shelf is covered once [m2].
    loads : tuple of Load
        What may share a firing, in the order of the pieces' processes.
    weeks : int
        How many weeks the kiln is busy [-].
    energy : float
        Energy of all firings [J].
    cost : float
        Sheets and energy, in the currency of their prices [money].
    """

    students: int
    blanks_each: int
    blanks_cut: int
    sheets: CutList
    frit_each: float
    frit_crushed: float
    paper: float
    loads: tuple[Load, ...]
    weeks: int
    energy: float
    cost: float

    @property
    def firings(self) -> int:
        """How often the kiln is fired [-]."""
        return sum(load.firings for load in self.loads)

    @property
    def kilowatt_hours(self) -> float:
        """Energy as the meter counts it, in units of 3.6e6 J [-]."""
        return self.energy / JOULES_IN_A_KILOWATT_HOUR


def blanks_to_cut(needed: int, breakage: float) -> int:
    """Return how many blanks to cut so that, with an average share broken, enough are left.

    N = needed / (1 - breakage), rounded up.

    Parameters
    ----------
    needed : int
        Blanks that are wanted whole [-], 1 to 2000.
    breakage : float
        Share of the blanks that breaks in cutting and handling [-], 0 to 0.5.

    Returns
    -------
    int
        Blanks to cut [-].

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    An average: a bad evening breaks more. The share is of what is cut, not of what is left.

    Examples
    --------
    >>> blanks_to_cut(24, 0.10)
    27
    """
    count = whole_in_range("needed", needed, 1, 2000)
    share = scalar_in_range("breakage", breakage, "-", 0.0, 0.5)
    return ceil(count / (1 - share) - 1e-9)


def frit_to_crush(students: int, frit: float, kept: float) -> float:
    """Return how much glass to crush so that, sieved, it leaves the frit of a whole class.

    m = students x frit / kept.

    Parameters
    ----------
    students : int
        How many [-], 1 to 100.
    frit : float
        Frit of the size wanted for one student [kg], 0 to 50.
    kept : float
        Share of the crushed glass that the sieves leave in that size [-], above 0 to 1; from
        `volume.sieve_yield`.

    Returns
    -------
    float
        Glass to crush [kg].

    Raises
    ------
    ValueError
        If a number is out of range.

    Notes
    -----
    Sieving raises dust: a respirator that fits, a damp cloth, no dry sweeping.

    Examples
    --------
    >>> round(frit_to_crush(12, 0.0135, 0.5), 3)
    0.324
    """
    count = whole_in_range("students", students, 1, 100)
    each = scalar_in_range("frit", frit, "kg", 0.0, 50.0)
    return count * each / scalar_in_range("kept", kept, "-", 0.0, 1.0, open_low=True)


def share_firings(
    pieces: Sequence[CoursePiece],
    students: int,
    sheet_thickness: float,
    shelf_length: float,
    shelf_width: float,
    gap: float,
) -> tuple[Load, ...]:
    """Return which pieces may share a firing, and how they lie on the shelf.

    Parameters
    ----------
    pieces : sequence of CoursePiece
        What each student makes, all of one glass.
    students : int
        How many make them [-], 1 to 100.
    sheet_thickness : float
        Measured thickness of one sheet [m], 0.3e-3 to 0.15.
    shelf_length, shelf_width : float
        Sides of the kiln's shelf [m], above 0 to 4.
    gap : float
        Room between two pieces, and between a piece and the edge of the shelf [m], 0 to 0.02.

    Returns
    -------
    tuple of Load
        One for each process and each group of like thickness, in the order of the processes.

    Raises
    ------
    ValueError
        If a number is out of range, or a piece is larger than the shelf.

    Notes
    -----
    Pieces share a firing if they have the same process and glass and the thickest is at most `ALIKE` times as
    thick as the thinnest: all get the schedule of the thickest. They are laid by the planner that cuts blanks
    from sheets (`cutting.cut_list`), the shelf taken for a sheet and the gap for its kerf; it need not be the
    best possible. Another glass is another course: two glasses never share a schedule unseen.

    Examples
    --------
    >>> tray = CoursePiece("tray", 0.240, 0.180, 2, processes=("tack fuse", "slump"))
    >>> loads = share_firings([tray], 12, 3.4e-3, 0.52, 0.40, 0.010)
    >>> [(load.process, load.most, load.firings) for load in loads]
    [('tack fuse', 4, 3), ('slump', 4, 3)]
    """
    count = whole_in_range("students", students, 1, 100)
    thickness = scalar_in_range("sheet_thickness", sheet_thickness, "m", 0.3e-3, 0.15)
    room = scalar_in_range("gap", gap, "m", 0.0, 0.02)
    if not pieces:
        raise ValueError("pieces is empty: there is nothing to fire")
    if len({piece.name for piece in pieces}) < len(pieces):
        raise ValueError("two pieces have the same name: call them by different ones")
    shelf = StockSheet(shelf_length, shelf_width, thickness, 2500, edge=room)
    loads: list[Load] = []
    plans: dict[tuple[str, ...], CutList] = {}
    for process in dict.fromkeys(process for piece in pieces for process in piece.processes):
        waiting = sorted(
            (piece for piece in pieces if process in piece.processes), key=lambda piece: piece.sheets
        )
        while waiting:
            together = [piece for piece in waiting if piece.sheets <= ALIKE * waiting[0].sheets]
            waiting = waiting[len(together) :]
            blanks = [Blank(piece.name, piece.length, piece.width, count) for piece in together]
            names = tuple(piece.name for piece in together)
            if names not in plans:
                plans[names] = cut_list(blanks, [shelf], kerf=room)
            loads.append(
                Load(
                    process,
                    names,
                    together[0].sheets * thickness,
                    together[-1].sheets * thickness,
                    plans[names],
                )
            )
    return tuple(loads)


def plan_course(
    pieces: Sequence[CoursePiece],
    students: int,
    stock: StockSheet,
    *,
    shelf_length: float,
    shelf_width: float,
    gap: float = 0.010,
    breakage: float = 0.1,
    kept: float = 0.5,
    firings_a_week: int = 2,
    energy_a_firing: float = 36e6,
    energy_price: float = 0.0,
) -> Course:
    """Return what a course needs: kits, sheets, frit, paper, firings, weeks, energy and cost.

    Glass to crush = students x frit / kept; energy = firings x energy of one; weeks = firings / firings in a
    week, rounded up.

    Parameters
    ----------
    pieces : sequence of CoursePiece
        What each student makes, all of one glass.
    students : int
        How many make them [-], 1 to 100.
    stock : StockSheet
        The sheet that blanks are cut from, as many as are needed.
    shelf_length, shelf_width : float
        Sides of the kiln's shelf [m], above 0 to 4.
    gap : float
        Room between two pieces in the kiln [m], 0 to 0.02.
    breakage : float
        Share of the blanks that breaks [-], 0 to 0.5.
    kept : float
        Share of the crushed glass that the sieves leave in the size wanted [-], above 0 to 1; from
        `volume.sieve_yield`.
    firings_a_week : int
        How often the one kiln can be fired [-], 1 to 14.
    energy_a_firing : float
        Energy of one firing, from the meter [J], 0 to 1e10.
    energy_price : float
        Price of a joule, in the currency of the sheets [money/J], 0 to 1.

    Returns
    -------
    Course
        All of it.

    Raises
    ------
    ValueError
        If a number is out of range, or a piece fits neither the sheet nor the shelf.

    Notes
    -----
    One kiln, one glass. A full shelf and an empty one are taken to cost the same, since bricks and air take
    most of the heat of a small kiln. Firings that fail are not counted: plan one in reserve.

    Examples
    --------
    >>> tray = CoursePiece("tray", 0.240, 0.180, 2, frit=0.0135, processes=("tack fuse", "slump"))
    >>> sheet = StockSheet(0.5, 0.5, 3.4e-3, 2500, price=30.0)
    >>> course = plan_course([tray], 12, sheet, shelf_length=0.52, shelf_width=0.4)
    >>> course.blanks_cut, len(course.sheets.sheets), round(course.frit_crushed, 3)
    (27, 7, 0.324)
    >>> course.firings, course.weeks, round(course.kilowatt_hours), course.cost
    (6, 3, 60, 210.0)
    """
    a_week = whole_in_range("firings_a_week", firings_a_week, 1, 14)
    one = scalar_in_range("energy_a_firing", energy_a_firing, "J", 0.0, 1e10)
    price = scalar_in_range("energy_price", energy_price, "money/J", 0.0, 1.0)
    loads = share_firings(pieces, students, stock.thickness, shelf_length, shelf_width, gap)
    firings = sum(load.firings for load in loads)
    blanks = [
        Blank(piece.name, piece.length, piece.width, blanks_to_cut(students * piece.sheets, breakage))
        for piece in pieces
    ]
    sheets = cut_list(blanks, [stock])
    frit = sum(piece.frit for piece in pieces)
    return Course(
        students=students,
        blanks_each=sum(piece.sheets for piece in pieces),
        blanks_cut=sum(blank.count for blank in blanks),
        sheets=sheets,
        frit_each=frit,
        frit_crushed=frit_to_crush(students, frit, kept),
        paper=firings * shelf_length * shelf_width,
        loads=loads,
        weeks=ceil(firings / a_week),
        energy=firings * one,
        cost=sheets.cost + firings * one * price,
    )
