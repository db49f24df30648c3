"""The data tables: described, sourced, in the right units and physically possible, row by row.

`problems(folder)` is the check; the tests run it on the tables as they are and on broken copies of them.
"""

import functools
import itertools
import json
import math
import re
import shutil
import tempfile
from pathlib import Path

import frictionless
import numpy as np
import pandas as pd
import pytest

from kilncalc import _resources
from kilncalc.materials import LOG10_VISCOSITY, fit_viscosity, glass, refractory

KINDS = [
    "standard",
    "handbook",
    "paper",
    "measured open data",
    "common practice",
    "from memory",
    "invented",
]


WORDS = ("name", "kind", "source", "form", "standard", "rule", "unit", "rest")
"""Columns without numbers."""

OF_THE_ROW = "of the row"
"""Unit of a number whose unit stands in the column `unit` of its row."""


# ------------------------------------------------------------------------------------------- the check


def problems(folder):
    """Return one sentence for everything wrong with the tables in `folder`, each naming table and row."""
    descriptor = json.loads((folder / "datapackage.json").read_text(encoding="utf-8"))
    described = {resource["path"] for resource in descriptor["resources"]}
    present = {path.name for path in folder.glob("*.csv")}
    found = [f"{name}: there is no entry in datapackage.json" for name in sorted(present - described)]
    found += [f"{name}: described in datapackage.json, but missing" for name in sorted(described - present)]
    for resource in descriptor["resources"]:
        found += _description_problems(resource)
    found += _frictionless_problems(folder)
    for name, plausible in PLAUSIBLE.items():
        if name in present:
            table = pd.read_csv(folder / name, dtype=str, keep_default_na=False)
            found += [f"{name}, row {row!r}: {what}" for row, what in plausible(_numbers(table))]
    return found


def _description_problems(resource):
    table, fields = resource["path"], resource["schema"]["fields"]
    if not resource.get("licenses"):
        yield f"{table}: no licence"
    for field in fields:
        name, unit = field["name"], field.get("unit")
        if field["type"] in ("number", "integer"):
            ending = (
                ""
                if unit in ("-", "log10(Pa.s)", OF_THE_ROW)
                else "_" + str(unit).replace("/", "_per_", 1).replace("/", "_")
            )
            if not unit:
                yield f"{table}, column {name}: no unit"
            elif f"[{'unit ' if unit == OF_THE_ROW else ''}{unit}]" not in field.get(
                "description", ""
            ) or not name.endswith(ending):
                yield f"{table}, column {name}: the unit {unit} belongs into its name and its description"
            if not {"minimum", "maximum"} <= field.get("constraints", {}).keys():
                yield f"{table}, column {name}: no range"
    by_name = {field["name"]: field.get("constraints", {}) for field in fields}
    if "source" in by_name or "kind" in by_name:
        if not by_name.get("source", {}).get("required") or by_name["source"].get("minLength", 0) < 10:
            yield f"{table}, column source: must be required, and at least 10 letters"
        if not by_name.get("kind", {}).get("required") or by_name["kind"].get("enum") != KINDS:
            yield f"{table}, column kind: must be required, one of {KINDS}"
    elif resource.get("kind") not in KINDS or not resource.get("sources"):
        yield f"{table}: neither its rows nor its entry in datapackage.json say source and kind"


def _frictionless_problems(folder):
    descriptor = json.loads((folder / "datapackage.json").read_text(encoding="utf-8"))
    by_name = {resource["name"]: resource for resource in descriptor["resources"]}
    for resource in descriptor["resources"]:
        others = {key["reference"]["resource"] for key in resource["schema"].get("foreignKeys", ())}
        tables = [resource, *(by_name[name] for name in sorted(others - {"", resource["name"]}))]
        paths = [folder / table["path"] for table in tables]
        content = tuple(path.read_bytes() if path.is_file() else None for path in paths)
        yield from _sentences(json.dumps(descriptor | {"resources": tables}), content)


@functools.cache
def _sentences(descriptor, content):
    """Validate a table, and look into those that it refers to: a broken copy has eleven that are sound."""
    tables = json.loads(descriptor)["resources"]
    with tempfile.TemporaryDirectory() as folder:
        (path := Path(folder, "datapackage.json")).write_text(descriptor, encoding="utf-8")
        for table, its in zip(tables, content, strict=True):
            if its is not None:
                Path(folder, table["path"]).write_bytes(its)
        report = frictionless.validate(str(path))
    found = [f"datapackage.json: {error.note}" for error in report.errors]
    for task in report.tasks:
        if task.name != tables[0]["name"]:
            continue
        for error in task.errors:
            place = f"{task.name.replace('-', '_')}.csv"
            if getattr(error, "row_number", None):
                place += f", row {error.cells[0] or error.row_number!r}"
            if getattr(error, "field_name", None):
                place += f", column {error.field_name}"
            found.append(f"{place}: {error.note}")
    return found


def _numbers(table):
    return table.apply(lambda column: column if column.name in WORDS else pd.to_numeric(column, "coerce"))


def _glass_problems(table):
    for _, row in table.iterrows():
        name, point = row["name"], {key: row[f"{key}_point_degC"] for key in LOG10_VISCOSITY}
        measured = [key for key in LOG10_VISCOSITY if not math.isnan(point[key])]
        for colder, hotter in itertools.pairwise(measured):
            if point[colder] >= point[hotter]:
                yield (
                    name,
                    f"{colder} point {point[colder]:g} is not below {hotter} point {point[hotter]:g} degC",
                )
        # in the 44 glasses of sciglass_soda_lime.csv 39 +- 5 and 185 +- 8 K (test below); wide enough for
        # borosilicate and lead glass
        for colder, hotter, least, most in (
            ("strain", "annealing", 20, 70),
            ("annealing", "softening", 120, 320),
        ):
            apart = point[hotter] - point[colder]
            if not math.isnan(apart) and not least <= apart <= most:
                yield name, f"{colder} and {hotter} point are {apart:g} K apart, usual is {least} to {most} K"
        if row["expansion_liquid_1e-7_per_K"] < row["expansion_1e-7_per_K"]:
            yield name, "expansion_liquid is less than expansion"
        constants = [row["viscosity_A"], row["viscosity_B_K"], row["viscosity_T0_degC"]]
        given = np.isfinite(constants)
        if given.any() and not given.all():
            yield name, "viscosity constants: give all three or none"
        elif given.all():
            a, b, t0 = constants
            # not the strain point: a curve of this form does not pass through it (ISO 7884-7)
            for key in ("annealing", "softening", "working"):
                apart = t0 + b / (LOG10_VISCOSITY[key] - a) - point[key]
                if abs(apart) > 10:
                    yield name, f"viscosity constants miss the {key} point by {apart:.0f} K, allowed is 10 K"
        elif math.isnan(point["working"]):
            yield name, "needs a working point or viscosity constants"
        else:
            if row["least_log10_viscosity"] != LOG10_VISCOSITY["working"]:
                yield (
                    name,
                    "least_log10_viscosity is 3 where the constants are fitted up to the working point",
                )
            try:
                fit_viscosity(
                    [(point[key], LOG10_VISCOSITY[key]) for key in ("annealing", "softening", "working")]
                )
            except ValueError as error:
                yield name, str(error)


def _refractory_problems(table):
    for _, row in table.iterrows():
        ratio = row["thickness_mm"] / row["nominal_thickness_mm"]
        if not 0.7 <= ratio <= 2:
            yield row["name"], f"measures {ratio:.2g} times its nominal thickness"
        light = row["form"] in ("paper", "board")
        if light and row["density_kg_per_m3"] > 1000:
            yield row["name"], "a fibre paper or board is lighter than water"
        if light and row["conductivity_W_per_m_K"] > 0.5:
            yield row["name"], "a fibre paper or board conducts less than 0.5 W/m/K"


def _sieve_problems(table):
    previous = None
    for _, row in table.iterrows():
        number, opening = int(re.sub(r"\D", "", row["name"]) or 0), row["opening_mm"]
        # exact: openings are the preferred numbers R40/3 (ISO 565), 10^(3/40) apart, rounded by up to 1.5 %
        step = math.log10(opening) * 40 / 3
        if abs(10 ** ((step - round(step)) * 3 / 40) - 1) > 0.015:
            yield row["name"], f"opening {opening:g} mm is not in the series of ISO 565"
        if previous and not (number > previous[0] and opening < previous[1]):
            yield row["name"], "sieves must be listed from coarse to fine"
        previous = number, opening


def _grit_problems(table):
    previous = {}
    for _, row in table.iterrows():
        series, number, size = (
            re.sub(r"[ \d]", "", row["name"]),
            int(re.sub(r"\D", "", row["name"]) or 0),
            row["size_um"],
        )
        if number and series == "D":
            # exact: a diamond grit is named by the sieve it just passes, the next finer is 0.8 to 0.9 of it
            if not 0.8 < size / number < 1.0:
                yield row["name"], f"{size:g} um is not between two neighbouring sieves of D{number}"
        elif number and series in previous:
            coarser, larger = previous[series]
            if not (number > coarser and size < larger):
                yield row["name"], "grits of one standard must be listed from coarse to fine"
            elif not 0.4 < (size / larger) / (coarser / number) < 2.5:
                yield row["name"], f"{size:g} um is out of step with its neighbour of {larger:g} um"
        previous[series] = number, size


def _median_problems(table):
    for _, row in table.iterrows():
        if not row["lower_quartile"] < row["median"] < row["upper_quartile"]:
            yield row["name"], "the median must lie between the quartiles"


PLAUSIBLE = {
    "grits.csv": _grit_problems,
    "glasses.csv": _glass_problems,
    "refractories.csv": _refractory_problems,
    "sieves.csv": _sieve_problems,
    "sciglass_medians.csv": _median_problems,
}
"""Table -> what to check in it beyond the ranges of datapackage.json."""


# ------------------------------------------------------------------------------------- the tables as they are


def test_tables_are_described_sourced_and_plausible():
    assert problems(_resources.datasets()) == []


def test_every_glass_and_refractory_can_be_made():
    for name in pd.read_csv(_resources.datasets() / "glasses.csv")["name"]:
        # the annealing point is a measurement of its own: 10 K is what a viscosity curve is good for there
        assert glass(name).temperature_at(12) == pytest.approx(glass(name).annealing_point, rel=0, abs=10)
    for name in pd.read_csv(_resources.datasets() / "refractories.csv")["name"]:
        assert refractory(name).name == name


def test_measured_glasses_scatter_as_the_check_of_a_glass_allows():
    table = pd.read_csv(_resources.datasets() / "sciglass_soda_lime.csv")
    assert len(table) == 44 and table["name"].is_unique
    # regression, of the measured table itself: what the check of a glass above is set wider than
    apart = table["softening_point_degC"] - table["annealing_point_degC"]
    assert (apart.mean(), apart.std()) == pytest.approx((185, 8), abs=2.5)
    apart = table["annealing_point_degC"] - table["strain_point_degC"]
    assert (apart.mean(), apart.std()) == pytest.approx((38.8, 5.2), abs=1)
    # published: Boyd & Thompson 1980, soda-lime lamp glass: 473, 514, 696 degC, 93.5e-7, 2470 kg/m3
    lamp = table.set_index("name").loc["27139-310637"].iloc[:5]
    assert list(lamp.astype(float)) == [473, 514, 696, 93.5, 2470]


def test_values_quoted_as_medians_are_those_of_the_database():
    medians = pd.read_csv(_resources.datasets() / "sciglass_medians.csv", index_col="name")
    tension = medians.loc["surface tension at 1300 degC, soda-lime"]
    quoted = pd.read_csv(_resources.datasets() / "glasses.csv", index_col="name")
    for name in ("float", "lamp soda-lime"):
        assert quoted.loc[name, "surface_tension_N_per_m"] == pytest.approx(tension["median"], rel=0.005)
        assert f"median of {tension['count']} soda-lime glasses" in quoted.loc[name, "rest"]
    stiff = medians.loc[["Young's modulus, soda-lime", "Poisson's ratio, soda-lime"]]
    row = quoted.loc["NBS 710"]
    assert [row["youngs_modulus_GPa"], row["poissons_ratio"]] == pytest.approx(
        list(stiff["median"]), rel=0.01
    )
    assert "medians of {} and {} soda-lime glasses".format(*stiff["count"]) in row["rest"]
    # published: EN 572-1, 2500 kg/m3
    assert medians.loc["density, soda-lime", "median"] == pytest.approx(2500, rel=0.004)


def test_sieve_openings():
    openings = pd.read_csv(_resources.datasets() / "sieves.csv", index_col="name")["opening_mm"]
    # published: ASTM E11, nominal openings [mm]
    published = {
        4: 4.75,
        8: 2.36,
        16: 1.18,
        20: 0.850,
        30: 0.600,
        50: 0.300,
        80: 0.180,
        100: 0.150,
        200: 0.075,
    }
    assert {number: openings[f"No. {number}"] for number in published} == published


def test_packing_of_crushed_glass():
    packing = pd.read_csv(_resources.datasets() / "frit_packing.csv", index_col="name")["packing_fraction"]
    # published: FHWA-RD-97-148, crushed glass, 1120 kg/m3 loose (from memory); solid 2500 kg/m3 (EN 572-1)
    assert packing["crushed glass, poured"] == pytest.approx(1120 / 2500, rel=0.01)
    # published: Scott & Kilgour 1969, random close packing of equal balls 0.6366; loose 0.60: Scott 1960
    assert packing["equal balls, shaken"] == pytest.approx(0.6366, rel=0, abs=0.005)
    assert (
        packing["equal balls, poured"] < packing["equal balls, shaken"] < math.pi / math.sqrt(18)
    )  # exact: densest


# ------------------------------------------------------------------------------------------- broken copies


@pytest.fixture
def copy(tmp_path):
    return shutil.copytree(_resources.datasets(), tmp_path / "datasets")


def change(folder, table, row, **cells):
    path = folder / table
    data = pd.read_csv(path, dtype=str, keep_default_na=False).set_index("name", drop=False)
    for column, value in cells.items():
        data.loc[row, column.replace("__", "-")] = value
    data.to_csv(path, index=False)


def test_an_unbroken_copy_is_sound(copy):
    change(copy, "glasses.csv", "float", density_kg_per_m3="2510")
    assert problems(copy) == []


@pytest.mark.parametrize(
    ("table", "row", "cells", "expected"),
    [
        ("glasses.csv", "float", {"source": ""}, "column source"),
        ("glasses.csv", "float", {"source": "  "}, "column source"),
        ("glasses.csv", "kiln glass A", {"kind": ""}, "column kind"),
        ("glasses.csv", "kiln glass A", {"kind": "hearsay"}, "column kind"),
        # slips of unit
        ("glasses.csv", "lamp soda-lime", {"expansion_1e__7_per_K": "9.35"}, "column expansion_1e-7_per_K"),
        (
            "glasses.csv",
            "lamp soda-lime",
            {"expansion_1e__7_per_K": "93.5e-7"},
            "column expansion_1e-7_per_K",
        ),
        ("glasses.csv", "float", {"expansion_liquid_1e__7_per_K": "27"}, "column expansion_liquid"),
        ("glasses.csv", "NBS 710", {"density_kg_per_m3": "2.51"}, "column density_kg_per_m3"),
        ("glasses.csv", "float", {"youngs_modulus_GPa": "70000"}, "column youngs_modulus_GPa"),
        ("glasses.csv", "float", {"surface_tension_N_per_m": "310"}, "column surface_tension_N_per_m"),
        ("glasses.csv", "float", {"stress_optic_coefficient_1e__12_per_Pa": "27"}, "column stress_optic"),
        ("glasses.csv", "float", {"annealing_point_degC": "1015"}, "column annealing_point_degC"),
        ("glasses.csv", "float", {"strain_point_degC": "784"}, "column strain_point_degC"),
        ("refractories.csv", "cordierite shelf 18 mm", {"thickness_mm": "0.018"}, "column thickness_mm"),
        ("refractories.csv", "cordierite shelf 18 mm", {"density_kg_per_m3": "1.9"}, "column density"),
        ("refractories.csv", "fibre paper 2 mm", {"conductivity_W_per_m_K": "80"}, "column conductivity"),
        (
            "refractories.csv",
            "fibre paper 3 mm",
            {"nominal_thickness_mm": "0.125"},
            "column nominal_thickness",
        ),
        ("refractories.csv", "fibre paper 3 mm", {"thickness_mm": "8"}, "times its nominal thickness"),
        ("refractories.csv", "fibre board 25 mm", {"density_kg_per_m3": "2800"}, "lighter than water"),
        ("refractories.csv", "fibre board 25 mm", {"conductivity_W_per_m_K": "1.2"}, "conducts less"),
        ("sieves.csv", "No. 16", {"opening_mm": "1180"}, "column opening_mm"),
        ("sieves.csv", "No. 16", {"opening_mm": "1.1"}, "not in the series"),
        ("sieves.csv", "No. 16", {"opening_mm": "1.4"}, "from coarse to fine"),
        ("frit_packing.csv", "crushed glass, poured", {"packing_fraction": "45"}, "column packing_fraction"),
        ("grits.csv", "F400", {"size_um": "0.0173"}, "column size_um"),
        ("grits.csv", "F400", {"size_um": "35"}, "from coarse to fine"),
        ("grits.csv", "P2500", {"size_um": "3"}, "out of step"),
        ("grits.csv", "D126", {"size_um": "126"}, "neighbouring sieves"),
        ("hole_rules.csv", "EN 12150-1, edge", {"thicknesses": "36"}, "column thicknesses"),
        ("hole_rules.csv", "EN 12150-1, edge", {"rule": "rim"}, "column rule"),
        ("grinding_tools.csv", "flat lap", {"pressure_kPa": "7000"}, "column pressure_kPa"),
        (
            "sciglass_medians.csv",
            "density, soda-lime",
            {"median": "2.497"},
            "must lie between the quartiles",
        ),
        # numbers that cannot be
        ("glasses.csv", "float", {"poissons_ratio": "-0.2"}, "column poissons_ratio"),
        ("glasses.csv", "float", {"density_kg_per_m3": "heavy"}, "column density_kg_per_m3"),
        ("glasses.csv", "float", {"density_kg_per_m3": ""}, "column density_kg_per_m3"),
        ("glasses.csv", "float", {"density_kg_per_m3": "NaN"}, "column density_kg_per_m3"),
        ("glasses.csv", "float", {"density_kg_per_m3": "INF"}, "column density_kg_per_m3"),
        (
            "glasses.csv",
            "float",
            {"annealing_point_degC": "505"},
            "strain point 511 is not below annealing point",
        ),
        ("glasses.csv", "float", {"annealing_point_degC": "600"}, "89 K apart"),
        (
            "glasses.csv",
            "float",
            {"working_point_degC": "700"},
            "softening point 731 is not below working point",
        ),
        (
            "glasses.csv",
            "float",
            {"expansion_liquid_1e__7_per_K": "80"},
            "expansion_liquid is less than expansion",
        ),
        ("glasses.csv", "float", {"viscosity_A": "-3"}, "all three or none"),
        ("glasses.csv", "float", {"working_point_degC": ""}, "needs a working point or viscosity constants"),
        ("glasses.csv", "float", {"working_point_degC": "800"}, "bend the wrong way"),
        ("glasses.csv", "float", {"least_log10_viscosity": "1"}, "least_log10_viscosity is 3"),
        ("glasses.csv", "NBS 710", {"annealing_point_degC": "536"}, "miss the annealing point by 20 K"),
        ("glasses.csv", "NBS 710", {"softening_point_degC": "740"}, "miss the softening point by -15 K"),
        # constants in poise, the usual slip with older tables; hand: 266 + 4236.118/13.626 - 546 = 30.9
        ("glasses.csv", "NBS 710", {"viscosity_A": "-1.626"}, "miss the annealing point by 31 K"),
    ],
)
def test_a_broken_row_is_named(copy, table, row, cells, expected):
    change(copy, table, row, **cells)
    found = problems(copy)
    assert found
    assert any(expected in sentence for sentence in found), found
    # the row that is wrong and no other: a sieve or grit out of order also upsets its neighbour
    named = [sentence for sentence in found if f"{table}, row {row!r}" in sentence]
    assert named, found
    if table not in ("sieves.csv", "grits.csv"):
        assert named == found


def test_a_name_twice_is_found(copy):
    text = (copy / "frit_packing.csv").read_text(encoding="utf-8")
    (copy / "frit_packing.csv").write_text(text + text.splitlines()[-1] + "\n", encoding="utf-8")
    assert any("frit_packing.csv, row 'equal balls, shaken'" in sentence for sentence in problems(copy))


def test_a_row_too_long_is_found(copy):
    path = copy / "frit_packing.csv"
    path.write_text(
        path.read_text(encoding="utf-8") + "powder,0.5,invented,a comma, unquoted\n", encoding="utf-8"
    )
    assert any("frit_packing.csv, row 'powder'" in sentence for sentence in problems(copy))


def test_a_table_without_description_or_file_is_found(copy):
    (copy / "class_bubbles.csv").write_text("student,bubbles\nS01,3\n", encoding="utf-8")
    assert problems(copy) == ["class_bubbles.csv: there is no entry in datapackage.json"]
    (copy / "class_bubbles.csv").unlink()
    (copy / "sieves.csv").unlink()
    assert "sieves.csv: described in datapackage.json, but missing" in problems(copy)


def described(folder, edit):
    path = folder / "datapackage.json"
    descriptor = json.loads(path.read_text(encoding="utf-8"))
    edit({resource["path"]: resource for resource in descriptor["resources"]}, descriptor["resources"])
    path.write_text(json.dumps(descriptor), encoding="utf-8")
    return problems(folder)


def fields_of(resource):
    return {field["name"]: field for field in resource["schema"]["fields"]}


@pytest.mark.parametrize(
    ("edit", "expected"),
    [
        (lambda by, _: by["sieves.csv"].pop("licenses"), "sieves.csv: no licence"),
        (lambda by, _: fields_of(by["sieves.csv"])["opening_mm"].pop("unit"), "column opening_mm: no unit"),
        (lambda by, _: fields_of(by["sieves.csv"])["opening_mm"].update(unit="m"), "the unit m belongs"),
        (
            lambda by, _: fields_of(by["sieves.csv"])["opening_mm"].update(description="Opening"),
            "the unit mm belongs",
        ),
        (lambda by, _: fields_of(by["sieves.csv"])["opening_mm"].pop("constraints"), "opening_mm: no range"),
        (
            lambda by, _: fields_of(by["sieves.csv"])["source"].pop("constraints"),
            "column source: must be required",
        ),
        (
            lambda by, _: fields_of(by["sieves.csv"])["kind"].pop("constraints"),
            "column kind: must be required",
        ),
        (lambda by, _: by["sieves.csv"]["schema"]["fields"].pop(), "column source: must be required"),
    ],
)
def test_a_poor_description_is_found(copy, edit, expected):
    assert any(expected in sentence for sentence in described(copy, edit))


def test_a_series_states_its_source_once(copy):
    (copy / "class_bubbles.csv").write_text("student,diameter_mm\nS01,3\n", encoding="utf-8")
    series = {
        "name": "class-bubbles",
        "path": "class_bubbles.csv",
        "profile": "tabular-data-resource",
        "licenses": [{"name": "CC0-1.0"}],
        "kind": "invented",
        "sources": [{"title": "Invented class measurements, scatter 0.5 mm"}],
        "schema": {
            "fields": [
                {"name": "student", "type": "string"},
                {
                    "name": "diameter_mm",
                    "type": "number",
                    "unit": "mm",
                    "description": "Bubble [mm]",
                    "constraints": {"minimum": 0, "maximum": 50},
                },
            ]
        },
    }
    assert described(copy, lambda _, resources: resources.append(series)) == []
    assert any(
        "neither its rows nor its entry" in sentence
        for sentence in described(copy, lambda by, _: by["class_bubbles.csv"].pop("kind"))
    )
