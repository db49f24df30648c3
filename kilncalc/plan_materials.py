"""What a piece takes: do its glasses agree, what it weighs, blanks, paper, what to buy and what it costs."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import ceil, pi

from kilncalc import compatibility, filling, layers, materials, settling, volume, workshop
from kilncalc._ranges import whole_in_range
from kilncalc.coldwork import BlankBefore, blank_before
from kilncalc.cutting import Allowance, Blank, CutList, StockSheet, cut_list
from kilncalc.plan_forms import forms_of
from kilncalc.plan_laid import field_of
from kilncalc.project import Project
from kilncalc.project_parts import Casting, Group, OwnKiln, Prices, Rods, Stock, shape_of
from kilncalc.quantities import as_text
from kilncalc.uncertainty import Spread, spread

ON_KILN_WASH = 120.0
"""Contact angle [degree] with which a full fuse is held against its settled thickness: fitted to the "about
6 mm" of the trade."""

STRIP = 0.15
"""Length of the strips that strokes of an inlay are cut from [m]; own choice."""

SIDE_ERROR, SHEET_ERROR, DENSITY_ERROR, MOULD_ERROR = 0.5e-3, 0.1e-3, 0.01, 1e-3
"""How far off a cut side [m], a sheet's thickness [m], a density [-] and a mould's sizes [m] may be; own
estimates, no source."""

PACKING_ERROR, COVER_ERROR = 0.05, 0.1
"""How far off a packing [-] and a strewn cover, as a share of itself, may be; own estimates, no source."""


@dataclass(frozen=True)
class Agreement:
    """Whether another glass agrees with that of the piece.

    Attributes
    ----------
    glass : str
        The other glass.
    where : str
        Where it is.
    mismatch : float
        How much more the glass of the piece shrinks than it [-]; positive: the sheet round it is pulled.
    tension : float
        The largest tension it makes in either [Pa].
    allowed_tension : float
        What glass may carry for good [Pa].
    apart : float
        How far the two expansions lie apart [1/K].
    """

    glass: str
    where: str
    mismatch: float
    tension: float
    allowed_tension: float
    apart: float

    @property
    def agrees(self) -> bool:
        """Whether the tension is allowed."""
        return self.tension <= self.allowed_tension


def agreements_of(project: Project) -> tuple[Agreement, ...]:
    """Return for each part of another glass what it does to the piece: a layer, a joint on top or an inlay.

    Parameters
    ----------
    project : Project
        The piece.

    Returns
    -------
    tuple of Agreement
        Mismatch [-] and tension [Pa] of each; none where all is of one glass.

    Raises
    ------
    ValueError
        As `compatibility`.

    Notes
    -----
    Sheets by `compatibility.laminate`, what is laid on by `chip_stress`, an inlay by `inclusion_stress` as a
    strip. Rods and frit count as chips as thick as a rod or a grain.

    Examples
    --------
    >>> from kilncalc.project import scenario
    >>> (letters,) = agreements_of(scenario("door-sign"))
    >>> letters.agrees, round(letters.mismatch * 1e6)
    (True, -38)
    """
    return tuple(_agreements(project))


def _agreements(project: Project) -> Iterator[Agreement]:
    own = project.glass_of()
    body = sum(sheet.count * sheet.thickness for sheet in project.sheets)

    def agreement(name: str, where: str, tension: float, mismatch: float) -> Agreement:
        other = project.glass_of(name)
        apart = other.expansion - own.expansion
        return Agreement(name, where, mismatch, tension, materials.ALLOWED_TENSION, apart)

    if any(sheet.glass not in ("", project.glass) for sheet in project.sheets):
        stack = [(project.glass_of(s.glass), s.thickness) for s in project.sheets for _ in range(s.count)]
        strains = [float(compatibility.mismatch_strain(glass, own)) for glass, _ in stack]
        found = compatibility.laminate(strains, [t for _, t in stack], [glass for glass, _ in stack])
        tension = max(float(found.bottom.max()), float(found.top.max()), 0.0)
        worst = max(range(len(stack)), key=lambda place: abs(strains[place]))
        yield agreement(stack[worst][0].name, "sheets on each other", tension, -strains[worst])
    on_top = [
        *((part.glass, part.name or "laid on", part.thickness) for part in project.laid),
        *((part.glass, part.name or "rods", part.diameter) for part in project.rods),
        *((part.glass, part.name or "frit", part.grain) for part in project.frit),
    ]
    for name, where, thickness in on_top:
        if name in ("", project.glass):
            continue
        shrinks = float(compatibility.mismatch_strain(own, project.glass_of(name)))
        chip = compatibility.chip_stress(shrinks, own, max(thickness, 0.3e-3), body)
        yield agreement(name, where, float(chip.largest_tension), shrinks)
    for inlay in project.inlays:
        shrinks = float(compatibility.mismatch_strain(own, project.glass_of(inlay.glass)))
        strip = compatibility.inclusion_stress(shrinks, own, "strip")
        yield agreement(inlay.glass, inlay.name or "inlay", float(strip.largest_tension), shrinks)


# ------------------------------------------------------------------------------------------- the weights


@dataclass(frozen=True)
class Weight:
    """What one part weighs.

    Attributes
    ----------
    name : str
        The part.
    kind : str
        "sheet", "rod", "frit" or "billet": how it is bought.
    glass : str
        Its glass.
    mass : Spread
        As it goes into the kiln [kg].
    finished : float
        What of it is in the finished piece [kg].
    to_crush : float
        Of frit, the glass to crush so that sieving leaves enough [kg]; else its mass.
    """

    name: str
    kind: str
    glass: str
    mass: Spread
    finished: float
    to_crush: float


@dataclass(frozen=True)
class Filling:
    """How a mould is filled.

    Attributes
    ----------
    volume : float
        Of the casting [m3].
    loose : float
        Of the frit as it is poured [m3].
    heap : float
        What does not fit below the line the glass is to reach [m3].
    fillings : float
        How often the mould is filled level and fired [-]; infinite where it never gets full so.
    """

    volume: float
    loose: float
    heap: float
    fillings: float


@dataclass(frozen=True)
class Materials:
    """What a piece takes.

    Attributes
    ----------
    agreements : tuple of Agreement
        Of its glasses.
    weights : tuple of Weight
        Of its parts.
    blank : BlankBefore or None
        The size its sheets are cut to; None: a casting.
    blanks : tuple of Blank
        All rectangles to cut for one, with the glass and thickness as material.
    settled : float
        Thickness at which a wide pool of its glass comes to rest [m].
    thickness : float
        Of its sheets, as laid [m].
    textures : tuple of Texture
        Of its frit.
    rod_length : float
        Of all rods together [m].
    filling : Filling or None
        Of a mould; None: no casting.
    papers : tuple
        Names of fibre papers and the area of each that one piece takes [m2].
    """

    agreements: tuple[Agreement, ...]
    weights: tuple[Weight, ...]
    blank: BlankBefore | None
    blanks: tuple[Blank, ...]
    settled: float
    thickness: float
    textures: tuple[filling.Texture, ...]
    rod_length: float
    filling: Filling | None
    papers: tuple[tuple[str, float], ...]

    @property
    def mass(self) -> float:
        """What goes into the kiln [kg]."""
        return sum(float(one.mass.value) for one in self.weights)

    @property
    def mass_uncertainty(self) -> float:
        """How far off that may be, the parts taken as independent [kg]."""
        return sum(float(one.mass.uncertainty) ** 2 for one in self.weights) ** 0.5

    @property
    def finished_mass(self) -> float:
        """What the finished piece weighs [kg]."""
        return sum(one.finished for one in self.weights)


def materials_of(project: Project) -> Materials:
    """Return what a piece takes of glass and paper.

    Parameters
    ----------
    project : Project
        The piece.

    Returns
    -------
    Materials
        Weights [kg], blanks [m], papers [m2].

    Raises
    ------
    ValueError
        As the functions of the lessons.

    Notes
    -----
    The sheets are cut larger by draw-in and trim, `coldwork.blank_before`; what is laid on them is cut as
    drawn. An inlay takes the place of face glass. Holes are counted out of the sheets.

    Examples
    --------
    >>> from kilncalc.project import scenario
    >>> bookend = materials_of(scenario("bookend"))
    >>> round(bookend.filling.volume * 1e6), round(bookend.mass * 1e3)
    (432, 1113)
    """
    weights: tuple[Weight, ...]
    blanks: tuple[Blank, ...] = ()
    blank, cast = None, None
    if project.casting:
        cast = _filling(project)
        weights = (_cast_weight(project),)
    else:
        blank = _blank(project)
        weights = tuple(_weights(project, blank))
        blanks = tuple(_blanks(project, blank))
    return Materials(
        agreements=agreements_of(project),
        weights=weights,
        blank=blank,
        blanks=blanks,
        settled=float(settling.settled_thickness(project.glass_of(), ON_KILN_WASH)),
        thickness=sum(sheet.count * sheet.thickness for sheet in project.sheets),
        textures=tuple(_textures(project)),
        rod_length=sum(_rod_length(project)),
        filling=cast,
        papers=tuple(_papers(project, blank)),
    )


def _filling(project: Project) -> Filling:
    casting = project.casting
    assert casting
    density = project.glass_of().density
    space = _space(casting.shape, *_mouth(casting), casting.depth)
    mass = volume.glass_mass(space * (1 + casting.spare), density)
    packing = volume.frit_packing(casting.packing)
    loose = volume.frit_volume(mass, density, packing)
    heap = volume.reservoir_volume(loose, space)
    return Filling(space, loose, heap, volume.fillings(space, space, packing))


def _mouth(casting: Casting) -> tuple[float, float]:
    """Return bottom and top diameter of a cone, or the sides of a box [m]."""
    if casting.size:
        return casting.size
    return casting.bottom or 0.0, casting.top or 0.0


def _space(shape: str, one: float, other: float, depth: float) -> float:
    if shape == "cone":
        return float(volume.frustum(one / 2, other / 2, depth))
    return float(volume.box(one, other, depth))


def _cast_weight(project: Project) -> Weight:
    casting, glass = project.casting, project.glass_of()
    assert casting
    one, other = _mouth(casting)

    def mass(one: float, other: float, depth: float, density: float) -> float:
        return float(volume.glass_mass(_space(casting.shape, one, other, depth), density))

    found = spread(
        mass,
        {"one": one, "other": other, "depth": casting.depth, "density": glass.density},
        {
            "one": min(MOULD_ERROR, one),
            "other": min(MOULD_ERROR, other),
            "depth": MOULD_ERROR / 2,
            "density": DENSITY_ERROR * glass.density,
        },
    )
    more = 1 + casting.spare
    parts = {name: part * more for name, part in found.parts.items()}
    weighed = Spread(found.value * more, found.uncertainty * more, parts)
    return Weight("casting", "billet", glass.name, weighed, float(found.value), float(weighed.value))


# --------------------------------------------------------------------------------- sheets and what is on them


def _blank(project: Project) -> BlankBefore:
    assert project.size
    cold = project.cold_work
    trim, faces = (cold.trim, cold.faces) if cold else (0.0, 0.0)
    thickness = sum(sheet.count * sheet.thickness for sheet in project.sheets)
    return blank_before(
        *project.size,
        thickness - faces,
        project.glass_of().density,
        Allowance(project.draw_in or 0.0, trim),
        faces=faces,
        holes=[hole.diameter for hole in project.holes],
    )


def _weights(project: Project, blank: BlankBefore) -> Iterator[Weight]:
    assert project.size
    thickness = sum(sheet.count * sheet.thickness for sheet in project.sheets)
    ground = (project.cold_work.faces if project.cold_work else 0.0) / thickness
    drilled = sum(pi * hole.diameter**2 / 4 for hole in project.holes)
    let_in = sum(inlay.width * inlay.length for inlay in project.inlays)
    for place, sheet in enumerate(project.sheets):
        density = project.glass_of(sheet.glass).density
        taken = let_in if place == len(project.sheets) - 1 else 0.0  # of its uppermost sheet

        def mass(
            length: float,
            width: float,
            thickness: float,
            density: float,
            n: int = sheet.count,
            t: float = taken,
        ) -> float:
            return float(volume.glass_mass((n * length * width - t) * thickness, density))

        values = {
            "length": blank.length,
            "width": blank.width,
            "thickness": sheet.thickness,
            "density": density,
        }
        errors = {
            "length": SIDE_ERROR,
            "width": SIDE_ERROR,
            "thickness": SHEET_ERROR,
            "density": DENSITY_ERROR * density,
        }
        found = spread(mass, values, errors)
        area = sheet.count * (project.size[0] * project.size[1] - drilled) - taken
        finished = density * area * sheet.thickness * (1 - ground)
        name = sheet.name or f"sheet {place + 1}"
        yield Weight(name, "sheet", project.glass_of(sheet.glass).name, found, finished, float(found.value))
    yield from _laid_weights(project)
    for inlay in project.inlays:
        area = inlay.width * inlay.length
        edge = SIDE_ERROR / 2 * 2 * (inlay.width + inlay.length)
        weight = _flat(project, inlay.name or "inlay", inlay.glass, area, edge, inlay.thickness)
        yield replace(weight, finished=weight.finished * (1 - ground))
    if project.drape:
        drape, sleeve = project.drape, forms_of(project).sleeve
        assert sleeve
        area, edge = drape.along * sleeve.blank, SIDE_ERROR * (drape.along + sleeve.blank)
        yield _flat(project, drape.name or "sleeve", drape.glass, area, edge, drape.thickness)


def _laid_weights(project: Project) -> Iterator[Weight]:
    for number, part in enumerate(project.laid, 1):
        outline = shape_of(part).outline
        name = part.name or f"{part.shape} {number}"
        edge = SIDE_ERROR / 2 * outline.length
        yield _flat(project, name, part.glass, outline.area, edge, part.thickness)
    for rods in project.rods:
        glass, area = project.glass_of(rods.glass), field_of(rods, project).area

        def rod_mass(diameter: float, density: float, rods: Rods = rods, area: float = area) -> float:
            mean = layers.rods_thickness(diameter, rods.pitch, directions=rods.directions)
            return float(volume.glass_mass(area * mean, density))

        found = spread(
            rod_mass,
            {"diameter": rods.diameter, "density": glass.density},
            {"diameter": min(SHEET_ERROR, rods.diameter / 4), "density": DENSITY_ERROR * glass.density},
        )
        mass = float(found.value)
        yield Weight(rods.name or "rods", "rod", glass.name, found, mass, mass)
    for frit, texture in zip(project.frit, _textures(project), strict=True):
        glass = project.glass_of(frit.glass)
        found = spread(
            volume.texture_mass,
            {
                "area": texture.area,
                "grain": frit.grain,
                "coverage": frit.cover,
                "packing": volume.frit_packing(frit.packing),
                "density": glass.density,
            },
            {"coverage": COVER_ERROR * frit.cover, "packing": PACKING_ERROR},
        )
        crushed = workshop.frit_to_crush(1, texture.mass, frit.kept)
        yield Weight(frit.name or "frit", "frit", glass.name, found, texture.mass, crushed)


def _flat(project: Project, name: str, glass: str, area: float, edge: float, thickness: float) -> Weight:
    """Return the weight of a flat part that stays whole; `edge` is how far off its area may be [m2]."""
    of = project.glass_of(glass)

    def mass(area: float, thickness: float, density: float) -> float:
        return float(volume.glass_mass(area * thickness, density))

    found = spread(
        mass,
        {"area": area, "thickness": thickness, "density": of.density},
        {"area": min(edge, area / 2), "thickness": SHEET_ERROR, "density": DENSITY_ERROR * of.density},
    )
    return Weight(name, "sheet", of.name, found, float(found.value), float(found.value))


def _textures(project: Project) -> Iterator[filling.Texture]:
    below = sum(sheet.count * sheet.thickness for sheet in project.sheets)
    for frit in project.frit:
        yield filling.strew(
            field_of(frit, project).area,
            frit.grain,
            frit.cover,
            packing=volume.frit_packing(frit.packing),
            density=project.glass_of(frit.glass).density,
            sheet=below,
        )


def _rod_length(project: Project) -> Iterator[float]:
    """Yield the length of each row or grid of rods: as many as fit at their pitch, l = A n / p."""
    for rods in project.rods:
        yield field_of(rods, project).area * rods.directions / rods.pitch


def _sheet_words(glass: str, thickness: float) -> str:
    """Return the name of a sheet for the cut list: its glass and its thickness."""
    return f"{glass}, {as_text(thickness, 'length')}"


def _blanks(project: Project, blank: BlankBefore) -> Iterator[Blank]:
    """Yield the rectangles to cut for one piece; of another outline the rectangle around it."""

    def cut(name: str, length: float, width: float, count: int, glass: str, thickness: float) -> Blank:
        return Blank(name, length, width, count, _sheet_words(project.glass_of(glass).name, thickness))

    for number, sheet in enumerate(project.sheets, 1):
        name = sheet.name or f"sheet {number}"
        yield cut(name, blank.length, blank.width, sheet.count, sheet.glass, sheet.thickness)
    for number, part in enumerate(project.laid, 1):
        left, low, right, high = shape_of(part).outline.bounds
        length, width = right - left, high - low
        if part.shape == "line":
            length, width = shape_of(part).outline.area / (part.width or 1.0), part.width or 0.0
        name = part.name or f"{part.shape} {number}"
        yield cut(name, length, width, 1, part.glass, part.thickness)
    for inlay in project.inlays:
        strips = ceil(inlay.length / STRIP - 1e-9)
        long = inlay.length / strips
        yield cut(inlay.name or "inlay", long, inlay.width, strips, inlay.glass, inlay.thickness)
    if project.drape:
        drape, sleeve = project.drape, forms_of(project).sleeve
        assert sleeve
        yield cut(drape.name or "sleeve", drape.along, sleeve.blank, 1, drape.glass, drape.thickness)


def _papers(project: Project, blank: BlankBefore | None) -> Iterator[tuple[str, float]]:
    """Yield each fibre paper and the area of it that a piece uses up."""
    if project.drape:
        sleeve = forms_of(project).sleeve
        assert sleeve
        area = sleeve.layers.nearest.count * sleeve.former_length * project.drape.former_width
        yield project.drape.paper, area
    for firing in project.firings:
        if firing.paper and blank:
            yield firing.paper, blank.length * blank.width


# --------------------------------------------------------------------------------------------- to buy


@dataclass(frozen=True)
class Item:
    """A line of a shopping list.

    Attributes
    ----------
    what : str
        What it is.
    needed : float
        How much: a mass [kg], an area [m2] or whole sheets [-].
    dimension : str
        "mass", "area" or "count".
    packs : int or None
        How many packs or sheets to buy [-]; None: there is none in stock.
    cost : float or None
        Of all of them [money]; None: not known.
    """

    what: str
    needed: float
    dimension: str
    packs: int | None
    cost: float | None


@dataclass(frozen=True)
class Shopping:
    """What so many pieces take: to buy, firings, energy, work and cost.

    Attributes
    ----------
    pieces : int
        How many are made [-].
    cut : CutList or None
        Sheets with the blanks on them; None: nothing is cut from stock.
    items : tuple of Item
        What to buy.
    firings : int
        How often the kiln is fired [-].
    together : tuple of int
        For each firing of the piece, the most pieces on one shelf [-].
    weeks : int
        How many weeks the kiln is busy [-].
    kilowatt_hours : float or None
        Energy of all firings, in units of 3.6e6 J [-]; None: the kiln's meter was not read.
    labour : float
        Work at the bench [s].
    cost : float
        Of what has a price: packs, energy, work [money].
    unpriced : tuple of str
        What has none.
    currency : str
        What it is in.
    """

    pieces: int
    cut: CutList | None
    items: tuple[Item, ...]
    firings: int
    together: tuple[int, ...]
    weeks: int
    kilowatt_hours: float | None
    labour: float
    cost: float
    unpriced: tuple[str, ...]
    currency: str

    @property
    def each(self) -> float:
        """Cost of one [money]."""
        return self.cost / self.pieces


MOULD_WALL = 0.030
"""Wall of a mould round a casting on the shelf [m]; own choice."""


def shopping_of(project: Project, pieces: int = 1) -> Shopping:
    """Return what to buy for so many pieces, how often to fire and what it costs.

    Parameters
    ----------
    project : Project
        The piece.
    pieces : int
        How many are made [-], 1 to 100.

    Returns
    -------
    Shopping
        Packs [-], masses [kg], areas [m2], cost [money].

    Raises
    ------
    ValueError
        If a number is out of range, or the sheets in stock do not suffice.

    Notes
    -----
    For more than one piece, blanks are cut for those that break: `workshop.blanks_to_cut`. Packs are whole
    ones. Paper counts by its area: how its strips lie on a roll is not planned. Pieces share a firing as
    `workshop.share_firings` lays them; without a shelf each is fired alone.

    Examples
    --------
    >>> from kilncalc.project import scenario
    >>> one = shopping_of(scenario("relief-tray"))
    >>> [(item.what, item.packs) for item in one.items]
    [('kiln glass A, 3.4 mm (0.134 in)', 1), ('kiln glass A, rod', 1), ('kiln glass A, frit', 1)]
    """
    count = whole_in_range("pieces", pieces, 1, 100)
    takes = materials_of(project)
    cut, items = _sheets_to_buy(project, takes, count)
    items += [*_packs_to_buy(project, takes, count), *_papers_to_buy(project, takes, count)]
    together, firings = _loads(project, takes, count)
    kiln, prices = project.kiln or OwnKiln(), project.prices or Prices()
    energy = None if kiln.kilowatt_hours is None else kiln.kilowatt_hours * firings
    labour = count * project.labour
    cost = sum(item.cost or 0.0 for item in items)
    cost += (energy or 0.0) * prices.kilowatt_hour + labour / 3600 * prices.hour
    return Shopping(
        pieces=count,
        cut=cut,
        items=tuple(items),
        firings=firings,
        together=together,
        weeks=ceil(firings / (project.group or Group(students=1)).firings_a_week),
        kilowatt_hours=energy,
        labour=labour,
        cost=cost,
        unpriced=tuple(item.what for item in items if not item.cost),
        currency=prices.currency,
    )


def _breakage(project: Project, pieces: int) -> float:
    return project.group.breakage if project.group and pieces > 1 else 0.0


def _sheets_to_buy(project: Project, takes: Materials, pieces: int) -> tuple[CutList | None, list[Item]]:
    stock = [
        StockSheet(
            *one.size,
            one.thickness,
            project.glass_of(one.glass).density,
            one.price,
            one.count,
            _sheet_words(project.glass_of(one.glass).name, one.thickness),
            one.edge,
        )
        for one in project.stock
        if one.what == "sheet" and one.size and one.thickness
    ]
    there = {sheet.material for sheet in stock}
    share = _breakage(project, pieces)
    blanks = [replace(one, count=workshop.blanks_to_cut(one.count * pieces, share)) for one in takes.blanks]
    found = [one for one in blanks if one.material in there]
    cut = cut_list(found, stock) if found else None
    items = []
    for material in dict.fromkeys(blank.material for blank in blanks):
        if material in there:
            assert cut
            used = [sheet.stock for sheet in cut.sheets if sheet.stock.material == material]
            items.append(
                Item(material, float(len(used)), "count", len(used), sum(sheet.price for sheet in used))
            )
        else:
            area = sum(one.count * one.length * one.width for one in blanks if one.material == material)
            items.append(Item(material, area, "area", None, None))
    return cut, items


def _packs_to_buy(project: Project, takes: Materials, pieces: int) -> Iterator[Item]:
    for kind in ("rod", "frit", "billet"):
        needed: dict[str, float] = {}
        for weight in takes.weights:
            if weight.kind == kind:
                needed[weight.glass] = needed.get(weight.glass, 0.0) + pieces * weight.to_crush
        for glass, mass in needed.items():
            packs = [
                one for one in project.stock if one.what == kind and project.glass_of(one.glass).name == glass
            ]
            yield _in_packs(f"{glass}, {kind}", mass, "mass", packs[0].weight if packs else None, packs)


def _papers_to_buy(project: Project, takes: Materials, pieces: int) -> Iterator[Item]:
    needed: dict[str, float] = {}
    for name, area in takes.papers:
        needed[name] = needed.get(name, 0.0) + pieces * area
    for name, area in needed.items():
        packs = [one for one in project.stock if one.what == "paper" and one.name == name]
        size = packs[0].size if packs else None
        yield _in_packs(name, area, "area", size[0] * size[1] if size else None, packs)


def _in_packs(what: str, needed: float, dimension: str, pack: float | None, packs: list[Stock]) -> Item:
    if pack is None:
        return Item(what, needed, dimension, None, None)
    count = ceil(needed / pack - 1e-9)
    return Item(what, needed, dimension, count, count * packs[0].price)


def _loads(project: Project, takes: Materials, pieces: int) -> tuple[tuple[int, ...], int]:
    """Return for each firing the most pieces on one shelf, and how often the kiln is fired in all."""
    shelf = project.kiln.shelf if project.kiln else None
    if shelf is None:
        return (1,) * len(project.firings), pieces * len(project.firings)
    if project.casting:
        one, other = _mouth(project.casting)
        wide = max(one, other) if project.casting.shape == "cone" else 0.0
        length, width = (side + 2 * MOULD_WALL for side in (wide or one, wide or other))
    else:
        assert takes.blank
        length, width = takes.blank.length, takes.blank.width
    gap = project.group.gap if project.group else 0.01
    thickness = max(takes.thickness, project.casting.depth if project.casting else 0.0)
    processes = tuple(dict.fromkeys(firing.process for firing in project.firings))
    piece = workshop.CoursePiece(project.name, length, width, 1, 0.0, processes)
    if max(length, width) + 2 * gap > max(shelf) or min(length, width) + 2 * gap > min(shelf):
        size, room = (
            " by ".join(as_text(side, "length") for side in pair) for pair in ((length, width), shelf)
        )
        what = "with the walls of its mould" if project.casting else "as it is cut"
        raise ValueError(
            f"the piece {what} is {size}; with {as_text(gap, 'length')} of room all round larger than the "
            f"shelf, {room}"
        )
    loads = {load.process: load for load in workshop.share_firings([piece], pieces, thickness, *shelf, gap)}
    each = [loads[firing.process] for firing in project.firings]
    return tuple(load.most for load in each), sum(load.firings for load in each)
