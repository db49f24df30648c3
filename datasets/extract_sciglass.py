"""Make sciglass_soda_lime.csv and sciglass_medians.csv anew from the SciGlass open database. No test runs it.

The database (Open Database License 1.0; made open by EPAM Systems) comes inside the Python package
"glasspy", version 0.4.2 only, about 75 MB. Get it into a folder of your own, outside this project:

    pip download --no-deps --dest SOMEWHERE glasspy==0.4.2
    python datasets/extract_sciglass.py SOMEWHERE/glasspy-0.4.2-py3-none-any.whl

Only the table of data inside is read; none of the package's code is used. The first table takes the
soda-lime-silica glasses of which strain, annealing and softening point and expansion are all recorded, and
the density where it is. The second takes, for each property that the kit quotes, all soda-lime-silica glasses
(or those of about the composition of float) for which it is recorded: median, quartiles and their count.
"""

import io
import re
import sys
import zipfile
from pathlib import Path

import pandas as pd

TABLE = "glasspy/data/datafiles/select_SciGK.csv.zip"
FIXED_POINTS = {
    "SPT": "strain_point_degC",
    "ANPT": "annealing_point_degC",
    "LPT": "softening_point_degC",
}
NEEDED = FIXED_POINTS | {"ANY_TEC": "expansion_1e-7_per_K"}
NUMBERS = NEEDED | {"DENSITY": "density_kg_per_m3"}
OXIDES = ["WSIO2", "WNA2O", "WK2O", "WCAO", "WMgO", "WAL2O3", "WB2O3", "WPBO", "WBAO", "WZNO", "WLi2O"]

SODA_LIME, FLOAT = "soda-lime", "composition of float"
PROPERTIES = [
    # column, what it is, unit, factor from the database's unit, glasses
    ("DENSITY", "density", "kg/m3", 1000.0, SODA_LIME),
    ("MOD_UNG", "Young's modulus", "GPa", 1.0, SODA_LIME),
    ("pois", "Poisson's ratio", "-", 1.0, SODA_LIME),
    ("SUT1300", "surface tension at 1300 degC", "N/m", 1e-3, SODA_LIME),
    ("cond220", "thermal conductivity at 220 degC", "W/m/K", 1.0, SODA_LIME),
    ("cp20", "heat capacity at 20 degC", "J/kg/K", 1.0, SODA_LIME),
    ("cp200", "heat capacity at 200 degC", "J/kg/K", 1.0, SODA_LIME),
    ("cp400", "heat capacity at 400 degC", "J/kg/K", 1.0, SODA_LIME),
    ("T5", "temperature at 10^4 Pa.s", "degC", 1.0, FLOAT),
    ("T6", "temperature at 10^5 Pa.s", "degC", 1.0, FLOAT),
    ("T7", "temperature at 10^6 Pa.s", "degC", 1.0, FLOAT),
    ("T8", "temperature at 10^7 Pa.s", "degC", 1.0, FLOAT),
]


def read_database(wheel: Path) -> pd.DataFrame:
    """Return the columns that matter, one row a glass."""
    properties = [column for column, *_ in PROPERTIES]
    columns = ["KOD", "GLASNO", "Author", "Year", *dict.fromkeys([*NUMBERS, *OXIDES, *properties])]
    with zipfile.ZipFile(wheel) as outer, zipfile.ZipFile(io.BytesIO(outer.read(TABLE))) as inner:
        (name,) = inner.namelist()
        with inner.open(name) as file:
            table = pd.read_csv(file, sep="\t", usecols=columns, low_memory=False)
    return table.drop_duplicates(["KOD", "GLASNO"])


def soda_lime(table: pd.DataFrame) -> pd.DataFrame:
    """Return the rows that are soda-lime-silica glass by weight."""
    alkali, lime = table["WNA2O"] + table["WK2O"], table["WCAO"] + table["WMgO"]
    others = ["WB2O3", "WPBO", "WBAO", "WZNO", "WLi2O"]
    return table[
        table["WSIO2"].between(68, 77)
        & alkali.between(12, 19)
        & (table["WNA2O"] > table["WK2O"])
        & lime.between(5, 15)
        & (table["WCAO"] > 0)
        & (table["WAL2O3"] <= 4)
        & (table[others].sum(axis=1) <= 2)
    ]


def like_float(table: pd.DataFrame) -> pd.DataFrame:
    """Return the rows of about the composition of float by weight."""
    return table[
        table["WSIO2"].between(70, 74)
        & table["WNA2O"].between(12.5, 15)
        & table["WCAO"].between(7, 10)
        & table["WMgO"].between(3, 5)
    ]


def source(row: pd.Series) -> str:
    """Name the record and, where a person published it, who."""
    person = re.fullmatch(r"(.+?) ((?:[A-Z]\.)+)", str(row["Author"]).strip())
    published = f"{person[1]} {row['Year']}" if person else f"recorded there without an author, {row['Year']}"
    return f"SciGlass open database, reference {row['KOD']}, glass {row['GLASNO']}: {published}"


def write_glasses(chosen: pd.DataFrame, folder: Path) -> None:
    """Write the glasses of which all fixed points and the expansion are recorded."""
    complete = chosen[(chosen[list(NEEDED)] > 0).all(axis=1)]
    # one and the same measurement, quoted twice or given to two analyses, counts once
    found = complete.drop_duplicates(list(NUMBERS)).sort_values(["KOD", "GLASNO"])
    table = found.rename(columns=NUMBERS)
    table["density_kg_per_m3"] = (table["density_kg_per_m3"] * 1000).round(0).astype("Int64")
    table["expansion_1e-7_per_K"] = table["expansion_1e-7_per_K"].round(1)
    table[list(FIXED_POINTS.values())] = table[list(FIXED_POINTS.values())].round(0).astype(int)
    table.insert(0, "name", table["KOD"].astype(str) + "-" + table["GLASNO"].astype(str))
    table["kind"] = "measured open data"
    table["source"] = found.apply(source, axis=1)
    path = folder / "sciglass_soda_lime.csv"
    table[["name", *NUMBERS.values(), "kind", "source"]].to_csv(path, index=False, lineterminator="\n")
    print(f"{len(table)} glasses written to {path}")


def write_medians(chosen: dict[str, pd.DataFrame], folder: Path) -> None:
    """Write median, quartiles and count of each property, of all glasses for which it is recorded."""
    rows = []
    for column, name, unit, factor, glasses in PROPERTIES:
        # a value counts once for each publication, however many of its glasses share it
        recorded = chosen[glasses][["KOD", "GLASNO", column]]
        values = recorded[recorded[column] > 0].drop_duplicates(["KOD", column])[column] * factor
        low, median, high = (float(f"{values.quantile(share):.4g}") for share in (0.25, 0.5, 0.75))
        rows.append(
            {
                "name": f"{name}, {glasses}",
                "unit": unit,
                "median": median,
                "lower_quartile": low,
                "upper_quartile": high,
                "count": len(values),
                "kind": "measured open data",
                "source": "SciGlass open database, as datasets/extract_sciglass.py picks from it",
            }
        )
    path = folder / "sciglass_medians.csv"
    pd.DataFrame(rows).to_csv(path, index=False, lineterminator="\n")
    print(f"{len(rows)} medians written to {path}")


def main() -> None:
    """Write both tables beside this script."""
    database, folder = read_database(Path(sys.argv[1])), Path(__file__).parent
    chosen = {SODA_LIME: soda_lime(database), FLOAT: like_float(database)}
    write_glasses(chosen[SODA_LIME], folder)
    write_medians(chosen, folder)


if __name__ == "__main__":
    main()
