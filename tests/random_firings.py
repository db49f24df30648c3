"""Firings of all kinds by number, for tests of how exact a firing is."""

import dataclasses

import numpy as np

from kilncalc.firing import Kiln
from kilncalc.materials import glass
from kilncalc.piece import Piece, Zone
from kilncalc.schedule import Schedule, Segment

REFERENCE = dataclasses.replace(
    glass("lamp soda-lime"), density=2500, expansion_liquid=28e-6, youngs_modulus=71e9
)


def random_firing(number):
    """One to four zones of 0.5 to 60 mm, in the open or on a shelf, with paper; 5 to 3000 degC/h."""
    draw = np.random.default_rng(number)
    count = int(draw.integers(1, 5))
    shares = np.maximum(draw.dirichlet(np.full(count, 2.0)), 0.02)
    shares = shares / shares.sum()
    thicknesses = np.exp(draw.uniform(np.log(0.0005), np.log(0.06), count))
    if count > 1 and draw.random() < 0.7:
        thicknesses = np.clip(thicknesses[0] * draw.uniform(0.3, 3, count), 0.0005, 0.06)
    zones = []
    for thickness, share in zip(thicknesses, shares, strict=True):
        paper = {}
        if draw.random() < 0.15:
            paper = {"above": "paper", "paper": float(draw.uniform(0.001, 0.01))}
        elif draw.random() < 0.15:
            paper = {"below": "paper", "paper": float(draw.uniform(0.001, 0.01))}
        zones.append(Zone(float(thickness), float(share), **paper))
    support, bending = str(draw.choice(["shelf", "open"])), str(draw.choice(["free", "flat"]))
    piece = Piece(REFERENCE, zones, support, bending)

    def rate():
        return float(np.exp(draw.uniform(np.log(5), np.log(3000))))

    segments = []
    if draw.random() < 0.5:
        segments.append(Segment(rate(), float(draw.uniform(150, 480)), float(draw.choice([0, 20, 60]))))
    segments.append(Segment(rate(), float(draw.uniform(600, 820)), float(draw.choice([0, 5, 15, 60]))))
    if draw.random() < 0.7:
        quick = None if draw.random() < 0.5 else rate()
        segments.append(Segment(quick, 514, float(draw.choice([10, 60, 200]))))
        segments.append(Segment(rate(), float(draw.uniform(320, 450))))
    segments.append(Segment(rate(), 20, float(draw.choice([0, 120]))))
    kiln = Kiln()
    if draw.random() >= 0.6:
        kiln = Kiln(cooling_time=float(draw.uniform(600, 20000)), underside=float(draw.uniform(0, 1)))
    return Schedule(segments), piece, kiln
