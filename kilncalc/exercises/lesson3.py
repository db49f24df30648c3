"""The exercises of lesson 3: how many layers, how large a blank, how many from a sheet."""

from math import floor, pi, sqrt

from kilncalc import cutting, layers, settling, workshop
from kilncalc.exercises._questions import Given, Numbers, Question, Slip, Tolerance
from kilncalc.quantities import INCH

_WHOLE = Tolerance(absolute=0.3)


class TrayFrame(Question):
    """A height with glass in it, from paper that is thicker than its name."""

    key = "3.1"
    title = "the paper frame that the tray slumps into"
    minutes = 8
    given = (
        Given("depth", "length", ("25.4 mm", "25.2 mm", "25.3 mm"), ("1 1/32 in", "1 in")),
        Given("face", "length", ("6.2 mm", "6 mm", "6.3 mm"), ("1/4 in", "0.24 in")),
        Given("nominal", "length", ("3 mm",), ("1/8 in",)),
        Given("measured", "length", ("3.8 mm", "3.7 mm", "3.85 mm"), ("0.15 in", "0.152 in", "0.148 in")),
    )
    text = (
        "The relief tray slumps into a frame stacked from fibre paper: its rim lies on the frame, its floor "
        "sinks to the shelf. Finished it is to stand {depth} high, measured over the rim, where the glass is "
        "{face} thick. The paper is sold as {nominal}; a layer of it measures {measured}. How many layers "
        "come nearest?"
    )
    dimension = "count"
    tolerance = _WHOLE
    low, high = 4, 7
    hints = (
        "The name on the packet does not lift the glass: which thickness does?",
        "The height holds two things, the glass of the rim and the paper under it.",
        "Height of the paper divided by the measured thickness of a layer, then the nearest whole number.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the number of layers."""
        return self._count(numbers, numbers["measured"], numbers["face"])

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives."""
        return {
            "nominal for measured": Slip(
                self._count(numbers, numbers["nominal"], numbers["face"]),
                "You get this with the thickness the paper is sold as: take what a layer measures.",
            ),
            "rim forgotten": Slip(
                self._count(numbers, numbers["measured"], 0.0),
                "You get this if paper fills all of the height: the rim takes up its own thickness.",
            ),
            "nominal, and rim forgotten": Slip(
                self._count(numbers, numbers["nominal"], 0.0),
                "Two things at once: the rim takes up its own thickness, and a layer measures more than the "
                "packet says.",
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        room = numbers["depth"] - numbers["face"]
        shown = numbers.show.text(room, "length")
        exact = room / numbers["measured"]
        found = layers.paper_layers(numbers["depth"], numbers["measured"], face=numbers["face"]).nearest
        return [
            f"Left for the paper: {texts['depth']} - {texts['face']} = {shown}.",
            f"Layers: {shown} / {texts['measured']} = {exact:.2f}, nearest whole number {found.count}.",
            f"They make {numbers.show.text(found.depth, 'length')}.",
        ]

    def _count(self, numbers: Numbers, thickness: float, face: float) -> float:
        return float(layers.paper_layers(numbers["depth"], thickness, face=face).nearest.count)


class SleeveFormer(Question):
    """The height that a whole number of layers really gives."""

    key = "3.2"
    title = "the former of the banner's sleeve"
    minutes = 6
    given = (
        Given("height", "length", ("8.8 mm", "8.5 mm", "8.7 mm"), ("11/32 in", "0.34 in", "0.35 in")),
        Given("nominal", "length", ("2 mm",), ("5/64 in",)),
        Given("measured", "length", ("2.35 mm", "2.25 mm", "2.4 mm"), ("0.09 in", "0.088 in", "0.092 in")),
    )
    text = (
        "The rod of the banner needs a sleeve at least {height} high inside. Its former is stacked from "
        "fibre paper sold as {nominal}; a layer measures {measured}. How high is the lowest former that is "
        "high enough?"
    )
    dimension = "length"
    tolerance = Tolerance(absolute=0.1e-3, inches=0.005 * INCH)
    low, high = 8e-3, 12e-3
    hints = (
        "There is no such thing as a part of a layer.",
        "At least means that the number of layers is rounded up.",
        "Number of layers times the measured thickness of one.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the height of the former [m]."""
        return layers.paper_layers(numbers["height"], numbers["measured"]).up.depth

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [m]."""
        by_name = layers.paper_layers(numbers["height"], numbers["nominal"]).up
        return {
            "rounded down": Slip(
                layers.paper_layers(numbers["height"], numbers["measured"]).down.depth,
                "You get this with one layer less: then the sleeve is too low for its rod.",
            ),
            "counted by the nominal thickness": Slip(
                by_name.count * numbers["measured"],
                "You get this if the layers are counted by what the paper is sold as: one layer too many.",
            ),
            "nominal for measured": Slip(
                by_name.depth, "You get this if every layer were as thick as the packet says: measure one."
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        exact = numbers["height"] / numbers["measured"]
        count = layers.paper_layers(numbers["height"], numbers["measured"]).up.count
        return [
            f"Layers: {texts['height']} / {texts['measured']} = {exact:.2f}.",
            f"High enough means rounding up: {count} layers.",
            f"Height: {count} × {texts['measured']}.",
        ]


class TrayBlank(Question):
    """Both edges, and both allowances."""

    key = "3.3"
    title = "the blank of the relief tray"
    minutes = 6
    given = (
        Given("length", "length", ("238 mm", "234 mm", "236 mm"), ("9 1/2 in", "9 3/4 in", "9 1/4 in")),
        Given("draw_in", "length", ("3.5 mm", "4 mm", "4.5 mm"), ("3/16 in", "7/32 in")),
        Given("trim", "length", ("1.5 mm", "1 mm", "1.8 mm"), ("1/16 in",)),
    )
    text = (
        "The relief tray is to be {length} long when it is finished. In the kiln each edge draws in by "
        "{draw_in}; afterwards {trim} is ground off each edge. How long must the blank be cut?"
    )
    dimension = "length"
    tolerance = Tolerance(absolute=0.5e-3, inches=INCH / 32)
    low, high = 0.2, 0.3
    hints = (
        "A blank has two ends, and the same happens to both.",
        "Each end loses what draws in and what is ground off.",
        "What is lost must be added, so that it can be lost.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the length to cut [m]."""
        return self._cut(numbers, numbers["draw_in"], numbers["trim"], 2)

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [m]."""
        draw_in, trim = numbers["draw_in"], numbers["trim"]
        return {
            "one edge for two": Slip(
                self._cut(numbers, draw_in, trim, 1),
                "You get this with the allowance of one edge: the blank loses it at both ends.",
            ),
            "trimming forgotten": Slip(
                self._cut(numbers, draw_in, 0.0, 2),
                "You get this if nothing is ground off afterwards: grinding takes its share of each edge.",
            ),
            "draw-in forgotten": Slip(
                self._cut(numbers, 0.0, trim, 2),
                "You get this if the edges stay where they were: in the kiln they draw in.",
            ),
            "taken away instead of added": Slip(
                2 * numbers["length"] - self.value(numbers),
                "You get this if the allowances are taken away: the blank must be larger than the tray.",
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        each = numbers.show.text(numbers["draw_in"] + numbers["trim"], "length")
        return [
            f"Each end loses {texts['draw_in']} + {texts['trim']} = {each}.",
            f"There are two ends: {texts['length']} + 2 × {each}.",
        ]

    def _cut(self, numbers: Numbers, draw_in: float, trim: float, edges: int) -> float:
        allowance = cutting.Allowance(draw_in, trim, edges)
        return float(cutting.blank_size(numbers["length"], 0.1, allowance)[0])


class FramedTray(Question):
    """Thickness after a full fuse, from the volume."""

    key = "3.4"
    title = "a framed tray, fused flat"
    minutes = 10
    given = (
        Given("length", "length", ("250 mm", "245 mm"), ("9 1/2 in", "10 in")),
        Given("width", "length", ("190 mm", "185 mm"), ("7 in", "7 1/2 in")),
        Given("strip", "length", ("22 mm", "20 mm"), ("3/4 in", "7/8 in")),
        Given("nominal", "length", ("3 mm",), ("1/8 in",)),
        Given("thickness", "length", ("3.4 mm", "3.5 mm", "3.6 mm"), ("0.14 in", "0.142 in", "0.141 in")),
    )
    text = (
        "A tray of two sheets, {length} by {width}, carries a frame of strips {strip} wide along all four "
        "edges, one layer high. All of the glass is sold as {nominal} and measures {thickness}. Inside dams "
        "of the same outline it is fused until it is level. How thick is it then?"
    )
    dimension = "length"
    tolerance = Tolerance(relative=0.01)
    low, high = 7e-3, 10e-3
    hints = (
        "Glass does not vanish: its volume is the same before and after.",
        "The frame covers the whole outline less the bare field in the middle. How large is that field?",
        "Thickness at the end = two sheets + one more layer × the share of the area that the frame covers.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the thickness [m]."""
        return self._level(numbers, 2, self._frame(numbers, 2), numbers["thickness"])

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [m]."""
        thickness, frame = numbers["thickness"], self._frame(numbers, 2)
        return {
            "nominal for measured": Slip(
                self._level(numbers, 2, frame, numbers["nominal"]),
                "You get this for glass as thick as it is sold: take what it measures.",
            ),
            "one strip's width for two": Slip(
                self._level(numbers, 2, self._frame(numbers, 1), thickness),
                "You get this if the bare field is smaller by one strip: there is a strip on either side.",
            ),
            "frame taken for a sheet": Slip(
                self._level(numbers, 2, numbers["length"] * numbers["width"], thickness),
                "You get this for three whole sheets: the frame covers only a part.",
            ),
            "one sheet for two": Slip(
                self._level(numbers, 1, frame, thickness),
                "You get this with one sheet under the frame: there are two.",
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        inner = [numbers[side] - 2 * numbers["strip"] for side in ("length", "width")]
        share = self._frame(numbers, 2) / (numbers["length"] * numbers["width"])
        field = " × ".join(numbers.show.text(side, "length") for side in inner)
        return [
            f"The bare field in the middle is {field}.",
            f"Share of the frame: 1 - ({field}) / ({texts['length']} × {texts['width']}) = {share:.3f}.",
            f"Level: (2 + {share:.3f}) × {texts['thickness']}.",
        ]

    def _frame(self, numbers: Numbers, strips: int) -> float:
        length, width, strip = (numbers[name] for name in ("length", "width", "strip"))
        return length * width - (length - strips * strip) * (width - strips * strip)

    def _level(self, numbers: Numbers, sheets: int, frame: float, thickness: float) -> float:
        area = numbers["length"] * numbers["width"]
        return float(settling.fused_thickness((sheets * area + frame) * thickness, area))


class SignBlanks(Question):
    """How many blanks a sheet gives when a saw takes its kerf."""

    key = "3.5"
    title = "blanks sawn from a streaky sheet"
    minutes = 8
    given = (
        Given("sheet_length", "length", ("500 mm",), ("20 in",)),
        Given("sheet_width", "length", ("450 mm", "440 mm", "445 mm"), ("18 in", "17 3/4 in", "17 1/2 in")),
        Given("blank_length", "length", ("124 mm", "125 mm"), ("5 in",)),
        Given("blank_width", "length", ("95 mm", "96 mm"), ("3 7/8 in", "3 3/4 in")),
        Given("kerf", "length", ("3 mm", "2.5 mm"), ("1/8 in", "3/32 in")),
    )
    text = (
        "Blanks of {blank_length} by {blank_width} are sawn from a streaky sheet of {sheet_length} by "
        "{sheet_width}. The streaks must run along every blank, so all lie with their length along the "
        "length of the sheet. Each cut takes {kerf}. How many blanks does the sheet give?"
    )
    dimension = "count"
    tolerance = _WHOLE
    low, high = 8, 18
    hints = (
        "Count along the length first, then along the width: glass cannot be moved from one row to another.",
        "Between two blanks a cut is lost; after the last one none is needed.",
        "n blanks need n times their size and n - 1 cuts. What is the largest n that fits?",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the number of blanks."""
        return self._rows(numbers, "blank_length", "blank_width", numbers["kerf"])

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives."""
        sheet = numbers["sheet_length"] * numbers["sheet_width"]
        return {
            "saw cuts forgotten": Slip(
                self._rows(numbers, "blank_length", "blank_width", 0.0),
                "You get this if the saw takes nothing: each cut turns a strip of glass into slurry.",
            ),
            "area for length": Slip(
                floor(sheet / (numbers["blank_length"] * numbers["blank_width"])),
                "You get this by dividing areas: what is left at the ends of rows cannot be put together.",
            ),
            "turned across the streaks": Slip(
                self._rows(numbers, "blank_width", "blank_length", numbers["kerf"]),
                "You get this with the blanks turned by a quarter: the streaks would run across them.",
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts, kerf = numbers.texts, numbers.texts["kerf"]
        along = self._along(numbers["sheet_length"], numbers["blank_length"], numbers["kerf"])
        across = self._along(numbers["sheet_width"], numbers["blank_width"], numbers["kerf"])
        return [
            "Count one cut with every blank, and lend the sheet one cut more for the last.",
            f"Along: ({texts['sheet_length']} + {kerf}) / ({texts['blank_length']} + {kerf}) gives {along}.",
            f"Across: ({texts['sheet_width']} + {kerf}) / ({texts['blank_width']} + {kerf}) gives {across}.",
            f"Blanks: {along} × {across}.",
        ]

    def _rows(self, numbers: Numbers, along: str, across: str, kerf: float) -> float:
        in_a_row = self._along(numbers["sheet_length"], numbers[along], kerf)
        return float(in_a_row * self._along(numbers["sheet_width"], numbers[across], kerf))

    def _along(self, sheet: float, blank: float, kerf: float) -> int:
        return floor((sheet + kerf) / (blank + kerf) + 1e-9)


class RodGrid(Question):
    """A grid of rods as an even layer."""

    key = "3.6"
    title = "the grid of rods as a layer of glass"
    minutes = 8
    given = (
        Given("diameter", "length", ("2.5 mm", "2 mm", "3 mm"), ("3/32 in", "1/8 in")),
        Given("pitch", "length", ("18 mm", "12 mm", "15 mm"), ("3/4 in", "1/2 in", "5/8 in")),
    )
    text = (
        "The grid on the relief tray is laid from round rods {diameter} thick, one row each way, {pitch} "
        "from the middle of one rod to the middle of the next. If it melted to an even layer, how thick "
        "would that layer be?"
    )
    dimension = "length"
    tolerance = Tolerance(relative=0.02)
    low, high = 0.2e-3, 1.6e-3
    hints = (
        "How much glass lies on a square that is one spacing wide and one spacing long?",
        "The cross-section of a rod is a circle: π × diameter² / 4.",
        "Cross-section divided by the spacing is the layer of one row. There are two.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the thickness of the layer [m]."""
        return float(layers.rods_thickness(numbers["diameter"], numbers["pitch"], directions=2))

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [m]."""
        right = self.value(numbers)
        return {
            "one row for two": Slip(
                right / 2, "You get this for rods that lie one way only: the grid has a row each way."
            ),
            "square for round": Slip(
                right * 4 / pi,
                "You get this for square rods: a round one has only π/4 of that cross-section.",
            ),
            "diameter for radius": Slip(
                right * 4, "You get this with π × diameter²: the cross-section goes with half the diameter."
            ),
            "height for mean": Slip(
                2 * numbers["diameter"],
                "That is how high the grid stands where two rods cross: between them there is nothing.",
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        section = numbers.show.text(pi * numbers["diameter"] ** 2 / 4, "area")
        row = numbers.show.text(self.value(numbers) / 2, "length")
        return [
            f"Cross-section of a rod: π × ({texts['diameter']})² / 4 = {section}.",
            f"Spread over its spacing: {section} / ({texts['pitch']}) = {row}.",
            f"Two rows: 2 × {row}.",
        ]


class SpreadingStack(Question):
    """A thick stack without dams: area goes with the square of the side."""

    key = "3.7"
    title = "a thick stack without dams"
    minutes = 8
    given = (
        Given("side", "length", ("120 mm", "110 mm", "90 mm"), ("4 1/2 in", "5 in", "4 in")),
        Given("sheets", "count", ("4", "5")),
        Given("nominal", "length", ("3 mm",), ("1/8 in",)),
        Given("thickness", "length", ("3.4 mm", "3.3 mm", "3.5 mm"), ("0.138 in", "0.136 in", "0.14 in")),
        Given("settled", "length", ("6.2 mm", "6 mm"), ("0.24 in", "0.25 in")),
    )
    text = (
        "Somebody fuses {sheets} square sheets of {side} in a stack, without dams. Each is sold as "
        "{nominal} and measures {thickness}. On this shelf molten glass comes to rest {settled} thick. If it "
        "has time enough and stays square, how long is its side at the end? Reckon as if its edge were "
        "upright; being round, it reaches a little further."
    )
    dimension = "length"
    tolerance = Tolerance(relative=0.01)
    low, high = 0.12, 0.25
    hints = (
        "The volume stays: what the stack loses in thickness it gains in area.",
        "How many times thinner does it become? Its area grows as many times.",
        "An area that grows four times has sides that grow twice.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the side at the end [m]."""
        return self._end(numbers, numbers["sheets"] * numbers["thickness"])

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [m]."""
        stack = numbers["sheets"] * numbers["thickness"]
        return {
            "area for length": Slip(
                numbers["side"] * stack / numbers["settled"],
                "That is how many times the area grows: the side grows with its square root.",
            ),
            "nominal for measured": Slip(
                self._end(numbers, numbers["sheets"] * numbers["nominal"]),
                "You get this for sheets as thick as they are sold: take what they measure.",
            ),
            "ratio upside down": Slip(
                numbers["side"] * sqrt(numbers["settled"] / stack),
                "You get this with the ratio upside down: a stack that becomes thinner spreads.",
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        stack = numbers["sheets"] * numbers["thickness"]
        shown = numbers.show.text(stack, "length")
        settled = numbers.show.text(numbers["settled"], "length")
        ratio = stack / numbers["settled"]
        return [
            f"The stack is {texts['sheets']} × {texts['thickness']} = {shown} thick.",
            f"It becomes {shown} / {settled} = {ratio:.3f} times thinner, its area so much larger.",
            f"The side grows √{ratio:.3f} = {sqrt(ratio):.3f} times: {texts['side']} × {sqrt(ratio):.3f}.",
        ]

    def _end(self, numbers: Numbers, stack: float) -> float:
        side = numbers["side"]
        return settling.settled_size(side, side, stack, numbers["settled"]).length


class FritForTheClass(Question):
    """What sieving takes away comes off what is crushed, not off what is wanted."""

    key = "3.8"
    title = "frit for the whole class"
    minutes = 6
    given = (
        Given("students", "count", ("12", "10", "9")),
        Given("frit", "mass", ("14 g", "15 g", "16 g"), ("1/2 oz", "0.6 oz", "0.7 oz")),
        Given("fines", "ratio", ("10 %", "15 %")),
        Given("chunks", "ratio", ("40 %", "45 %")),
    )
    text = (
        "In a class of {students} each student strews {frit} of medium frit on the relief tray. Of the glass "
        "you crush, {fines} falls through the fine sieve as dust and {chunks} stays on the coarse one in "
        "chunks. What weight of glass must you crush for the whole class?"
    )
    dimension = "mass"
    tolerance = Tolerance(relative=0.02)
    low, high = 0.15, 0.6
    hints = (
        "What share of the crushed glass is left between the two sieves?",
        "The sieves take their share of what you crush, not of what you want in the end.",
        "Crushed × share that is left = frit for all. Turn that round.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the weight to crush [kg]."""
        return self._crushed(numbers, 1 - numbers["fines"] - numbers["chunks"])

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [kg]."""
        fines, chunks = numbers["fines"], numbers["chunks"]
        everybody = numbers["students"] * numbers["frit"]
        return {
            "sieving forgotten": Slip(
                everybody, "That is the frit for all: of what you crush, less is left."
            ),
            "losses added on top": Slip(
                everybody * (1 + fines + chunks),
                "You get this if you add the losses to the frit: they are shares of all that you crush.",
            ),
            "dust forgotten": Slip(
                self._crushed(numbers, 1 - chunks),
                "You get this with the chunks alone: the dust is lost, too.",
            ),
            "chunks forgotten": Slip(
                self._crushed(numbers, 1 - fines),
                "You get this with the dust alone: chunks are no medium frit.",
            ),
            "one student for the class": Slip(
                self.value(numbers) / numbers["students"], "That is for one student: the class has more."
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        everybody = numbers.show.text(numbers["students"] * numbers["frit"], "mass")
        left = f"{100 * (1 - numbers['fines'] - numbers['chunks']):.0f} %"
        return [
            f"Frit for all: {texts['students']} × {texts['frit']} = {everybody}.",
            f"Left between the sieves: 100 % - {texts['fines']} - {texts['chunks']} = {left} is kept.",
            f"To crush: {everybody} / {left}.",
        ]

    def _crushed(self, numbers: Numbers, kept: float) -> float:
        return workshop.frit_to_crush(round(numbers["students"]), numbers["frit"], kept)


QUESTIONS = (
    TrayFrame(),
    SleeveFormer(),
    TrayBlank(),
    FramedTray(),
    SignBlanks(),
    RodGrid(),
    SpreadingStack(),
    FritForTheClass(),
)
