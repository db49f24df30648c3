"""Exercises of lesson 6, the whole piece: four that join lessons, and three on a kiln's log."""

import math

from kilncalc.cutting import Allowance, blank_size
from kilncalc.exercises._firing_log import ON_THE_LOG
from kilncalc.exercises._questions import Given, Numbers, Question, Slip, Tolerance
from kilncalc.holes import hanging_load
from kilncalc.volume import sheet_mass

_GRAVITY = 9.80665  # m/s2


class AsCut(Question):
    """What the sheets of a piece weigh as they are cut: lessons 2 and 3."""

    key = "6.1"
    title = "from the finished size to the scales"
    minutes = 7
    given = (
        Given("length", "length", ("240 mm", "250 mm", "260 mm"), ("9 1/2 in", "10 in", "10 1/2 in")),
        Given("width", "length", ("180 mm", "170 mm"), ("7 in", "6 1/2 in")),
        Given("draw_in", "length", ("2 mm", "2.5 mm"), ("3/32 in", "1/8 in")),
        Given("trim", "length", ("1.5 mm", "2 mm"), ("1/16 in", "3/32 in")),
        Given("sheets", "count", ("2", "3")),
        Given("thickness", "length", ("3.4 mm", "3.2 mm"), ("0.134 in", "0.126 in")),
        Given("density", "density", ("2.5 g/cm3",), ("1.445 oz/in3",)),
    )
    text = (
        "A tray is to be {length} by {width} when it is finished. In the kiln each edge draws in by "
        "{draw_in}, and {trim} are ground off each edge afterwards. It is made of {sheets} sheets that "
        "measure {thickness} each; the glass weighs {density}. How much do the sheets weigh as you cut them?"
    )
    dimension = "mass"
    tolerance = Tolerance(relative=0.005)
    low, high = 0.5, 2.0
    hints = (
        "What is lost comes off at both ends: length and width each lose it twice.",
        "Draw-in and trim add up. Cut that much larger, then take area, thickness and density.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return what the sheets weigh as cut [kg]."""
        lost = Allowance(numbers["draw_in"], numbers["trim"])
        return self._mass(numbers, *blank_size(numbers["length"], numbers["width"], lost))

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [kg]."""
        length, width = numbers["length"], numbers["width"]
        once = numbers["draw_in"] + numbers["trim"]
        return {
            "finished size": Slip(
                self._mass(numbers, length, width),
                "You get this for the finished size. Sheets are cut larger: what draws in and what is ground "
                "off has to be there first.",
            ),
            "one edge only": Slip(
                self._mass(numbers, length + once, width + once),
                "You get this if length and width lose at one end only: a piece has an edge at either end.",
            ),
            "one sheet": Slip(
                self.value(numbers) / numbers["sheets"], "This is one sheet. How many are there?"
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        show, texts = numbers.show, numbers.texts
        lost = Allowance(numbers["draw_in"], numbers["trim"])
        length, width = blank_size(numbers["length"], numbers["width"], lost)
        both = show.text(2 * (numbers["draw_in"] + numbers["trim"]), "length")
        long, wide = show.text(float(length), "length"), show.text(float(width), "length")
        one = show.text(self.value(numbers) / numbers["sheets"], "mass")
        return [
            f"Each side loses {texts['draw_in']} and {texts['trim']} at either end, {both} in all.",
            f"So the sheets are cut {long} by {wide}.",
            f"One of them weighs {long} × {wide} × {texts['thickness']} × {texts['density']} = {one}.",
            f"{texts['sheets']} of them lie on each other.",
        ]

    def _mass(self, numbers: Numbers, length: float, width: float) -> float:
        one = sheet_mass(float(length) * float(width), numbers["thickness"], numbers["density"])
        return float(numbers["sheets"] * one)


class OtherSize(Question):
    """What grows with the drawing and what does not: lessons 2, 3 and 4."""

    key = "6.2"
    title = "the same piece, another size"
    minutes = 6
    given = (
        Given("length", "length", ("240 mm",), ("9 1/2 in",)),
        Given("mass", "mass", ("860 g", "820 g", "780 g"), ("30 oz", "29 oz", "28 oz")),
        Given(
            "longer",
            "length",
            ("300 mm", "360 mm", "330 mm", "192 mm"),
            ("12 in", "14 in", "13 in", "7 1/2 in"),
        ),
    )
    text = (
        "A tray {length} long takes {mass} of glass. Somebody orders the same drawing, {longer} long, made "
        "of the same sheets. How much glass does that one take?"
    )
    dimension = "mass"
    tolerance = Tolerance(relative=0.01)
    low, high = 0.3, 2.5
    hints = (
        "How many times as long is it? It is as many times as wide, too.",
        "And how many times as thick? A sheet is a sheet.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the mass of the larger one [kg]."""
        return self._grown(numbers, 2)

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [kg]."""
        return {
            "only longer": Slip(
                self._grown(numbers, 1), "You get this if only its length changes: its width does so too."
            ),
            "thickness too": Slip(
                self._grown(numbers, 3),
                "You get this if the thickness changes as well. It is made of the same sheets, and so it "
                "also keeps its schedule. A casting would go with the cube.",
            ),
            "upside down": Slip(
                self._grown(numbers, -2),
                "You get this upside down: divide the new length by the old.",
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        times = numbers["longer"] / numbers["length"]
        return [
            f"It is {texts['longer']} / {texts['length']} = {times:.4g} times as long, and as wide.",
            f"Its area is {times:.4g} × {times:.4g} = {times**2:.4g} times as large, and it is as thick "
            "as before.",
            f"So it takes {times**2:.4g} × {texts['mass']}. The rates stay: they go with the thickness.",
        ]

    def _grown(self, numbers: Numbers, power: int) -> float:
        return float(numbers["mass"] * (numbers["longer"] / numbers["length"]) ** power)


class KilnBusy(Question):
    """How long a class keeps the kiln busy: lessons 3 and 4."""

    key = "6.3"
    title = "the class and the one kiln"
    minutes = 6
    given = (
        Given("students", "count", ("11", "10")),
        Given("shelf", "count", ("4", "3")),
        Given("fuse", "time", ("20 h 50 min", "19 h 30 min", "21 h 40 min")),
        Given("slump", "time", ("15 h", "14 h 20 min")),
    )
    text = (
        "Each of {students} students makes a tray; {shelf} fit on the shelf. A tray is tack-fused, which "
        "takes {fuse} from cold to cold, and later slumped, which takes {slump}. How long is the kiln busy "
        "in all?"
    )
    dimension = "time"
    tolerance = Tolerance(relative=0.01)
    low, high = 90 * 3600.0, 160 * 3600.0
    hints = (
        "How many loads are there? The last one may be half empty, and takes as long.",
        "Every load is fired twice.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return how long the kiln is busy [s]."""
        return math.ceil(numbers["students"] / numbers["shelf"]) * self._both(numbers)

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [s]."""
        loads = numbers["students"] / numbers["shelf"]
        return {
            "a part of a load": Slip(
                loads * self._both(numbers),
                "You get this if a load that is not full takes less time: one tray takes as long.",
            ),
            "the last ones left out": Slip(
                math.floor(loads) * self._both(numbers),
                "You get this if you round down: then some trays are never fired.",
            ),
            "fused only": Slip(
                math.ceil(loads) * numbers["fuse"],
                "You get this without the slump: every load is fired twice.",
            ),
            "one load": Slip(
                self._both(numbers), "This is one load. Not all trays fit on the shelf at once."
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts, show = numbers.texts, numbers.show
        loads = numbers["students"] / numbers["shelf"]
        return [
            f"{texts['students']} trays, {texts['shelf']} on a shelf: {loads:.3g}, so "
            f"{math.ceil(loads)} loads.",
            f"Each is in the kiln for {texts['fuse']} and {texts['slump']}, "
            f"{show.text(self._both(numbers), 'time')} together.",
            f"{math.ceil(loads)} loads take {math.ceil(loads)} times as long.",
        ]

    def _both(self, numbers: Numbers) -> float:
        return numbers["fuse"] + numbers["slump"]


class TriedWith(Question):
    """With what weight a fixing is tried: lessons 2, 3b and 5."""

    key = "6.4"
    title = "what a fixing is tried with"
    minutes = 8
    given = (
        Given("length", "length", ("250 mm", "260 mm", "240 mm"), ("10 in", "9 1/2 in", "10 1/2 in")),
        Given("width", "length", ("170 mm",), ("6 1/2 in",)),
        Given("thickness", "length", ("6.4 mm", "6.8 mm"), ("1/4 in", "0.27 in")),
        Given("density", "density", ("2.5 g/cm3",), ("1.445 oz/in3",)),
        Given("hollow", "volume", ("300 ml", "250 ml"), ("10 US fl oz", "8 US fl oz")),
        Given("times", "count", ("4", "3")),
    )
    text = (
        "A wall pocket for flowers is {length} by {width} and {thickness} thick, of glass of {density}. Its "
        "hollow holds {hollow}, and somebody will water the flowers. It hangs on two fixings, one on either "
        "side of the middle. You try a fixing on a board with {times} times what it will carry. How much "
        "weight do you hang on it?"
    )
    dimension = "mass"
    tolerance = Tolerance(relative=0.01)
    low, high = 0.8, 3.0
    hints = (
        "The glass first: volume times density. Then the water: a millilitre weighs a gram, a US fluid ounce "
        "1.04 oz.",
        "Two fixings share it, half each. Then the margin.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the weight to hang on one fixing [kg]."""
        hung = hanging_load(self._glass(numbers), numbers["hollow"], 0.1, 0.1)
        return numbers["times"] * hung.left / _GRAVITY

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [kg]."""
        right = self.value(numbers)
        return {
            "empty": Slip(
                numbers["times"] * self._glass(numbers) / 2,
                "You get this for the empty pocket. What can fill, will be full one day: count the water.",
            ),
            "both fixings": Slip(2 * right, "This is for both fixings together. Each carries half."),
            "no margin": Slip(
                right / numbers["times"],
                "This is what a fixing carries in use. It is tried with a multiple of that.",
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts, show = numbers.texts, numbers.show
        glass = self._glass(numbers)
        full = 2 * self.value(numbers) / numbers["times"]
        return [
            f"The glass: {texts['length']} × {texts['width']} × {texts['thickness']} × {texts['density']} = "
            f"{show.text(glass, 'mass')}.",
            f"With {show.text(full - glass, 'mass')} of water that is {show.text(full, 'mass')}.",
            f"A fixing carries half of it, {show.text(full / 2, 'mass')}; it is tried with "
            f"{texts['times']} times that.",
        ]

    def _glass(self, numbers: Numbers) -> float:
        area = numbers["length"] * numbers["width"]
        return float(sheet_mass(area, numbers["thickness"], numbers["density"]))


QUESTIONS = (AsCut(), OtherSize(), KilnBusy(), TriedWith(), *ON_THE_LOG)
