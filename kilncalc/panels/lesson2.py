"""The panels of lesson 2, volume to weight."""

from math import pi

import numpy as np

from kilncalc import materials, volume
from kilncalc.figures import mould
from kilncalc.figures.style import Figure
from kilncalc.panels._old import old_panel as Panel
from kilncalc.panels._old import old_slider as Slider

GLASS = materials.glass("kiln glass A")
MOULD_DEPTH = 0.060
BALLS_POURED_LOOSELY = 0.60  # published: Scott 1960, steel balls, random loose packing (from memory)
CRUSHED_GLASS = 1120.0  # kg/m3; published: FHWA-RD-97-148, loose crushed glass (from memory, medium)


def _fill(brim: float, base: float, thickness: float, packing: float, units: str) -> Figure:
    shape = base / 2, brim / 2, MOULD_DEPTH
    glass = volume.frustum(*shape, fill=thickness)
    mass = volume.glass_mass(glass, GLASS.density)
    loose = volume.frit_volume(mass, GLASS.density, packing)
    brimful = volume.frustum(*shape)
    over = volume.reservoir_volume(loose, brimful)
    if over > 0:
        height = MOULD_DEPTH + over / (pi * (brim / 2) ** 2)
    else:
        height = volume.fill_height(loose, volume.frustum, *shape)
    return mould.filled_mould(
        base_radius=base / 2,
        brim_radius=brim / 2,
        depth=MOULD_DEPTH,
        cast_height=thickness,
        frit_height=height,
        cast_mass=mass,
        frit_volume=loose,
        units=units,
    )


fill_the_mould = Panel(
    "How much glass fills this mould, and does it fit in as loose frit?",
    _fill,
    (
        Slider("brim", "inside, at the brim", "length", 0.120, 0.060, 0.180, 0.001),
        Slider("base", "inside, at the bottom", "length", 0.080, 0.040, 0.160, 0.001),
        Slider("thickness", "thickness of the cast", "length", 0.045, 0.010, 0.060, 0.001),
        Slider("packing", "packing of the frit", "ratio", 0.50, 0.45, 0.60, 0.01),
    ),
)


def _packing(units: str) -> Figure:
    packing = np.linspace(0.40, 0.66, 27)
    return mould.packing_of_grains(
        packing=packing,
        bulk_density=packing * GLASS.density,
        computed=(BALLS_POURED_LOOSELY, BALLS_POURED_LOOSELY * GLASS.density),
        published=(CRUSHED_GLASS / GLASS.density, CRUSHED_GLASS),
        units=units,
    )


packing = Panel("How much of a heap is glass?", _packing, ())


def _measure(model: float, balance: float, reading: float, wax: float, units: str) -> Figure:
    wax_density = 960.0
    right = volume.glass_mass(model, GLASS.density)
    errors = {
        "wax": volume.measuring_error(
            volume.mass_from_wax,
            (model * wax_density, wax_density, GLASS.density),
            (balance, wax * wax_density, 0.0),
        ),
        "water": volume.measuring_error(
            volume.mass_from_water, (model * volume.WATER_DENSITY, GLASS.density), (np.sqrt(2) * balance, 0.0)
        ),
        "jug": volume.measuring_error(volume.glass_mass, (model, GLASS.density), (np.sqrt(2) * reading, 0.0)),
    }
    return mould.three_ways(volume=model, right_mass=right, errors=errors, units=units)


three_ways = Panel(
    "Wax, water or a jug: which way of measuring a model is surest?",
    _measure,
    (
        Slider("model", "volume of the model", "volume", 300e-6, 100e-6, 1000e-6, 10e-6),
        Slider("balance", "the balance is off by", "mass", 0.002, 0.0, 0.010, 0.0005),
        Slider("reading", "a jug reading is off by", "volume", 10e-6, 0.0, 25e-6, 1e-6),
        Slider("wax", "density of the wax off by", "ratio", 0.03, 0.0, 0.06, 0.005),
    ),
)


def _texture(area: float, grain: float, coverage: float, packing: float, units: str) -> Figure:
    mass = volume.texture_mass(area, grain, coverage, packing, GLASS.density)
    return mould.frit_texture(
        grain=grain,
        coverage=coverage,
        mass=mass,
        area=area,
        added=volume.added_thickness(mass, area, GLASS.density),
        sheet=0.006,
        units=units,
    )


texture = Panel(
    "What does a texture of frit weigh, and how much glass does it add?",
    _texture,
    (
        Slider("area", "area to be strewn", "area", 0.0060, 0.0010, 0.0500, 0.0005),
        Slider("grain", "size of a grain", "length", 0.003, 0.001, 0.006, 0.00025),
        Slider("coverage", "coverage", "ratio", 0.60, 0.05, 0.90, 0.05),
        Slider("packing", "packing of the layer", "ratio", 0.50, 0.35, 0.65, 0.05),
    ),
)
