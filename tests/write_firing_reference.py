"""Writes tests/firing_reference.csv: 300 random firings by a second way (`fine_reference`), in a
quarter of an hour.

    .venv/bin/python tests/write_firing_reference.py [FIRST LAST]

Rows that are in the file stay: delete it to begin anew.
"""

import csv
import sys
from pathlib import Path

from fine_reference import reference
from random_firings import random_firing

FILE = Path(__file__).with_name("firing_reference.csv")
COLUMNS = ("number", "heating_Pa", "cooling_Pa", "most_residual_Pa", "least_residual_Pa", "hottest_degC")


def main(first: int = 0, last: int = 299) -> None:
    done = set()
    if FILE.exists():
        with FILE.open(newline="", encoding="utf-8") as file:
            done = {int(row["number"]) for row in csv.DictReader(file)}
    for number in range(first, last + 1):
        if number in done:
            continue
        second = reference(*random_firing(number))
        fresh = not FILE.exists()
        with FILE.open("a", newline="", encoding="utf-8") as file:
            writer = csv.writer(file, lineterminator="\n")
            if fresh:
                writer.writerow(COLUMNS)
            values = (second.heating, second.cooling, second.most, second.least, second.hottest)
            writer.writerow([number, *(f"{value:.6g}" for value in values)])


if __name__ == "__main__":
    main(*(int(one) for one in sys.argv[1:]))
