"""Narrow features on a thickness map: the peaks that `feature_width` is held against. Run it to write them.

    .venv/bin/python tests/relief_features.py

About half an hour. `relief_features.csv` has lengths in mm, rates in degC/h, the averaged peak of heating
in MPa.
"""

import csv
import itertools
from dataclasses import dataclass, replace
from math import pi
from pathlib import Path

import numpy as np

from kilncalc import laying
from kilncalc.firing import Kiln, fire
from kilncalc.materials import glass
from kilncalc.piece import Piece, Zone
from kilncalc.schedule import Schedule, Segment

PLACES = (
    *(("rib", place) for place in ("inside", "side", "both sides", "frame")),
    *(("spot", place) for place in ("inside", "side", "corner")),
)
TABLE = Path(__file__).with_suffix(".csv")
MM = 1e-3

REFERENCE = replace(
    glass("lamp soda-lime"),
    expansion=9.35e-6,
    expansion_liquid=28e-6,
    youngs_modulus=71e9,
    poissons_ratio=0.22,
    annealing_point=514.0,
    strain_point=473.0,
    density=2500.0,
)
"""The glass of the check values."""


@dataclass(frozen=True)
class Feature:
    """A tile with a rib along it, or one round spot.

    Place: "inside"; "side", along one side; "both sides", a rib along each long side; "frame", all the way
    round; "corner", a spot in it. Position inside: 0.5 in the middle, 0.25 half as far from the side.
    """

    kind: str
    across: float
    along: float
    cell: float
    base: float
    added: float
    width: float
    position: float
    support: str
    rate: float
    bending: str = "free"
    place: str = "inside"

    @property
    def promised(self):
        """Whether it is what `feature_width` promises something of."""
        if self.base + self.added > 20:
            return False
        if self.kind == "spot":
            narrowest = 0 if self.place == "inside" else 1.6 * self.base
            return narrowest <= self.width <= 0.4 * self.across
        if self.place == "inside":
            return True
        widest = 0.4 if self.place == "side" else 0.2
        return self.across >= 100 and self.width <= widest * self.across and self.bending == "free"

    @property
    def schedule(self):
        return Schedule((Segment(self.rate, 520),))

    def map(self):
        across, along, cell, width = (one * MM for one in (self.across, self.along, self.cell, self.width))
        left = (across - width) * self.position
        if self.kind == "rib":  # on whole cells
            left = round(left / cell) * cell

        def rib(x, y, wide, long):
            return laying.rectangle(x, y, wide, long, self.added * MM)

        if self.kind == "spot":
            middle = width / 2 if self.place == "corner" else along / 2
            shapes = [laying.disc(left + width / 2, middle, width, self.added * MM)]
        elif self.place in ("both sides", "frame"):
            shapes = [rib(x, 0, width, along) for x in (0, across - width)]
            if self.place == "frame":
                shapes += [rib(width, y, across - 2 * width, width) for y in (0, along - width)]
        else:
            shapes = [rib(left, 0, width, along)]
        return laying.lay(across, along, self.base * MM, shapes, cell).map

    def on_the_map(self, **keywords):
        """The averaged peak of heating [MPa]."""
        piece = Piece(REFERENCE, self.map(), self.support, self.bending)
        return fire(self.schedule, piece, Kiln(), **keywords).averaged_peak("heating") / 1e6

    def by_zones(self):
        """The same of zones, with the width and the length of the feature [MPa]."""
        area = self.width * self.along if self.kind == "rib" else pi * self.width**2 / 4
        if self.place == "both sides":
            area *= 2
        elif self.place == "frame":
            area += self.width * (2 * self.across + self.along - 4 * self.width)
        share = area / (self.across * self.along)
        thick = Zone(
            (self.base + self.added) * MM,
            share,
            feature_width=self.width * MM,
            feature=self.kind,
            feature_length=self.along * MM,
            feature_place=self.place,
        )
        piece = Piece(REFERENCE, [Zone(self.base * MM, 1 - share), thick], self.support, self.bending)
        return fire(self.schedule, piece, Kiln()).peak_tension("heating") / 1e6


def cases():
    """Bases of 2 to 10 mm, half to twice as much on them, 60 to 240 degC/h, both supports, free and flat."""
    supports = ("open", "shelf")
    tile = {5: (100, 2.5), 10: (150, 2.5), 20: (200, 5), 40: (200, 5), 60: (200, 5)}  # width: (across, cell)

    def rib(width, times, base, added, support, rate=150, position=0.5, bending="free", place=None):
        across, cell = tile[width]
        place = place or ("inside" if position else "side")
        return Feature(
            "rib", across, times * across, cell, base, added, width, position, support, rate, bending, place
        )

    product = itertools.product
    for width, times, base, more, support in product(tile, (1, 3), (3, 6), (1, 2), supports):
        yield rib(width, times, base, more * base, support)
    for width, times, base, support, rate in product((10, 40), (1, 3), (3, 6), supports, (60, 240)):
        yield rib(width, times, base, base, support, rate)
    for width, times, base, support in product((10, 40), (1, 3), (3, 6), supports):
        for position in (0.25, 0.0):
            yield rib(width, times, base, base, support, position=position)
        yield rib(width, times, base, base, support, bending="flat")
    for width, times, base, more, support in product((10, 40), (1, 3), (2, 10), (0.5, 1), supports):
        yield rib(width, times, base, more * base, support)
    for (across, along, width, cell), base, support in product(
        (
            *((100, 100, 20, 5), (100, 100, 40, 5), (100, 200, 20, 5), (100, 300, 40, 5), (120, 240, 10, 5)),
            *((150, 150, 30, 5), (200, 100, 20, 5), (200, 400, 10, 5), (200, 400, 60, 10), (300, 150, 40, 5)),
            *((300, 300, 10, 5), (300, 300, 40, 10), (300, 300, 80, 10), (300, 300, 100, 10)),
            *((300, 600, 30, 10), (400, 400, 40, 10), (400, 1200, 40, 10), (60, 60, 2, 2)),
        ),
        (3, 6),
        supports,
    ):
        yield Feature("rib", across, along, cell, base, base, width, 0.5, support, 150)
    spot = {10: (100, 2.5), 20: (150, 2.5), 40: (200, 5), 80: (200, 5)}
    for width, base, more, support in product(spot, (3, 6), (1, 2), supports):
        across, cell = spot[width]
        yield Feature("spot", across, across, cell, base, more * base, width, 0.5, support, 150)
    for width, base, support in product((20, 40), (3, 6), supports):
        for rate in (60, 240):
            yield Feature("spot", 200, 200, 5, base, base, width, 0.5, support, rate)
        for position in (0.25, 0.0):
            place = "inside" if position else "side"
            yield Feature("spot", 200, 200, 5, base, base, width, position, support, 150, place=place)
        yield Feature("spot", 200, 600, 5, base, base, width, 0.5, support, 150)
    yield from at_the_side(rib)
    yield from fine()
    yield from other_shares()
    yield from drawn(16, 48)
    yield from not_fitted_to()


def at_the_side(rib):
    """More along the side, along both sides, all the way round."""
    product, supports = itertools.product, ("open", "shelf")
    for width, times, base, support in product((5, 20, 60), (1, 3), (3, 6), supports):
        yield rib(width, times, base, base, support, position=0.0)
    for base, support, rate in product((3, 6), supports, (60, 240)):
        yield rib(20, 3, base, base, support, rate, position=0.0)
    for width, base, support in product((10, 40), (2, 10), supports):
        yield rib(width, 3, base, base, support, position=0.0)
    for width, more, support in product((10, 40), (0.5, 2), supports):
        yield rib(width, 3, 3, more * 3, support, position=0.0)
    for width, support in product((10, 40), supports):
        yield rib(width, 3, 3, 3, support, position=0.0, bending="flat")
    for width, times, base, support in product((10, 40), (1, 3), (3, 6), supports):
        yield rib(width, times, base, base, support, position=0.0, place="both sides")
    for width, base, support in product((5, 20), (3, 6), supports):
        yield rib(width, 3, base, base, support, position=0.0, place="both sides")
    for width, times, base, support in product((10, 20, 40), (1, 2), (3, 6), supports):
        yield rib(width, times, base, base, support, position=0.0, place="frame")
    spot = {10: (100, 2.5), 20: (150, 2.5), 40: (200, 5), 80: (200, 5)}
    for width, base, support in product((10, 80), (3, 6), supports):
        across, cell = spot[width]
        yield Feature("spot", across, across, cell, base, base, width, 0.0, support, 150, place="side")
    for width, base, support in product((20, 40), (3, 6), supports):
        across, cell = spot[width]
        yield Feature("spot", across, across, cell, base, base, width, 0.0, support, 150, place="corner")
    yield Feature("spot", 100, 100, 2, 3, 4.5, 4, 0.0, "open", 167, "flat", "side")
    yield Feature("spot", 120, 120, 2, 6, 12, 8, 0.0, "open", 238, "free", "corner")


def fine():
    """Lines and spots narrower than 5 mm."""
    product, supports = itertools.product, ("open", "shelf")
    for width, base, support in product((2, 3, 4), (2, 3, 6), supports):
        yield Feature("rib", 60, 60, 1, base, base, width, 0.5, support, 150)
    for width, base, more, support in product((2, 4), (2, 4, 10), (0.5, 1), supports):
        yield Feature("rib", 60, 180, 2, base, more * base, width, 0.5, support, 150)
    for width, base, rate, support in product((2, 4), (4, 6), (60, 240), supports):
        yield Feature("rib", 60, 60, 2, base, 2, width, 0.5, support, rate)
    for width, base, support in product((2, 4), (2, 6), supports):
        yield Feature("rib", 100, 200, 2, base, base, width, 0.0, support, 150, place="side")
    for width, base, support in product((2,), (2, 6), supports):
        yield Feature("rib", 100, 200, 2, base, base, width, 0.0, support, 150, place="both sides")
        yield Feature("rib", 60, 60, 2, base, base, width, 0.0, support, 150, place="frame")
    for width, base, support in product((3, 5), (3, 6), supports):
        yield Feature("spot", 40, 40, 1, base, base, width, 0.5, support, 150)


def other_shares():
    """Along the side, of other shares of the piece."""
    product, supports = itertools.product, ("open", "shelf")
    for (width, across, times, cell), base, support in product(
        ((20, 100, 3, 5), (40, 400, 2, 10), (10, 60, 3, 2.5), (100, 400, 2, 10), (40, 100, 3, 5)),
        (3, 6),
        supports,
    ):
        along = times * across
        yield Feature("rib", across, along, cell, base, base, width, 0.0, support, 150, place="side")


def drawn(seed, count):
    """Drawn by lot, place after place."""
    lot = np.random.default_rng(seed)
    for number in range(count):
        kind, place = PLACES[number % len(PLACES)]
        wide = number // len(PLACES) % 2
        cell, most, sides = ((2, 6, (5, 8)), (5, 13, (8, 16)))[wide]
        width = cell * int(lot.integers(1 if not wide else 4, most)) * (1 if kind == "rib" else 2)
        across = 20 * int(lot.integers(*sides))
        along = across if kind == "spot" else int(lot.integers(1, 4 if wide else 3)) * across
        base = (2, 3, 4, 6, 8, 10)[lot.integers(6)]
        added = float(base * (0.5, 1, 1.5, 2)[lot.integers(4)])
        position = round(float(lot.uniform(0.25, 0.5)), 2) if place == "inside" else 0.0
        support, bending = ("open", "shelf")[lot.integers(2)], ("free", "free", "flat")[lot.integers(3)]
        rate = round(float(lot.uniform(60, 240)))
        yield Feature(kind, across, along, cell, base, added, width, position, support, rate, bending, place)


def not_fitted_to():
    """Drawn of what is promised, and kept for a check of the formula."""
    return itertools.islice((one for one in drawn(17, 200) if one.promised), 26)


def stored():
    """The cases and what the map said of each when the table was written."""
    with TABLE.open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    words = {"kind", "support", "bending", "place"}
    found = []
    for row in rows:
        peak = float(row.pop("peak"))
        found.append((Feature(**{k: v if k in words else float(v) for k, v in row.items()}), peak))
    return found


def main():
    """Write the table."""
    names = list(Feature.__dataclass_fields__)
    with TABLE.open("w", newline="", encoding="utf-8") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow([*names, "peak"])
        for one in cases():
            values = [getattr(one, name) for name in names]
            table.writerow(
                [*(v if isinstance(v, str) else f"{v:g}" for v in values), f"{one.on_the_map():.4f}"]
            )


if __name__ == "__main__":
    main()
