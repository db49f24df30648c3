"""The exercises of lesson 4: clocks, rates, thickness squared, the first unsafe segment, the anneal hold."""

import math

from kilncalc import annealing, materials, quantities
from kilncalc.exercises._questions import Given, Numbers, Question, Slip, Tolerance
from kilncalc.quantities import QuantityError
from kilncalc.schedule import Schedule, Segment

_GLASS = materials.glass("kiln glass A")
_HOUR = 3600.0


class Length(Question):
    """How long a schedule takes."""

    key = "4.1"
    title = "how long the banner's firing takes"
    minutes = 8
    given = (
        Given("start", "temperature", ("20 °C",), ("70 °F",)),
        Given("rate", "rate", ("150 °C/h", "120 °C/h", "100 °C/h"), ("270 °F/h", "240 °F/h", "180 °F/h")),
        Given("first", "temperature", ("620 °C", "590 °C"), ("1150 °F", "1110 °F")),
        Given("hold", "time", ("30 min", "40 min")),
        Given("faster", "rate", ("240 °C/h",), ("400 °F/h",)),
        Given("top", "temperature", ("740 °C", "710 °C"), ("1350 °F", "1310 °F")),
        Given("short", "time", ("15 min", "20 min")),
        Given("down", "rate", ("300 °C/h",), ("500 °F/h",)),
        Given("end", "temperature", ("515 °C",), ("960 °F",)),
    )
    text = (
        "The kiln stands at {start}. The banner's firing begins: {rate} to {first}, hold {hold}; {faster} to "
        "{top}, hold {short}; {down} down to {end}. How long is it from the start until the kiln is at {end}?"
    )
    dimension = "time"
    tolerance = Tolerance(absolute=90.0)
    low, high = 5 * _HOUR, 9 * _HOUR
    hints = (
        "Take one segment after another: a change of temperature, then a hold.",
        "A change takes (temperature at its end - temperature at its beginning) / rate, in hours.",
        "Add the holds. Half an hour is 30 minutes and 0.5 hours.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the time [s]."""
        return Schedule(
            (
                Segment(numbers["rate"], numbers["first"], numbers["hold"] / 60),
                Segment(numbers["faster"], numbers["top"], numbers["short"] / 60),
                Segment(numbers["down"], numbers["end"]),
            ),
            start=numbers["start"],
        ).duration

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [s]."""
        right, holds = self.value(numbers), numbers["hold"] + numbers["short"]
        zero = 0.0 if numbers.units == "metric" else -160 / 9  # where the controller's scale has its zero
        return {
            "holds forgotten": Slip(
                right - holds,
                "You get this for the changes of temperature alone: the kiln also holds, twice.",
            ),
            "start counted as zero": Slip(
                right + (numbers["start"] - zero) / numbers["rate"] * _HOUR,
                "You get this if the first change begins at zero: the kiln is not that cold.",
            ),
            "second change counted from zero": Slip(
                right + (numbers["first"] - zero) / numbers["faster"] * _HOUR,
                "You get this if the second change begins at zero: the kiln is already hot by then.",
            ),
            "minutes for hundredths of an hour": Slip(
                right - 0.4 * holds,
                "You get this if 30 minutes become 0.30 hours: 30 minutes are half an hour, 0.50.",
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        steps = []
        for name, begin, end, rate in (
            ("First change", "start", "first", "rate"),
            ("Second change", "first", "top", "faster"),
            ("Last change", "top", "end", "down"),
        ):
            change = abs(numbers[end] - numbers[begin])
            took = numbers.show.text(60 * round(change / numbers[rate] * 60), "time")
            by = numbers.show.text(change, "temperature_difference")
            steps.append(f"{name}: from {texts[begin]} to {texts[end]}, {by} / ({texts[rate]}) = {took}.")
        return [*steps, f"Add the holds: {texts['hold']} and {texts['short']}."]


class OtherController(Question):
    """A rate for a controller that thinks in the other degrees."""

    key = "4.2"
    title = "a rate for the other controller"
    minutes = 4
    given = (
        Given(
            "rate",
            "rate",
            ("150 °C/h", "80 °C/h", "120 °C/h", "60 °C/h", "200 °C/h"),
            ("270 °F/h", "144 °F/h", "216 °F/h", "108 °F/h", "360 °F/h"),
        ),
        Given("other", "temperature_difference", ("1 °F",), ("1 °C",)),
    )
    text = (
        "Your schedule says {rate}. The controller of the kiln you may use counts in steps of {other} and "
        "shows numbers without a unit. Which number do you type for the rate?"
    )
    dimension = "count"
    tolerance = Tolerance(absolute=1.0)
    low, high = 50, 400
    hints = (
        "A rate says how many degrees are added in an hour. Where the scale has its zero does not matter.",
        "A change of 5 °C and a change of 9 °F are the same change.",
    )

    def read(self, text: str, numbers: Numbers) -> float:
        """Return the number that is typed [-]; "270 °F/h" is as good as "270"."""
        try:
            return super().read(text, numbers)
        except QuantityError as problem:
            try:
                rate = quantities.read(text, "rate")
            except QuantityError:
                raise problem from None
            return rate * 1.8 if "f" in text.lower() else rate

    def value(self, numbers: Numbers) -> float:
        """Return the number of the other scale [-]."""
        return numbers["rate"] * 1.8 if numbers.units == "metric" else numbers["rate"]

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [-]."""
        celsius = numbers["rate"]
        fahrenheit = celsius * 1.8
        not_a_temperature = (
            "You get this with the 32 of a temperature: in a change of temperature it cancels."
        )
        if numbers.units == "metric":
            return {
                "32 added": Slip(fahrenheit + 32, not_a_temperature),
                "factor turned round": Slip(
                    celsius / 1.8, "You get this if you divide by 1.8: degrees of °F are the smaller ones."
                ),
                "unit ignored": Slip(celsius, "That is the number for a controller that counts in °C."),
            }
        return {
            "32 taken off": Slip((fahrenheit - 32) / 1.8, not_a_temperature),
            "factor turned round": Slip(
                fahrenheit * 1.8, "You get this if you multiply by 1.8: degrees of °C are the larger ones."
            ),
            "unit ignored": Slip(fahrenheit, "That is the number for a controller that counts in °F."),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        rate = numbers.texts["rate"].split()[0]
        sum_ = f"{rate} × 1.8" if numbers.units == "metric" else f"{rate} / 1.8"
        return [
            "A change of 1 °C is a change of 1.8 °F, wherever on the scale it happens: no 32.",
            f"The number to type: {sum_}.",
        ]


class Thicker(Question):
    """Cooling time when the thickness grows."""

    key = "4.3"
    title = "the same glass, thicker"
    minutes = 5
    given = (
        Given("thin", "length", ("6 mm", "8 mm"), ("1/4 in", "5/16 in")),
        Given("time", "time", ("1 h 20 min", "1 h", "1 h 12 min", "50 min")),
        Given("thick", "length", ("12 mm", "16 mm", "18 mm"), ("1/2 in", "5/8 in", "3/4 in")),
    )
    text = (
        "An even piece {thin} thick was cooled through its annealing range in {time} and came out well. The "
        "next one is {thick} thick. How long must the same change of temperature take, so that no more "
        "tension stays in it?"
    )
    dimension = "time"
    tolerance = Tolerance(relative=0.02)
    low, high = 1.5 * _HOUR, 13 * _HOUR
    hints = (
        "How far the middle is behind grows with the rate and with the square of the thickness.",
        "How many times as thick is the new piece? So by how much must the rate fall?",
        "The same change at a quarter of the rate takes four times as long.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the time [s]."""
        thin, thick = (
            annealing.slab_stress(1.0, numbers[name] / 2, _GLASS).middle for name in ("thin", "thick")
        )
        return float(numbers["time"] * thick / thin)

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [s]."""
        time, times = numbers["time"], numbers["thick"] / numbers["thin"]
        return {
            "thickness not squared": Slip(
                time * times,
                "You get this if the time grows like the thickness: it grows like its square.",
            ),
            "thickness cubed": Slip(
                time * times**3, "You get this with the third power of the thickness: the second is enough."
            ),
            "same time": Slip(
                time, "That is the time of the thinner piece: the thicker one needs more than that."
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        times = numbers["thick"] / numbers["thin"]
        return [
            f"Thickness: {texts['thick']} / {texts['thin']} = {times:.4g} times.",
            f"The lag grows with rate × thickness². To keep it, the rate falls {times**2:.4g} times.",
            f"Time: {texts['time']} × {times**2:.4g}.",
        ]


class FirstUnsafe(Question):
    """Which segment pulls too hard."""

    key = "4.4"
    title = "the first unsafe segment"
    minutes = 8
    given = (
        Given("thin", "length", ("6 mm",), ("1/4 in",)),
        Given("safe", "rate", ("400 °C/h",), ("720 °F/h",)),
        Given("thick", "length", ("12 mm", "9 mm"), ("1/2 in", "3/8 in")),
        Given("strain", "temperature", ("473 °C",), ("883 °F",)),
        Given("heat", "rate", ("90 °C/h", "130 °C/h"), ("160 °F/h", "230 °F/h")),
        Given("first", "temperature", ("600 °C",), ("1110 °F",)),
        Given("fast", "rate", ("300 °C/h",), ("540 °F/h",)),
        Given("top", "temperature", ("820 °C",), ("1510 °F",)),
        Given("drop", "rate", ("500 °C/h",), ("900 °F/h",)),
        Given("anneal", "temperature", ("515 °C",), ("960 °F",)),
        Given("slow", "rate", ("40 °C/h", "60 °C/h"), ("70 °F/h", "110 °F/h")),
        Given("below", "temperature", ("420 °C",), ("790 °F",)),
        Given("middle", "rate", ("80 °C/h", "150 °C/h"), ("140 °F/h", "270 °F/h")),
        Given("cool", "temperature", ("300 °C",), ("570 °F",)),
        Given("last", "rate", ("250 °C/h", "220 °C/h"), ("450 °F/h", "400 °F/h")),
        Given("end", "temperature", ("40 °C",), ("100 °F",)),
    )
    text = (
        "A rule made up for this question: glass {thin} thick may be heated and cooled at up to {safe} where "
        "it is colder than its strain point, {strain}; hotter glass gives way, and any rate will do. "
        "Your even piece is {thick} thick. "
        "The schedule: 1. {heat} to {first}; 2. {fast} to {top}; 3. {drop} to {anneal}, with a long hold; "
        "4. {slow} to {below}; 5. {middle} to {cool}; 6. {last} to {end}. Which is the first segment that is "
        "too fast?"
    )
    dimension = "count"
    tolerance = Tolerance(absolute=0.3)
    low, high = 1, 6
    hints = (
        "First find the fastest rate for your thickness: it falls with the square of the thickness.",
        "Cross out the segments in which the glass is always hotter than its strain point.",
        "Compare the rest, from the first to the last, with your rate.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the segment's number [-]."""
        return self._first_above(numbers, squared=True)

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [-]."""
        slips = {
            "hot glass counted": Slip(
                2,
                "In that segment the glass is hotter than its strain point: it gives way, any rate will do.",
            ),
            "fastest of all": Slip(
                3,
                "It is the fastest, but the glass is hotter than its strain point: it gives way all along.",
            ),
            "the slowest": Slip(
                4, "That one is slow because the glass sets there. Compare its rate with yours: it is safe."
            ),
        }
        straight = self._first_above(numbers, squared=False)
        if straight and straight != self.value(numbers):
            slips["thickness not squared"] = Slip(
                straight,
                "You get this if the rate falls like the thickness. It falls like its square, and an earlier "
                "segment is too fast.",
            )
        return slips

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        times = numbers["thick"] / numbers["thin"]
        limit = numbers.show.text(numbers["safe"] / times**2, "rate")
        first = int(self.value(numbers))
        rate = texts[{1: "heat", 4: "slow", 5: "middle", 6: "last"}[first]]
        return [
            f"Your piece is {times:.4g} times as thick: {texts['safe']} / {times**2:.4g} = {limit} for it.",
            "Segments 2 and 3 are hotter than the strain point all the way: any rate is safe there.",
            f"Of 1, 4, 5 and 6, the first with more than {limit} is segment {first}, with {rate}.",
        ]

    def _first_above(self, numbers: Numbers, squared: bool) -> float:
        """Return the first segment with too much stress, 0 for none."""
        may = annealing.slab_stress(numbers["safe"], numbers["thin"] / 2, _GLASS).middle
        factor = 1.0 if squared else numbers["thin"] / numbers["thick"]
        below_strain = {1: "heat", 4: "slow", 5: "middle", 6: "last"}
        for number, name in below_strain.items():
            stress = annealing.slab_stress(numbers[name], numbers["thick"] / 2, _GLASS).middle
            if factor * stress > may:
                return float(number)
        return 0.0


class AnnealHold(Question):
    """How long to hold at the annealing point."""

    key = "4.5"
    title = "the hold at the annealing point"
    minutes = 8
    given = (
        Given("behind", "temperature_difference", ("40 °C", "80 °C", "20 °C"), ("80 °F", "160 °F", "40 °F")),
        Given("halves", "time", ("12 min", "15 min", "10 min", "18 min")),
        Given("even", "temperature_difference", ("2.5 °C",), ("5 °F",)),
        Given("least", "time", ("30 min",)),
    )
    text = (
        "When the kiln arrives at the annealing point, the middle of a thick cast is still {behind} hotter "
        "than its faces. This difference halves every {halves}. You hold until it is down to {even}, then "
        "as long again for the kiln to even out, and never less than {least}. How long do you hold in all?"
    )
    dimension = "time"
    tolerance = Tolerance(relative=0.01)
    low, high = 0.5 * _HOUR, 4 * _HOUR
    hints = (
        "Halve the difference again and again until you are there, and count how often.",
        "Every halving takes the same time, however large the difference still is.",
        "Then the same time again.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the hold [s]."""
        return max(2 * self._halvings(numbers) * numbers["halves"], numbers["least"])

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [s]."""
        halves, count = numbers["halves"], self._halvings(numbers)
        times = numbers["behind"] / numbers["even"]
        return {
            "as long again forgotten": Slip(
                count * halves, "You get this if you stop when the glass is even: hold as long again."
            ),
            "falls in a straight line": Slip(
                2 * halves * 2 * (1 - 1 / times),
                "You get this if it goes on falling as fast as at first: it falls ever more slowly.",
            ),
            "one halving too few": Slip(
                2 * (count - 1) * halves, "One halving is missing: write the differences down one by one."
            ),
            "divided instead of halved": Slip(
                2 * times * halves,
                "You get this if you divide the differences: count how often the first one must be halved.",
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        count = round(self._halvings(numbers))
        row = [
            numbers.show.text(numbers["behind"] / 2**step, "temperature_difference")
            for step in range(count + 1)
        ]
        even = numbers.show.text(count * numbers["halves"], "time")
        return [
            f"Halve: {', '.join(row)}. That is {count} times.",
            f"Even after {count} × {texts['halves']} = {even}.",
            f"As long again: 2 × {even}, which is not less than {texts['least']}.",
        ]

    def _halvings(self, numbers: Numbers) -> float:
        return math.log2(numbers["behind"] / numbers["even"])


class Lag(Question):
    """How far the middle is behind."""

    key = "4.6"
    title = "how far the middle is behind"
    minutes = 7
    given = (
        Given(
            "rate",
            "rate",
            ("60 °C/h", "100 °C/h", "40 °C/h", "80 °C/h"),
            ("110 °F/h", "180 °F/h", "70 °F/h", "140 °F/h"),
        ),
        Given("thickness", "length", ("24 mm", "20 mm", "30 mm"), ("1 in", "3/4 in", "1 1/4 in")),
        Given("spread", "area", ("1700 mm²",), ("2.6 in²",)),
    )
    text = (
        "An even slab {thickness} thick stands on posts, so both faces follow the kiln at {rate}. Heat "
        "spreads in glass by {spread} an hour, and the middle is behind the faces by rate × L² / (2 × this "
        "spread), with L from the middle to a face. By how much?"
    )
    dimension = "temperature_difference"
    tolerance = Tolerance(relative=0.02)
    low, high = 0.5, 10.0
    hints = (
        "L is the way the heat has to go: from a face to the middle.",
        "Square L before you multiply, with L in the same unit as the spread.",
        "Then divide by twice the spread.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the lag [K]."""
        return self._lag(numbers, numbers["thickness"] / 2)

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [K]."""
        return {
            "thickness for half of it": Slip(
                self._lag(numbers, numbers["thickness"]),
                "You get this with the whole thickness for L: heat comes from both faces, L is half of it.",
            ),
            "two forgotten": Slip(
                2 * self.value(numbers),
                "You get this if you divide by the spread: divide by twice the spread.",
            ),
            "halved twice": Slip(
                self._lag(numbers, numbers["thickness"] / 4),
                "You get this with a quarter of the thickness for L: L is half of it.",
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        half = numbers.show.text(numbers["thickness"] / 2, "length")
        square = numbers.show.text((numbers["thickness"] / 2) ** 2, "area", like=1e-6)  # mm², as the spread
        return [
            f"L = {texts['thickness']} / 2 = {half}; L² = {square}.",
            f"Lag: {texts['rate']} × {square} / (2 × {texts['spread']} an hour).",
        ]

    def _lag(self, numbers: Numbers, way: float) -> float:
        return float(annealing.slab_lag(numbers["rate"], way, numbers["spread"] / _HOUR))


QUESTIONS = (Length(), OtherController(), Thicker(), FirstUnsafe(), AnnealHold(), Lag())
