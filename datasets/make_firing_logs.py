"""Make firing_logs.csv: six invented firings of one small kiln, two of them gone wrong.

Run from the checkout: python datasets/make_firing_logs.py

The kiln is one lump of brick and air, C dT/dt = P u - C (T - room)/tau: it cools by itself with tau = 3.0 h,
and full power would carry it to room + FULL. Every 10 s the controller moves its setpoint at the asked rate,
waits for the kiln at the end of a ramp (a hold counts from there), and gives the power that holds the
setpoint, its slope included, and a share for each degree it is off. A thermocouple lags by 40 s,
scatters by 1.0 K (normal), and is written down in whole degrees every 2 minutes.
"""

import csv
from pathlib import Path

import numpy as np

from kilncalc import _tables
from kilncalc.schedule import ROOM, UNLIMITED_RATE, Schedule

TAU, FULL = 3.0 * 3600.0, 1350.0  # s, K
STEP, EVERY = 10.0, 120.0  # s
LAG, SCATTER = 40.0, 1.0  # s, K
SHARE, WAITS_WITHIN = 0.02, 3.0  # of full power for each K, K
SEED = 20261127


def simulate(
    plan: Schedule,
    rng: np.random.Generator,
    room: float = 20.0,
    low: float = 0.0,
    stuck: float | None = None,
    pulled_at: float = 900.0,
    tau: float = TAU,
    full: float = FULL,
    cut: tuple[float, float] | None = None,
    every: float = EVERY,
    scatter: float = SCATTER,
    waits: bool = True,
    warm: float = 0.0,
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return times [s], what the thermocouple shows [degC], and the segment the controller is in, from 1.

    The sensor reads `low` K too little; the relay sticks from `stuck` [s] until somebody pulls the plug when
    the log shows `pulled_at`; the power is `cut` from, to [s]. A controller that does not wait (`waits`) goes
    through segments with a rate by the clock alone. The kiln begins `warm` K above the room.
    """
    air = shown = room + warm
    shown -= low
    setpoint, segment, held, pulled = max(shown, 0.0), 0, 0.0, False
    times, rows, segments, clock = [], [], [], 0.0
    while clock < 200 * 3600:
        if clock % every == 0:
            times.append(clock)
            rows.append(round(shown + rng.normal(0.0, scatter)))
            segments.append(segment + 1)
        slope = 0.0
        if segment < len(plan.segments):
            now = plan.segments[segment]
            rate = (UNLIMITED_RATE * 5 if now.rate is None else now.rate) / 3600
            apart = now.target - setpoint
            patient = waits or now.rate is None
            if abs(apart) > 1e-9:
                step = np.sign(apart) * min(abs(apart), rate * STEP)
                behind = np.sign(apart) * (setpoint - shown)
                if not patient or behind < 25:  # the setpoint waits for a kiln that is far behind
                    setpoint, slope = setpoint + step, step / STEP
            elif held or not patient or abs(shown - now.target) < WAITS_WITHIN:
                held += STEP
                if held > 60 * now.hold_min:
                    segment, held = segment + 1, 0.0
        off = segment >= len(plan.segments)
        power = 0.0 if off else (setpoint - room) / full + slope * tau / full + SHARE * (setpoint - shown)
        power = min(max(power, 0.0), 1.0)
        if stuck is not None and clock >= stuck:
            power = 1.0
            pulled = pulled or shown > pulled_at
        if pulled or (cut and cut[0] <= clock < cut[1]):
            power = 0.0
        air += STEP / tau * (full * power - (air - room))
        shown += STEP / LAG * (air - low - shown)
        clock += STEP
        if (
            (pulled or off or segment == len(plan.segments) - 1)
            and shown < max(45.0 - low, 30.0)
            and clock > 7200
        ):
            break
    return np.array(times), np.array(rows, dtype=float), np.array(segments)


def main() -> None:
    """Write the table beside this script."""
    here = Path(__file__).parent
    rng = np.random.default_rng(SEED)
    rows = []
    for firing in _tables.rows("firings.csv"):
        plan = Schedule.from_text(firing["plan"])
        wrong = {"C": {"stuck": 5.25 * 3600.0, "pulled_at": 905.0}, "E": {"low": ROOM}}.get(
            firing["name"], {}
        )
        time, shown, _ = simulate(plan, rng, room=float(firing["room_degC"]), **wrong)
        rows += [[firing["name"], int(t / 60), int(s)] for t, s in zip(time, shown, strict=True)]
    with (here / "firing_logs.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(["firing", "time_min", "temperature_degC"])
        writer.writerows(rows)


if __name__ == "__main__":
    main()
