"""The exercises of lesson 2: from a space, a sheet, a heap, a jug or a rod to the glass that is needed."""

from math import pi

from kilncalc import sketch, volume
from kilncalc.exercises._questions import Given, Numbers, Question, Slip, Tolerance
from kilncalc.quantities import FLUID_OUNCE, INCH, OUNCE

_DENSITY = Given("density", "density", ("2.5 g/cm³",), ("1.445 oz/in³",))


class Bookend(Question):
    """A conical mould: from measures to the weight of glass."""

    key = "2.1"
    title = "glass for the bookend"
    minutes = 8
    given = (
        Given(
            "rim",
            "length",
            ("120 mm", "114 mm", "126 mm", "132 mm"),
            ("4 3/4 in", "4 1/2 in", "5 in", "5 1/4 in"),
        ),
        Given("floor", "length", ("80 mm", "86 mm", "90 mm"), ("3 1/4 in", "3 1/8 in", "3 1/2 in")),
        Given("depth", "length", ("45 mm", "42 mm", "48 mm"), ("1 3/4 in", "1 5/8 in", "1 7/8 in")),
        Given("wall", "length", ("18 mm", "20 mm"), ("3/4 in", "7/8 in")),
        _DENSITY,
    )
    text = (
        "The bookend is cast in a conical mould of plaster and silica. Measured inside, the mould is {rim} "
        "across at the rim, {floor} across at the floor and {depth} deep; its wall is {wall} thick. Glass "
        "weighs {density}. What weight of glass fills it to the rim?"
    )
    dimension = "mass"
    tolerance = Tolerance(relative=0.02)
    low, high = 0.5, 2.0
    hints = (
        "Glass goes only where the mould is hollow: which of the measures do you need, and which not?",
        "A radius is half of what you measure straight across.",
        "A cone with its tip cut off holds π × depth × (R² + R × r + r²) / 3: R at the rim, r at the floor.",
        "Weight is volume times density. Turn all lengths into the unit of the density first.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the weight [kg]."""
        return self._cone(numbers, numbers["floor"] / 2, numbers["rim"] / 2)

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [kg]."""
        floor, rim, wall = numbers["floor"] / 2, numbers["rim"] / 2, numbers["wall"]
        return {
            "diameter for radius": Slip(
                self._cone(numbers, 2 * floor, 2 * rim),
                "You get this if you take the measure straight across for the radius: halve it at both ends.",
            ),
            "outside for inside": Slip(
                self._cone(numbers, floor + wall, rim + wall),
                "You get this with the wall of the mould added: glass fills only the inside.",
            ),
            "taper forgotten": Slip(
                self._cone(numbers, rim, rim),
                "You get this for a straight cylinder as wide as the rim: this mould narrows to its floor.",
            ),
            "pointed cone": Slip(
                self._cone(numbers, 0.0, rim),
                "You get this for a cone that ends in a point: this one is cut off and has a floor.",
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        floor, rim = (numbers.show.text(numbers[name] / 2, "length") for name in ("floor", "rim"))
        space = self.value(numbers) / numbers["density"]
        return [
            "The wall is not needed: glass fills the inside, and the inside is what was measured.",
            f"Radius at the rim: R = {texts['rim']} / 2 = {rim}.",
            f"Radius at the floor: r = {texts['floor']} / 2 = {floor}.",
            f"Volume: π × {texts['depth']} × (R² + R × r + r²) / 3 = {numbers.show.text(space, 'volume')}.",
            _weight_step(numbers, space),
        ]

    def _cone(self, numbers: Numbers, floor: float, rim: float) -> float:
        return volume.glass_mass(volume.frustum(floor, rim, numbers["depth"]), numbers["density"])


class TraySheets(Question):
    """Two sheets: measured thickness, mixed units."""

    key = "2.2"
    title = "the sheets of the relief tray"
    minutes = 6
    given = (
        Given("length", "length", ("240 mm", "250 mm", "260 mm"), ("9 1/2 in", "9 3/4 in", "10 1/4 in")),
        Given("width", "length", ("180 mm", "170 mm", "190 mm"), ("7 in", "6 3/4 in", "7 1/2 in")),
        Given("nominal", "length", ("3 mm",), ("1/8 in",)),
        Given(
            "thickness",
            "length",
            ("3.4 mm", "3.3 mm", "3.5 mm", "3.6 mm"),
            ("0.136 in", "0.138 in", "0.14 in", "0.142 in"),
        ),
        _DENSITY,
    )
    text = (
        "The relief tray begins as two sheets, each {length} by {width}. The glass is sold as {nominal}, but "
        "the calliper reads {thickness} on both. Glass weighs {density}. What do the two sheets weigh?"
    )
    dimension = "mass"
    tolerance = Tolerance(relative=0.02)
    low, high = 0.4, 1.0
    hints = (
        "One thickness is a name, the other was measured: which of them decides the weight?",
        "Volume of a sheet: length × width × thickness, with all three in the unit of the density.",
        "And two sheets lie there.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the weight [kg]."""
        return self._sheets(numbers, 2, numbers["thickness"])

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [kg]."""
        right = self.value(numbers)
        slips = {
            "nominal for measured": Slip(
                self._sheets(numbers, 2, numbers["nominal"]),
                "You get this for sheets as thick as the glass is sold: take the measured thickness.",
            ),
            "one sheet for two": Slip(
                self._sheets(numbers, 1, numbers["thickness"]),
                "You get this for one sheet: the tray begins as two.",
            ),
        }
        if numbers.units == "inches":
            slips["density forgotten"] = Slip(
                right / numbers["density"] / INCH**3 * OUNCE,
                "That is the number of cubic inches: each of them weighs more than one ounce.",
            )
        else:
            slips["100 mm³ for 1 cm³"] = Slip(
                10 * right,
                "You get this with 100 mm³ in a cubic centimetre: there are 10 × 10 × 10 of them.",
            )
            slips["density forgotten"] = Slip(
                right / numbers["density"] * 1000.0,
                "That is the number of cubic centimetres: each of them weighs more than one gram.",
            )
        return slips

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        space = self.value(numbers) / numbers["density"]
        sides = f"{texts['length']} × {texts['width']} × {texts['thickness']}"
        return [
            f"The measured thickness counts: {texts['thickness']}.",
            f"Volume: 2 × {sides} = {numbers.show.text(space, 'volume')}.",
            _weight_step(numbers, space),
        ]

    def _sheets(self, numbers: Numbers, count: int, thickness: float) -> float:
        return count * volume.sheet_mass(numbers["length"] * numbers["width"], thickness, numbers["density"])


class BookendFrit(Question):
    """The room loose frit takes."""

    key = "2.3"
    title = "the bookend cast from frit"
    minutes = 6
    given = (
        Given(
            "mass",
            "mass",
            ("900 g", "840 g", "870 g", "930 g", "960 g", "1020 g"),
            ("32 oz", "30 oz", "31 oz", "33 oz", "34 oz", "36 oz"),
        ),
        Given("packing", "ratio", ("55 %", "45 %", "60 %", "58 %")),
        _DENSITY,
    )
    text = (
        "Another bookend is to be cast from {mass} of frit. Poured loosely, {packing} of the heap is glass "
        "and the rest is air. Glass weighs {density}. What volume does the loose frit take up?"
    )
    dimension = "volume"
    tolerance = Tolerance(relative=0.02)
    low, high = 450e-6, 1000e-6
    hints = (
        "First the glass alone: its volume is its weight divided by its density.",
        "The heap holds the same glass and air besides, so it is larger than the glass alone.",
        "Volume of the glass = packing × volume of the heap. Turn that round.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the volume of the heap [m3]."""
        return volume.frit_volume(numbers["mass"], numbers["density"], numbers["packing"])

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [m3]."""
        mass, packing = numbers["mass"], numbers["packing"]
        solid = self.value(numbers) * packing
        if numbers.units == "inches":
            measure, warning = mass / OUNCE * FLUID_OUNCE, "An ounce of weight is not a fluid ounce"
        else:
            measure, warning = mass / 1000.0, "A gram of glass is not a millilitre"
        return {
            "packing forgotten": Slip(
                solid, "That is the volume of the glass alone: between the loose grains there is air."
            ),
            "multiplied by the packing": Slip(
                solid * packing,
                "You get this if you multiply by the packing: the heap is larger than its glass, so divide.",
            ),
            "air for glass": Slip(
                solid / (1 - packing),
                "You get this if you divide by the share of air: the packing is the share of glass.",
            ),
            "weight for volume": Slip(
                measure / packing, f"{warning}: first divide the weight by the density of the glass."
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        solid = numbers.show.text(numbers["mass"] / numbers["density"], "volume")
        return [
            f"Glass alone: {texts['mass']} / ({texts['density']}) = {solid}.",
            f"That is {texts['packing']} of the heap. The heap: {solid} / {numbers['packing']:g}.",
        ]


class JugOfWater(Question):
    """A mould filled with water: volume to weight by way of water."""

    key = "2.4"
    title = "water poured into a mould"
    minutes = 6
    given = (
        Given(
            "before",
            "volume",
            ("500 ml", "525 ml", "550 ml", "575 ml", "600 ml"),
            ("16 US fl oz", "17 US fl oz", "18 US fl oz", "19 US fl oz", "20 US fl oz"),
        ),
        Given(
            "after",
            "volume",
            ("180 ml", "190 ml", "195 ml", "200 ml", "205 ml"),
            ("6 1/2 US fl oz", "6 3/4 US fl oz", "7 US fl oz", "7 1/4 US fl oz", "7 1/2 US fl oz"),
        ),
        Given("measure", "volume", ("1 ml",), ("1 US fl oz",)),
        Given("weight", "mass", ("1 g",), ("1.043 oz",)),
        Given("times", "ratio", ("2.5",)),
    )
    text = (
        "The wax for the bookend is cast in a rubber mould. A jug with {before} of water fills this mould "
        "to the line; {after} stay in the jug. {measure} of water weighs {weight}, and glass weighs {times} "
        "times as much as water. What weight of glass will replace the wax?"
    )
    dimension = "mass"
    tolerance = Tolerance(relative=0.01)
    low, high = 0.5, 1.2
    hints = (
        "How much water went into the mould? What is left in the jug did not.",
        "Turn the volume of that water into its weight, with what the question says about one measure of it.",
        "The same space weighs more full of glass than full of water.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the weight [kg]."""
        return self._glass(numbers, numbers["before"] - numbers["after"])

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [kg]."""
        right, times = self.value(numbers), numbers["times"]
        slips = {
            "rest in the jug forgotten": Slip(
                self._glass(numbers, numbers["before"]),
                "You get this if all the water of the jug had gone into the mould: some of it stayed.",
            ),
            "rest for what was poured": Slip(
                self._glass(numbers, numbers["after"]),
                "You get this with the water that stayed in the jug: take what went into the mould.",
            ),
            "weight of the water": Slip(right / times, "That is the weight of the water: glass is heavier."),
            "divided instead of multiplied": Slip(
                right / times**2, "You get this if you divide by how much heavier glass is: multiply by it."
            ),
        }
        if numbers.units == "inches":
            slips["fluid ounce for ounce of weight"] = Slip(
                (numbers["before"] - numbers["after"]) / FLUID_OUNCE * OUNCE * times,
                "Close, but a fluid ounce of water does not weigh one ounce: it weighs a little more.",
            )
        return slips

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        measures = (numbers["before"] - numbers["after"]) / numbers["measure"]
        water = numbers.show.text(measures * numbers["weight"], "mass")
        return [
            f"Water in the mould: {texts['before']} - {texts['after']} = {measures:g} × {texts['measure']}.",
            f"It weighs {measures:g} × {texts['weight']} = {water}.",
            f"Glass in its place: {water} × {texts['times']}.",
        ]

    def _glass(self, numbers: Numbers, water: float) -> float:
        return volume.glass_mass(water, numbers["times"] * numbers["weight"] / numbers["measure"])


class FritTriangle(Question):
    """A texture one grain deep."""

    key = "2.5"
    title = "the frit triangle on the tray"
    minutes = 8
    given = (
        Given(
            "base",
            "length",
            ("90 mm", "96 mm", "84 mm", "100 mm"),
            ("3 1/2 in", "3 3/4 in", "3 1/4 in", "4 in"),
        ),
        Given("height", "length", ("80 mm", "75 mm", "86 mm"), ("3 1/8 in", "3 in", "3 3/8 in")),
        Given("grain", "length", ("1.8 mm", "1.6 mm", "2.0 mm"), ("0.07 in", "0.065 in", "0.08 in")),
        Given("coverage", "ratio", ("70 %", "60 %", "80 %")),
        Given("packing", "ratio", ("55 %", "45 %")),
        _DENSITY,
    )
    text = (
        "A triangle of medium frit is strewn on the tray, one grain deep: {base} along its base and {height} "
        "high. The grains are {grain} across, {coverage} of the triangle is strewn, and where it is, "
        "{packing} of the layer is glass. Glass weighs {density}. What weight of frit is needed?"
    )
    dimension = "mass"
    tolerance = Tolerance(relative=0.02)
    low, high = 2e-3, 12e-3
    hints = (
        "A triangle is half of the rectangle around it.",
        "Area × grain is the volume of a full layer; only a part of the area is strewn.",
        "Of the strewn layer only a part is glass; the rest is air between the grains.",
        "Weight = area × grain × strewn share × share of glass × density, all lengths in one unit.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the weight [kg]."""
        area = numbers["base"] * numbers["height"] / 2
        return volume.texture_mass(
            area, numbers["grain"], numbers["coverage"], numbers["packing"], numbers["density"]
        )

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [kg]."""
        right = self.value(numbers)
        return {
            "rectangle for triangle": Slip(
                2 * right, "You get this for base times height: a triangle is half of this rectangle."
            ),
            "coverage forgotten": Slip(
                right / numbers["coverage"], "You get this if all of the triangle is strewn: some stays bare."
            ),
            "packing forgotten": Slip(
                right / numbers["packing"],
                "You get this for a layer of solid glass: between the grains there is air.",
            ),
            "coverage and packing forgotten": Slip(
                right / numbers["coverage"] / numbers["packing"],
                "You get this for solid glass on all of the triangle: some of it stays bare, and between the "
                "grains there is air.",
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        area = numbers["base"] * numbers["height"] / 2
        layer = area * numbers["grain"]
        glass = layer * numbers["coverage"] * numbers["packing"]
        area_text, layer_text = numbers.show.text(area, "area"), numbers.show.text(layer, "volume")
        shares = f"{texts['coverage']} × {texts['packing']}"
        return [
            f"Area: {texts['base']} × {texts['height']} / 2 = {area_text}.",
            f"A full layer, one grain deep: {area_text} × {texts['grain']} = {layer_text}.",
            f"Glass in it: {layer_text} × {shares} = {numbers.show.text(glass, 'volume')}.",
            _weight_step(numbers, glass),
        ]


class FineRods(Question):
    """A rod drawn out: length times diameter squared is kept."""

    key = "2.6"
    title = "fine rods for the grid"
    minutes = 8
    given = (
        Given("rod", "length", ("6 mm", "7 mm", "8 mm"), ("1/4 in", "5/16 in", "3/8 in")),
        Given("length", "length", ("200 mm", "220 mm", "250 mm"), ("8 in", "9 in", "10 in")),
        Given("end", "length", ("25 mm", "30 mm"), ("1 in", "1 1/4 in")),
        Given("fine", "length", ("2 mm", "2.5 mm", "3 mm"), ("3/32 in", "1/8 in")),
    )
    text = (
        "The fine rods of the tray's grid are drawn from a rod {rod} thick and {length} long. At each of its "
        "two ends {end} stay in the holder and are not drawn. What length of fine rod, {fine} thick, does it "
        "give?"
    )
    dimension = "length"
    tolerance = Tolerance(relative=0.02)
    low, high = 0.3, 3.5
    hints = (
        "No glass is lost in the middle: the rod becomes thinner and longer, and its volume stays.",
        "Volume is cross-section times length. How does the cross-section go with the diameter?",
        "Length that is drawn × (thick / fine)². Mind the two ends in the holders.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the length of the fine rod [m]."""
        return self._drawn(numbers, 2)

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [m]."""
        right = self.value(numbers)
        thinner = numbers["rod"] / numbers["fine"]
        return {
            "length for area": Slip(
                right / thinner,
                "You get this with the ratio of the diameters: the cross-section goes with their squares.",
            ),
            "ratio upside down": Slip(
                right / thinner**4, "You get this with the ratio upside down: a thinner rod becomes longer."
            ),
            "ends forgotten": Slip(
                self._drawn(numbers, 0),
                "You get this if all of the rod is drawn: the ends stay in the holders.",
            ),
            "one end for two": Slip(
                self._drawn(numbers, 1), "You get this if one end stays in a holder: both ends do."
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        drawn = numbers.show.text(numbers["length"] - 2 * numbers["end"], "length")
        longer = f"{(numbers['rod'] / numbers['fine']) ** 2:.3g}"
        return [
            f"Length that is drawn: {texts['length']} - 2 × {texts['end']} = {drawn}.",
            f"Its cross-section shrinks ({texts['rod']} / {texts['fine']})² = {longer} times.",
            "The volume stays, so its length grows as many times.",
            f"Fine rod: {drawn} × {longer}.",
        ]

    def _drawn(self, numbers: Numbers, ends: int) -> float:
        drawn = numbers["length"] - ends * numbers["end"]
        return volume.stringer_length(numbers["rod"], drawn, numbers["fine"])


class Bowl(Question):
    """A mould that is a part of a ball."""

    key = "2.7"
    title = "a small bowl cast in a round hollow"
    minutes = 8
    given = (
        Given("across", "length", ("160 mm", "150 mm", "170 mm"), ("6 1/4 in", "6 in", "6 3/4 in")),
        Given("deep", "length", ("40 mm", "36 mm", "44 mm"), ("1 1/2 in", "1 5/8 in", "1 3/4 in")),
        _DENSITY,
    )
    text = (
        "A ball has been pressed into sand and plaster and has left a hollow {across} across at the rim and "
        "{deep} deep. Glass weighs {density}. What weight of glass fills the hollow to the rim?"
    )
    dimension = "mass"
    tolerance = Tolerance(relative=0.02)
    low, high = 0.7, 1.8
    hints = (
        "The hollow is neither a cone nor half a ball, but a cap cut off a larger ball.",
        "A cap holds π × deep × (3 R² + deep²) / 6, with R the radius at the rim.",
        "Weight is volume times density, with all lengths in the unit of the density.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the weight [kg]."""
        return volume.glass_mass(
            volume.spherical_cap(numbers["across"] / 2, numbers["deep"]), numbers["density"]
        )

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [kg]."""
        radius, deep, density = numbers["across"] / 2, numbers["deep"], numbers["density"]
        return {
            "diameter for radius": Slip(
                volume.glass_mass(pi * deep * (3 * (2 * radius) ** 2 + deep**2) / 6, density),
                "You get this if you take the measure straight across for the radius: halve it.",
            ),
            "a cone for a cap": Slip(
                volume.glass_mass(volume.frustum(0.0, radius, deep), density),
                "You get this for a cone that ends in a point: the hollow is round and holds more.",
            ),
            "a cylinder for a cap": Slip(
                volume.glass_mass(volume.cylinder(radius, deep), density),
                "You get this for straight walls: the hollow narrows towards its lowest point.",
            ),
            "density forgotten": Slip(
                self.value(numbers) / density * (1000.0 if numbers.show.metric else OUNCE / INCH**3),
                "That is the volume of the hollow: glass weighs more than one to one.",
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        space = self.value(numbers) / numbers["density"]
        radius, deep = numbers.show.text(numbers["across"] / 2, "length"), texts["deep"]
        return [
            f"Radius at the rim: R = {texts['across']} / 2 = {radius}.",
            f"Volume: π × {deep} × (3 R² + ({deep})²) / 6 = {numbers.show.text(space, 'volume')}.",
            _weight_step(numbers, space),
        ]


def _weight_step(numbers: Numbers, space: float) -> str:
    same = " (1 ml is 1 cm³)" if numbers.units == "metric" else ""
    return f"Weight: {numbers.show.text(space, 'volume')} × {numbers.texts['density']}{same}."


class CountedTexture(Question):
    """From counted squares to the crushed glass, before it is sieved."""

    key = "2.8"
    title = "from the sketch to the gram"
    minutes = 8
    given = (
        Given("whole", "count", ("38", "44", "52")),
        Given("cut", "count", ("22", "28")),
        Given("side", "length", ("10 mm",), ("1/2 in",)),
        Given("trial", "mass", ("14 g", "16 g", "12 g"), ("0.5 oz", "0.6 oz")),
        Given("square", "length", ("100 mm",), ("4 in",)),
        Given("kept", "ratio", ("45 %", "40 %", "55 %")),
    )
    text = (
        "You draw a leaf on paper with squares of {side}. {whole} squares lie inside it, and its outline "
        "passes "
        "through {cut}. On a trial square with sides of {square} the texture you like takes {trial} of frit. "
        "Of the glass you crush, the sieves keep {kept}. How much glass do you crush for the leaf?"
    )
    dimension = "mass"
    tolerance = Tolerance(relative=0.02)
    low, high = 0.006, 0.060
    hints = (
        "How much of a square that is cut lies inside, on the average?",
        "How many times the area of the trial square is that of the leaf?",
        "The sieves keep only a part of what you crush, so you crush more than you strew.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the mass of crushed glass [kg]."""
        return self._crushed(numbers, numbers["whole"], numbers["cut"])

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [kg]."""
        right = self.value(numbers)
        return {
            "cut squares counted whole": Slip(
                self._crushed(numbers, numbers["whole"] + numbers["cut"], 0),
                "You get this if cut squares count whole: on the average half of one lies inside.",
            ),
            "cut squares left out": Slip(
                self._crushed(numbers, numbers["whole"], 0),
                "You get this without the cut squares: on the average half of one lies inside.",
            ),
            "sieves forgotten": Slip(
                right * numbers["kept"],
                "This is what you strew. The sieves keep only a part of what you crush.",
            ),
            "times instead of divided": Slip(
                right * numbers["kept"] ** 2,
                "You get this if you multiply by what the sieves keep: you crush more than you strew.",
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts, show = numbers.texts, numbers.show
        counted = numbers["whole"] + numbers["cut"] / 2
        area = sketch.counted_area(int(numbers["whole"]), int(numbers["cut"]), numbers["side"]).value
        trial = numbers["square"] ** 2
        strewn = show.text(area / trial * numbers["trial"], "mass")
        return [
            f"Squares: {texts['whole']} + {texts['cut']} / 2 = {counted:g}, each {texts['side']} × "
            f"{texts['side']}: {show.text(area, 'area')}.",
            f"The trial square is {show.text(trial, 'area')}, so the leaf is {area / trial:.3g} times as "
            f"large.",
            f"To strew: {area / trial:.3g} × {texts['trial']} = {strewn}.",
            f"To crush: {strewn} / {texts['kept']}.",
        ]

    def _crushed(self, numbers: Numbers, whole: float, cut: float) -> float:
        area = sketch.counted_area(int(whole), int(cut), numbers["side"]).value
        return area / numbers["square"] ** 2 * numbers["trial"] / numbers["kept"]


QUESTIONS = (
    Bookend(),
    TraySheets(),
    BookendFrit(),
    JugOfWater(),
    FritTriangle(),
    FineRods(),
    Bowl(),
    CountedTexture(),
)
