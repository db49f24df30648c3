"""A card as a whole process, import included, beside the import alone.

Goal: within 2 s where no thickness map is needed.
"""

# measures: kilncalc/classroom/card.py kilncalc/plan kilncalc/project kilncalc/writing.py

import subprocess
import sys
import tempfile
import time
from pathlib import Path

from kilncalc.project import SCENARIO, scenario

GOAL = 2.0  # s


def seconds(*command: str) -> float:
    """Return the wall time of a whole process."""
    start = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - start


def main() -> int:
    """Print a line a piece; 1 where a goal was missed."""
    missed = 0
    imports = min(seconds(sys.executable, "-c", "import kilncalc.classroom.card") for _ in range(3))
    print(f"import alone: {imports:.2f} s")
    with tempfile.TemporaryDirectory() as folder:
        for name in SCENARIO:
            piece = Path(folder, f"{name}.toml")
            scenario(name).write(piece)
            command = [sys.executable, "-m", "kilncalc", "card", str(piece), "--replace"]
            took = min(seconds(*command) for _ in range(2))
            missed += took > GOAL
            print(f"{name}: {took:.2f} s (goal {GOAL:g}), {took / imports:.1f} times the import")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
