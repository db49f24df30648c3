"""Narrow features on a thickness map: the peaks that `feature_width` is held against. Run it to write them.

    .venv/bin/python tests/relief_features.py

About ten minutes. `relief_features.csv` has lengths in mm, rates in degC/h, the averaged peak of heating
in MPa.
"""

import csv
import itertools
from dataclasses import dataclass, replace
from math import pi
from pathlib import Path

from kilncalc import laying
from kilncalc.firing import Kiln, fire
from kilncalc.materials import glass
from kilncalc.piece import Piece, Zone
from kilncalc.schedule import Schedule, Segment

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
    """A tile with one rib along it, or one round spot. Position: 0.5 in the middle, 0 at the side."""

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

    @property
    def schedule(self):
        return Schedule((Segment(self.rate, 520),))

    def map(self):
        left, middle = (self.across - self.width) * self.position * MM, 0.5 * self.along * MM
        if self.kind == "rib":
            if self.position != 0.5:  # on whole cells
                left = round(left / (self.cell * MM)) * self.cell * MM
            shape = laying.rectangle(left, 0, self.width * MM, self.along * MM, self.added * MM)
        else:
            shape = laying.disc(left + self.width / 2 * MM, middle, self.width * MM, self.added * MM)
        tile = self.across * MM, self.along * MM, self.base * MM
        return laying.lay(*tile, [shape], self.cell * MM).map

    def on_the_map(self, **keywords):
        """The averaged peak of heating [MPa]."""
        piece = Piece(REFERENCE, self.map(), self.support, self.bending)
        return fire(self.schedule, piece, Kiln(), **keywords).averaged_peak("heating") / 1e6

    def by_zones(self):
        """The same of zones, with the width and the length of the feature [MPa]."""
        area = self.width * self.along if self.kind == "rib" else pi * self.width**2 / 4
        share = area / (self.across * self.along)
        thick = Zone(
            (self.base + self.added) * MM,
            share,
            feature_width=self.width * MM,
            feature=self.kind,
            feature_length=self.along * MM,
        )
        piece = Piece(REFERENCE, [Zone(self.base * MM, 1 - share), thick], self.support, self.bending)
        return fire(self.schedule, piece, Kiln()).peak_tension("heating") / 1e6


def cases():
    """Bases of 2 to 10 mm, half to twice as much on them, 60 to 240 degC/h, both supports, free and flat."""
    supports = ("open", "shelf")
    tile = {5: (100, 2.5), 10: (150, 2.5), 20: (200, 5), 40: (200, 5), 60: (200, 5)}  # width: (across, cell)

    def rib(width, times, base, added, support, rate=150, position=0.5, bending="free"):
        across, cell = tile[width]
        return Feature(
            "rib", across, times * across, cell, base, added, width, position, support, rate, bending
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
            yield Feature("spot", 200, 200, 5, base, base, width, position, support, 150)
        yield Feature("spot", 200, 600, 5, base, base, width, 0.5, support, 150)


def stored():
    """The cases and what the map said of each when the table was written."""
    with TABLE.open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    words = {"kind", "support", "bending"}
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
                [*(v if isinstance(v, str) else f"{v:g}" for v in values), f"{one.on_the_map():.3f}"]
            )


if __name__ == "__main__":
    main()
