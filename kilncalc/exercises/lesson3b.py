"""The exercises of lesson 3b: a blank that draws in, ten degrees, the climb, a trapped rim, water, fines."""

from kilncalc.exercises._questions import Given, Numbers, Question, Slip, Tolerance
from kilncalc.quantities import INCH

_TRAPPED = 512 / 9 / 25.6
"""How much longer a trapped rim takes, over the square of drop over thickness [-]."""


class Blank(Question):
    """Both edges draw in, both are trimmed."""

    key = "3b.1"
    title = "the strip for the banner's sleeve"
    minutes = 6
    given = (
        Given("finished", "length", ("54 mm", "56 mm", "60 mm", "62 mm"), ("2 in", "2 1/4 in", "2 1/2 in")),
        Given("draw_in", "length", ("2.2 mm", "2.4 mm", "2.6 mm", "3 mm"), ("0.09 in", "0.1 in", "0.12 in")),
        Given("trim", "length", ("1 mm",), ("1/32 in",)),
    )
    text = (
        "A strip is draped over a former to make the banner's sleeve. Finished it is to be {finished} wide. "
        "While it folds down, each edge draws in {draw_in}; afterwards each edge is ground back by "
        "{trim}. How wide is the strip cut?"
    )
    dimension = "length"
    tolerance = Tolerance(absolute=0.3e-3, inches=INCH / 100)
    low, high = 0.050, 0.080
    hints = (
        "How many edges hang down?",
        "The strip loses width twice: in the kiln and at the grinder.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the width [m]."""
        return numbers["finished"] + 2 * (numbers["draw_in"] + numbers["trim"])

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [m]."""
        finished, draw_in, trim = (numbers[name] for name in ("finished", "draw_in", "trim"))
        return {
            "one edge": Slip(
                finished + draw_in + trim,
                "You get this if one edge draws in: the strip hangs down on both sides of the former.",
            ),
            "trim forgotten": Slip(
                finished + 2 * draw_in,
                "You get this without the grinding: what is ground off has to be there first.",
            ),
            "taken off": Slip(
                finished - 2 * (draw_in + trim),
                "You get this if you take the losses off: the strip is cut wider than it ends.",
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts, show = numbers.texts, numbers.show
        edge = numbers["draw_in"] + numbers["trim"]
        return [
            f"Each edge loses {texts['draw_in']} in the kiln and {texts['trim']} at the grinder: "
            f"{show.text(edge, 'length')}.",
            f"Both edges: 2 × {show.text(edge, 'length')} = {show.text(2 * edge, 'length')}.",
            f"To cut: {texts['finished']} + {show.text(2 * edge, 'length')}.",
        ]


class Cooler(Question):
    """The same form cooler: each ten degrees multiply the time."""

    key = "3b.2"
    title = "the same form, cooler"
    minutes = 8
    given = (
        Given("minutes", "time", ("8 min", "10 min", "12 min")),
        Given("hot", "temperature", ("680 °C", "690 °C"), ("1256 °F", "1274 °F")),
        Given("fall", "temperature_difference", ("20 °C", "30 °C"), ("36 °F", "54 °F")),
        Given("step", "temperature_difference", ("10 °C",), ("18 °F",)),
        Given("factor", "ratio", ("1.6", "1.65", "1.55")),
    )
    text = (
        "A drape is right after {minutes} at {hot}. You want to fire it {fall} cooler, where there is "
        "time to look. Near there every {step} cooler multiply the time by {factor}. How long does the "
        "same form take?"
    )
    dimension = "time"
    tolerance = Tolerance(relative=0.03)
    low, high = 900.0, 3600.0
    hints = (
        "How many steps is it cooler?",
        "Each step multiplies what the step before has given.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the time [s]."""
        return numbers["minutes"] * numbers["factor"] ** self._steps(numbers)

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [s]."""
        hold, factor, steps = numbers["minutes"], numbers["factor"], self._steps(numbers)
        return {
            "degrees ignored": Slip(
                hold, "You get this if the temperature does not matter: cooler glass is stiffer and slower."
            ),
            "one step": Slip(
                hold * factor, "You get this for a single step: count how many steps cooler it is."
            ),
            "turned round": Slip(
                hold / factor**steps, "You get this if cooler glass is faster: it is the other way round."
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts, steps = numbers.texts, round(self._steps(numbers))
        powers = " × ".join([texts["factor"]] * steps)
        return [
            f"{texts['fall']} are {steps} steps of {texts['step']}.",
            f"Time: {texts['minutes']} × {powers}.",
        ]

    def _steps(self, numbers: Numbers) -> float:
        return numbers["fall"] / numbers["step"]


class Climb(Question):
    """What to set on the controller: the climb has done a part of it."""

    key = "3b.3"
    title = "the hold that is left for the controller"
    minutes = 6
    given = (
        Given("needed", "time", ("22 min", "28 min", "18 min", "25 min")),
        Given("hot", "temperature", ("665 °C", "670 °C"), ("1229 °F", "1238 °F")),
        Given(
            "at_rate",
            "time",
            ("5.6 min", "5.5 min"),
        ),
        Given("rate", "rate", ("200 °C/h",), ("360 °F/h",)),
        Given("yours", "rate", ("100 °C/h", "400 °C/h"), ("180 °F/h", "720 °F/h")),
    )
    text = (
        "To lie down in its mould a tray takes {needed} at {hot}. A climb to there at {rate} counts as "
        "much as {at_rate} of hold. Your kiln climbs at {yours}; at half the rate a climb counts twice as "
        "much. What hold do you set?"
    )
    dimension = "time"
    tolerance = Tolerance(absolute=30.0)
    low, high = 300.0, 1620.0
    hints = (
        "The glass already flows on the way up: that part need not be held for.",
        "A slower climb lasts longer in the hot end. How much does yours count?",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the hold [s]."""
        return numbers["needed"] - self._counted(numbers)

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [s]."""
        needed, counted = numbers["needed"], self._counted(numbers)
        return {
            "climb forgotten": Slip(
                needed, "You get this if the climb counts for nothing: the tray would get too much."
            ),
            "another kiln's climb": Slip(
                needed - numbers["at_rate"], "You get this for the climb as stated: yours is another rate."
            ),
            "climb added": Slip(
                needed + counted,
                "You get this if the climb adds to the hold: it has done a part of the work.",
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts, show = numbers.texts, numbers.show
        counted = show.text(self._counted(numbers), "time", like=600.0)
        return [
            f"Your climb counts {texts['at_rate']} × {texts['rate']} / {texts['yours']} = {counted}.",
            f"Left to hold: {texts['needed']} - {counted}.",
        ]

    def _counted(self, numbers: Numbers) -> float:
        return numbers["at_rate"] * numbers["rate"] / numbers["yours"]


class Trapped(Question):
    """A rim that cannot slide: the sheet has to stretch."""

    key = "3b.4"
    title = "a rim that cannot slide"
    minutes = 8
    given = (
        Given("free", "time", ("12 s", "15 s", "20 s")),
        Given("drop", "length", ("20 mm", "25 mm", "15 mm"), ("3/4 in", "1 in", "5/8 in")),
        Given("thickness", "length", ("6 mm", "5 mm"), ("1/4 in", "3/16 in")),
    )
    text = (
        "A strip {thickness} thick sinks {drop} between two long ledges, over which it slides, in {free}. "
        "Now its rims are trapped under weights, so that it must stretch: that takes 2.2 × (drop / "
        "thickness)² times as long. How long?"
    )
    dimension = "time"
    tolerance = Tolerance(relative=0.03)
    low, high = 120.0, 1500.0
    hints = (
        "How many thicknesses does it drop?",
        "That number counts squared.",
        "Seconds become minutes: divide by 60.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the time [s]."""
        return numbers["free"] * _TRAPPED * self._drops(numbers) ** 2

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [s]."""
        free, drops = numbers["free"], self._drops(numbers)
        return {
            "free ledge": Slip(free, "You get this for rims that slide: these are trapped."),
            "not squared": Slip(
                free * _TRAPPED * drops, "You get this if drop over thickness counts once: it is squared."
            ),
            "factor left out": Slip(
                free * drops**2, "You get this without the factor of 2.2 before the bracket."
            ),
            "minutes for seconds": Slip(
                60 * self.value(numbers), "You get this if the seconds are taken for minutes."
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts, drops = numbers.texts, self._drops(numbers)
        return [
            f"Drop over thickness: {texts['drop']} / {texts['thickness']} = {drops:.3g}.",
            f"Squared and times 2.2: {_TRAPPED * drops**2:.3g}.",
            f"Time: {texts['free']} × {_TRAPPED * drops**2:.3g}.",
        ]

    def _drops(self, numbers: Numbers) -> float:
        return numbers["drop"] / numbers["thickness"]


class Water(Question):
    """The hollow is more than the former: the open ramps beside it hold water too."""

    key = "3b.5"
    title = "what a full sleeve weighs"
    minutes = 10
    given = (
        Given("wide", "length", ("18 mm", "16 mm", "20 mm"), ("3/4 in", "5/8 in")),
        Given("high", "length", ("9 mm", "8 mm"), ("3/8 in", "5/16 in")),
        Given("ramp", "length", ("13 mm", "14 mm", "15 mm"), ("1/2 in", "9/16 in")),
        Given("length", "length", ("150 mm", "140 mm", "160 mm"), ("6 in", "5 3/4 in")),
        Given("density", "density", ("1 g/cm³",), ("0.577 oz/in³",)),
    )
    text = (
        "The former of a sleeve is {wide} wide and {high} high. When it is out, the hollow is a rectangle of "
        "that size with an open corner on either side: a triangle as high as the former and {ramp} wide. The "
        "sleeve is {length} long, and somebody stops one end and stands flowers in it. Water weighs "
        "{density}. What does the water weigh?"
    )
    dimension = "mass"
    tolerance = Tolerance(relative=0.03)
    low, high = 0.020, 0.080
    hints = (
        "Draw the section: a rectangle and two triangles.",
        "A triangle is half of its width times its height; there are two.",
        "Section times length is the volume; times the density, the weight.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the weight [kg]."""
        return self._weight(numbers, 1.0)

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [kg]."""
        return {
            "former only": Slip(
                self._weight(numbers, 0.0),
                "You get this for the former alone: beside it the corners are open too.",
            ),
            "one corner": Slip(
                self._weight(numbers, 0.5), "You get this with one open corner: there is one on either side."
            ),
            "triangle not halved": Slip(
                self._weight(numbers, 2.0), "You get this if the corners are rectangles: a triangle is half."
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts, show = numbers.texts, numbers.show
        section = self._section(numbers, 1.0)
        volume = section * numbers["length"]
        return [
            f"Section: {texts['wide']} × {texts['high']} + 2 × {texts['ramp']} × {texts['high']} / 2 = "
            f"{show.text(section, 'area')}.",
            f"Volume: × {texts['length']} = {show.text(volume, 'volume')}.",
            f"Weight: × {texts['density']}.",
        ]

    def _section(self, numbers: Numbers, corners: float) -> float:
        return (numbers["wide"] + corners * numbers["ramp"]) * numbers["high"]

    def _weight(self, numbers: Numbers, corners: float) -> float:
        return self._section(numbers, corners) * numbers["length"] * numbers["density"]


class Fines(Question):
    """Necks grow with the root of time over size: fines stick first and melt first."""

    key = "3b.6"
    title = "which grains melt flat"
    minutes = 8
    given = (
        Given("size", "length", ("3 mm", "2 mm", "4 mm"), ("1/8 in", "3/32 in", "5/32 in")),
        Given("time", "time", ("12 min", "15 min", "10 min")),
        Given("fine", "length", ("0.3 mm", "0.2 mm", "0.5 mm"), ("0.012 in", "0.016 in", "0.01 in")),
        Given("times", "count", ("100",)),
    )
    text = (
        "In a firing grains {size} across just stick to each other after {time} at the top. Grains of any "
        "size stick, and melt, in a time that goes with their size: half as large, half as long. To melt "
        "flat takes {times} times as long as to stick. After what time have fines of {fine} melted flat?"
    )
    dimension = "time"
    tolerance = Tolerance(relative=0.03)
    low, high = 1500.0, 25000.0
    hints = (
        "When do the fines stick? They are smaller, so it is sooner.",
        "And from sticking to melting?",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the time [s]."""
        return numbers["time"] * numbers["fine"] / numbers["size"] * numbers["times"]

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [s]."""
        right, small = self.value(numbers), numbers["fine"] / numbers["size"]
        return {
            "only stuck": Slip(
                right / numbers["times"], "By then they stick; to melt flat they need longer."
            ),
            "size ignored": Slip(right / small, "You get this for the large grains: fines are faster."),
            "size turned round": Slip(
                right / small**2, "You get this if small grains are slower: it is the other way round."
            ),
            "size squared": Slip(
                right * small, "You get this if half the size took a quarter of the time: it takes half."
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts, show = numbers.texts, numbers.show
        stuck = numbers["time"] * numbers["fine"] / numbers["size"]
        return [
            f"Stuck: {texts['time']} × {texts['fine']} / {texts['size']} = {show.text(stuck, 'time')}.",
            f"Melted flat: × {texts['times']}.",
        ]


QUESTIONS = (Blank(), Cooler(), Climb(), Trapped(), Water(), Fines())
