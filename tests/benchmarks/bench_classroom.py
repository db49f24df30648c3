"""Time the class day: hand-outs for thirty, and results of a thousand files, with the memory that takes.

    .venv/bin/python tests/benchmarks/bench_classroom.py

Times are also given as multiples of a fixed piece of plain Python on the same machine, so that runs on
different machines, or on a busy one, can be compared.
"""

# measures: kilncalc/classroom kilncalc/exercises

import csv
import io
import itertools
import json
import shutil
import subprocess
import sys
import tempfile
import time
import tracemalloc
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

from kilncalc.classroom import handout, key, results, results_page
from kilncalc.classroom.roster import Student
from kilncalc.exercises import COLUMNS, lesson_labels, questions
from kilncalc.quantities import as_text

# invented: half of the class works in inches
CLASS = [Student(f"S{n:04d}", f"Name {n}", ("metric", "inches")[n % 2]) for n in range(1000)]


def reference() -> None:
    """A fixed piece of work: a fifth of a second on a plain laptop."""
    for _ in range(12):
        json.loads(json.dumps([{"a": n, "b": str(n)} for n in range(10_000)]))


def timed(what: str, limit: float | None, function: Callable[[], object]) -> None:
    """Run once and print wall and processor time, the limit, and the multiple of the reference."""
    started = time.process_time()
    reference()
    unit = time.process_time() - started
    wall, cpu = time.perf_counter(), time.process_time()
    function()
    wall, cpu = time.perf_counter() - wall, time.process_time() - cpu
    told = f"(limit {limit:.0f} s)" if limit else ""
    print(f"{what:58s} {wall:6.1f} s, processor {cpu:5.1f} s = {cpu / unit:4.0f} x reference {told}")


def hand_in(folder: Path, count: int) -> None:
    """Write the files of `count` students: each question a slip, a number far off, and the right one."""
    asked = [one for label in lesson_labels() for one in questions(label)]
    for number, student in enumerate(CLASS[:count]):
        text = io.StringIO(newline="")
        writer = csv.writer(text)
        writer.writerow(COLUMNS)
        begun = datetime(2026, 1, 1, 9, tzinfo=UTC) + timedelta(seconds=17 * number)
        times = (begun + timedelta(seconds=61 * row) for row in itertools.count())
        for one in asked:
            numbers = one.numbers_for(student.id, student.units)
            slips = [slip.value for slip in one.slips(numbers).values()]
            right = one.value(numbers)
            for value in (slips[number % len(slips)], right * 1.9, right):
                typed = as_text(value, one.dimension, units=student.units)
                given = next(times).isoformat(timespec="seconds")
                writer.writerow((student.id, one.key, typed, numbers.to_json(), 0, "0.1.0", given))
        own = folder / student.id
        own.mkdir()
        (own / "answers.csv").write_text(text.getvalue(), encoding="utf-8", newline="")


def peak(function: Callable[[], object]) -> float:
    """Return the most memory in use at a time while the function runs [MB]."""
    tracemalloc.start()
    function()
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return most / 1e6


def resident(folder: Path) -> float:
    """Return the most memory of a whole process that reads the folder and makes the page [MB]."""
    code = "import bench_classroom as b, sys; b.read_all(b.Path(sys.argv[1]))"
    command = [sys.executable, "-c", code, str(folder)]
    told = subprocess.run(command, cwd=Path(__file__).parent, check=True, capture_output=True, text=True)
    return float(told.stdout)


def read_all(folder: Path) -> None:
    """Read the folder, make the page, and print the most memory that this process took [MB]."""
    results_page.page(results.collect(CLASS, folder))
    # Linux only; what `resource` says would be that of the process which started this one, where it had more
    status = Path("/proc/self/status").read_text(encoding="ascii")
    print(int(status.partition("VmHWM:")[2].split()[0]) / 1e3)


def main() -> int:
    """Run all and print a line each."""
    lessons = handout.shipped_lessons()
    asked = key.asked_in()
    print(f"{len(lessons)} lessons, {len(asked)} exercises")
    with tempfile.TemporaryDirectory() as scratch:
        out = Path(scratch) / "out"
        for what, limit, keywords in (
            ("hand-outs for 30", 2, {}),
            ("hand-outs for 30, zips", 10, {"zipped": True}),
            ("hand-outs for 30, with pages to print", 2, {"pages": True}),
            ("hand-outs for 30, with pages and sheets", None, {"pages": True, "sheets": True}),
        ):
            timed(
                what, limit, lambda keywords=keywords: handout.hand_out(CLASS[:30], lessons, out, **keywords)
            )
            shutil.rmtree(out)
        timed("key for 30", None, lambda: key.page(CLASS[:30], asked))
        folder = Path(scratch) / "in"
        folder.mkdir()
        hand_in(folder, 1000)
        rows = 3 * len(asked)
        read: list[results.Results] = []
        what = f"results of 1000 files of {rows} answers"
        timed(what, 3, lambda: read.append(results.collect(CLASS, folder)))
        timed("  and their page", None, lambda: results_page.page(read[0]))
        print(f"{'  most memory of the whole process':58s} {resident(folder):6.0f} MB (limit 200 MB)")
        few, many = (peak(lambda n=n: results.collect(CLASS[:n], folder)) for n in (100, 400))
        print(
            f"most memory at a time: 100 students {few:.1f} MB, 400 students {many:.1f} MB (marks included)"
        )
        for student in CLASS[:3]:
            path = folder / student.id / "answers.csv"
            path.write_bytes(path.read_bytes() + b"2.1,1 g,{},0,v,t\r\n" * 100_000)
        large = peak(lambda: results.collect(CLASS[:3], folder))
        print(f"                       3 students with files of 1.8 MB {large:.1f} MB (a file at a time)")
    return 0


if __name__ == "__main__":
    sys.exit(main())
