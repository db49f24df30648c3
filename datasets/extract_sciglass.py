"""Make sciglass_soda_lime.csv anew from the SciGlass open database. Not run by any test.

The database (Open Database License 1.0; made open by EPAM Systems) comes inside the Python package
"glasspy", version 0.4.2 only, about 75 MB. Get it into a folder of your own, outside this project:

    pip download --no-deps --dest SOMEWHERE glasspy==0.4.2
    python datasets/extract_sciglass.py SOMEWHERE/glasspy-0.4.2-py3-none-any.whl

Only the table of data inside is read; none of the package's code is used. What is taken: soda-lime-silica
glasses of which strain, annealing and softening point and expansion are all recorded, and the density where
it is.
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


def read_database(wheel: Path) -> pd.DataFrame:
    """Return the columns that matter, one row a glass."""
    columns = ["KOD", "GLASNO", "Author", "Year", *NUMBERS, *OXIDES]
    with zipfile.ZipFile(wheel) as outer, zipfile.ZipFile(io.BytesIO(outer.read(TABLE))) as inner:
        (name,) = inner.namelist()
        with inner.open(name) as file:
            table = pd.read_csv(file, sep="\t", usecols=columns, low_memory=False)
    return table.drop_duplicates(["KOD", "GLASNO"])


def soda_lime(table: pd.DataFrame) -> pd.DataFrame:
    """Return the rows that are soda-lime-silica glass by weight and have the needed numbers."""
    alkali, lime = table["WNA2O"] + table["WK2O"], table["WCAO"] + table["WMgO"]
    others = ["WB2O3", "WPBO", "WBAO", "WZNO", "WLi2O"]
    chosen = (
        table["WSIO2"].between(68, 77)
        & alkali.between(12, 19)
        & (table["WNA2O"] > table["WK2O"])
        & lime.between(5, 15)
        & (table["WCAO"] > 0)
        & (table["WAL2O3"] <= 4)
        & (table[others].sum(axis=1) <= 2)
        & (table[list(NEEDED)] > 0).all(axis=1)
    )
    # one and the same measurement, quoted twice or given to two analyses, counts once
    return table[chosen].drop_duplicates(list(NUMBERS))


def source(row: pd.Series) -> str:
    """Name the record and, where a person published it, who."""
    person = re.fullmatch(r"(.+?) ((?:[A-Z]\.)+)", str(row["Author"]).strip())
    published = f"{person[1]} {row['Year']}" if person else f"published {row['Year']}"
    return f"SciGlass open database, reference {row['KOD']}, glass {row['GLASNO']}: {published}"


def main() -> None:
    """Write the table beside this script."""
    found = soda_lime(read_database(Path(sys.argv[1]))).sort_values(["KOD", "GLASNO"])
    table = found.rename(columns=NUMBERS)
    table["density_kg_per_m3"] = (table["density_kg_per_m3"] * 1000).round(0).astype("Int64")
    table["expansion_1e-7_per_K"] = table["expansion_1e-7_per_K"].round(1)
    table[list(FIXED_POINTS.values())] = table[list(FIXED_POINTS.values())].round(0).astype(int)
    table.insert(0, "name", table["KOD"].astype(str) + "-" + table["GLASNO"].astype(str))
    table["kind"] = "measured open data"
    table["source"] = found.apply(source, axis=1)
    path = Path(__file__).with_name("sciglass_soda_lime.csv")
    table[["name", *NUMBERS.values(), "kind", "source"]].to_csv(path, index=False, lineterminator="\n")
    print(f"{len(table)} glasses written to {path}")


if __name__ == "__main__":
    main()
