"""The exercises of lesson 5: sawing, drilling, hanging, grinding, and what it means for the blank."""

from math import ceil, floor, pi

from kilncalc import coldwork, grit, handcutting, holes
from kilncalc.cutting import Allowance
from kilncalc.exercises._questions import Given, Numbers, Question, Slip, Tolerance
from kilncalc.quantities import INCH

_STANDARD = "EN 12150-1"


class SawnTray(Question):
    """Two ends, and a kerf at each."""

    key = "5.1"
    title = "the tray at the saw"
    minutes = 6
    given = (
        Given(
            "length", "length", ("252 mm", "255 mm", "258 mm", "249 mm"), ("9 3/4 in", "9 7/8 in", "10 in")
        ),
        Given("offcut", "length", ("5 mm", "6 mm", "7 mm"), ("1/4 in", "5/16 in", "3/8 in")),
        Given("kerf", "length", ("2 mm", "2.5 mm", "2.2 mm"), ("1/8 in", "7/64 in")),
    )
    text = (
        "The relief tray came out of its first firing {length} long. At each end a strip {offcut} wide is "
        "sawn off and falls down beside the blade, which takes {kerf} in each cut. How long is the tray then?"
    )
    dimension = "length"
    tolerance = Tolerance(absolute=0.5e-3, inches=INCH / 32)
    low, high = 0.22, 0.25
    hints = (
        "What does the piece lose besides the strip that you can pick up?",
        "The blade stands outside the finished piece and turns its own width into slurry.",
        "Both things happen at both ends.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the length left [m]."""
        return numbers["length"] - 2 * (numbers["offcut"] + numbers["kerf"])

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [m]."""
        length, offcut, kerf = (numbers[name] for name in ("length", "offcut", "kerf"))
        return {
            "kerf forgotten on one side": Slip(
                length - 2 * offcut - kerf,
                "You get this with one kerf: there are two cuts, and the blade takes its width in each.",
            ),
            "kerf forgotten": Slip(
                length - 2 * offcut,
                "You get this if the blade takes no glass: what it takes is slurry, but it is gone.",
            ),
            "one end only": Slip(
                length - offcut - kerf, "You get this for one end: the tray is sawn off at both."
            ),
            "kerf taken twice in each cut": Slip(
                length - 2 * (offcut + 2 * kerf),
                "You get this with two kerfs to a cut: the blade passes each place once.",
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        each = numbers.show.text(numbers["offcut"] + numbers["kerf"], "length")
        return [
            f"Each end loses the strip and the kerf: {texts['offcut']} + {texts['kerf']} = {each}.",
            f"There are two ends: {texts['length']} - 2 × {each}.",
        ]


class HoleCentre(Question):
    """A limit for the rim, a mark for the centre."""

    key = "5.2"
    title = "where to mark a hole"
    minutes = 6
    given = (
        Given("thickness", "length", ("6 mm", "6.5 mm", "7 mm", "5.8 mm"), ("1/4 in", "9/32 in", "5/16 in")),
        Given("diameter", "length", ("8 mm", "9 mm", "8.5 mm"), ("5/16 in", "3/8 in")),
    )
    text = (
        "The stand-off holes of the door sign are {diameter} in diameter, in glass {thickness} thick. EN "
        "12150-1 asks for at least twice the thickness between the rim of a hole and the edge of the glass. "
        "How far from the edge is the centre of the hole marked, at least?"
    )
    dimension = "length"
    tolerance = Tolerance(absolute=0.4e-3, inches=INCH / 64)
    low, high = 0.012, 0.025
    hints = (
        "From where to where is the limit measured, and where do you set the drill?",
        "Between the rim and the centre of a hole lies its radius.",
        "Twice the thickness, and half the diameter.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the distance of the centre [m]."""
        return self._edge(numbers) + numbers["diameter"] / 2

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [m]."""
        edge, thickness, diameter = self._edge(numbers), numbers["thickness"], numbers["diameter"]
        return {
            "limit taken to the centre": Slip(
                edge,
                "You get this if the limit is measured to the centre: it counts to the rim of the hole.",
            ),
            "diameter for radius": Slip(
                edge + diameter,
                "You get this with the whole diameter: from rim to centre is half of it.",
            ),
            "once the thickness": Slip(
                thickness + diameter / 2,
                "You get this with one thickness between rim and edge: the standard asks for two.",
            ),
            "limit for a corner": Slip(
                holes.hole_limits(thickness, _STANDARD).corner + diameter / 2,
                "You get this with six thicknesses: that is the limit to a corner, not to an edge.",
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts, show = numbers.texts, numbers.show
        edge, radius = (
            show.text(value, "length") for value in (self._edge(numbers), numbers["diameter"] / 2)
        )
        return [
            f"From edge to rim: 2 × {texts['thickness']} = {edge}.",
            f"From rim to centre: {texts['diameter']} / 2 = {radius}.",
            f"Together: {edge} + {radius}.",
        ]

    def _edge(self, numbers: Numbers) -> float:
        return holes.hole_limits(numbers["thickness"], _STANDARD).edge


class FullPocket(Question):
    """A hanging piece that can fill with water."""

    key = "5.3"
    title = "what each fixing carries"
    minutes = 8
    given = (
        Given("mass", "mass", ("1.2 kg", "1.3 kg", "1.4 kg", "1.1 kg"), ("2 lb 10 oz", "2 lb 14 oz", "3 lb")),
        Given("length", "length", ("180 mm", "200 mm", "190 mm"), ("7 in", "7 1/2 in")),
        Given("width", "length", ("60 mm", "56 mm"), ("2 1/4 in", "2 1/2 in")),
        Given("depth", "length", ("30 mm", "32 mm"), ("1 1/4 in", "1 1/8 in")),
        Given("density", "density", ("1 g/cm³",), ("0.578 oz/in³",)),
    )
    text = (
        "A hanging pocket for flowers weighs {mass}. Its hollow measures {length} by {width} by {depth} "
        "inside. It hangs from two fixings, one on either side and equally far from the middle. Water weighs "
        "{density}. What weight does each fixing carry when the pocket is full?"
    )
    dimension = "mass"
    tolerance = Tolerance(relative=0.02)
    low, high = 0.5, 1.2
    hints = (
        "What can be in the piece besides glass?",
        "The hollow holds length × width × depth of water.",
        "Piece and water together, shared by two fixings.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the weight on one fixing [kg]."""
        return self._each(numbers, self._space(numbers))

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [kg]."""
        space = self._space(numbers)
        return {
            "contents forgotten": Slip(
                self._each(numbers, 0.0),
                "You get this for the empty pocket: somebody will fill it to the brim.",
            ),
            "not shared": Slip(
                2 * self._each(numbers, space),
                "You get this for piece and water together: two fixings share it.",
            ),
            "hollow as heavy as glass": Slip(
                self._each(numbers, 2.5 * space),
                "You get this if the hollow were full of glass: water weighs two fifths of it.",
            ),
            "glass shared, water not": Slip(
                numbers["mass"] / 2 + numbers["density"] * space,
                "You get this if one fixing carries all of the water: they share it as they share the glass.",
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts, show = numbers.texts, numbers.show
        space = self._space(numbers)
        volume = show.text(space, "volume")
        water = show.text(space * numbers["density"], "mass")
        return [
            f"The hollow: {texts['length']} × {texts['width']} × {texts['depth']} = {volume}.",
            f"Water in it: {volume} × {texts['density']} = {water}.",
            f"Each of two fixings carries half: ({texts['mass']} + {water}) / 2.",
        ]

    def _space(self, numbers: Numbers) -> float:
        return numbers["length"] * numbers["width"] * numbers["depth"]

    def _each(self, numbers: Numbers, space: float) -> float:
        load = holes.hanging_load(numbers["mass"], space, 0.1, 0.1, density=numbers["density"])
        return load.left / holes.GRAVITY


class DrillSpeed(Question):
    """Surface speed to turns a minute."""

    key = "5.4"
    title = "how fast the drill turns"
    minutes = 6
    given = (
        Given(
            "diameter",
            "length",
            ("8 mm", "10 mm", "12 mm", "16 mm", "20 mm"),
            ("5/16 in", "3/8 in", "1/2 in", "3/4 in"),
        ),
        Given(
            "speed", "speed", ("0.8 m/s", "0.7 m/s", "0.9 m/s"), ("160 ft/min", "140 ft/min", "180 ft/min")
        ),
    )
    text = (
        "A diamond drill of {diameter} diameter is to run with a rim speed of {speed}. How many turns a "
        "minute is that? (Answer in rev/min.)"
    )
    dimension = "rotation"
    tolerance = Tolerance(relative=0.02)
    low, high = 500, 2500
    hints = (
        "How far does a point of the rim travel in one turn?",
        "One turn is π × diameter.",
        "Distance in a minute divided by distance in a turn: mind that seconds become minutes.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the speed [rev/min]."""
        return float(holes.drill_speed(numbers["diameter"], numbers["speed"]))

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [rev/min]."""
        right = self.value(numbers)
        return {
            "radius for diameter": Slip(
                2 * right,
                "You get this with the radius: a turn is π × diameter. Twice too fast, and hot.",
            ),
            "circumference of the radius": Slip(
                right / 2,
                "You get this with 2 π × diameter: it is 2 π × radius, or π × diameter.",
            ),
            "seconds for minutes": Slip(
                right / 60, "You get this for turns in a second: a minute has sixty of them."
            ),
            "pi forgotten": Slip(
                right * pi,
                "You get this if a turn were as long as the diameter: it is π times as long.",
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts, show = numbers.texts, numbers.show
        turn = show.text(pi * numbers["diameter"], "length")
        minute = show.text(numbers["speed"] * 60, "length", like=2.0)
        return [
            f"One turn: π × {texts['diameter']} = {turn}.",
            f"In a minute the rim travels {minute}.",
            f"Turns: {minute} / {turn}.",
        ]


class PaperPacket(Question):
    """A number without its standard."""

    key = "5.5"
    title = "the packet that says 400"
    minutes = 6
    given = (Given("times", "ratio", ("2", "1.5", "2.5", "3", "1.75", "2.25")),)
    text = (
        "The rim of the bookend was ground with wet paper marked P400. The next grit has to take off {times} "
        "times the size of the grain before. By their standards the grains of F400 measure 17.3 µm, of CAMI "
        "400 23 µm, of JIS 400 30 µm and of P400 35 µm. How much has to come off? (In µm.)"
    )
    dimension = "length"
    tolerance = Tolerance(relative=0.04)
    low, high = 40e-6, 120e-6
    like = 2e-6
    hints = (
        "Which letter stands before the number on the packet?",
        "P is for grains on paper and belts, F for loose grains: the same number is another size.",
        "The size of the grain times the factor.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the depth to take off [m]."""
        return numbers["times"] * grit.grit_size("P400")

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [m]."""
        says = {
            "F400": "You get this with F400, loose grains: the paper is marked P400, twice as coarse.",
            "CAMI 400": "You get this with CAMI 400: that is an American paper without the P.",
            "JIS 400": "You get this with JIS 400: that is the Japanese standard.",
        }
        named = {
            f"{label} for P400": Slip(numbers["times"] * grit.grit_size(label), say)
            for label, say in says.items()
        }
        return {"F grade for P grade" if name.startswith("F") else name: slip for name, slip in named.items()}

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        grain = f"{grit.grit_size('P400') * 1e6:g} µm"
        return [
            f"The packet says P400: its grains measure {grain}.",
            f"To take off: {numbers.texts['times']} × {grain}.",
        ]


class PartsToCut(Question):
    """Enough on the average."""

    key = "5.6"
    title = "leaves for the banner"
    minutes = 5
    given = (
        Given("wanted", "count", ("24", "30", "36", "42", "48")),
        Given("breakage", "ratio", ("20 %", "25 %", "30 %")),
    )
    text = (
        "The banner needs {wanted} small leaves, cut by hand and nipped to shape. Of those cut, {breakage} "
        "break. How many must be cut, so that on the average enough are left?"
    )
    dimension = "count"
    tolerance = Tolerance(absolute=0.3)
    low, high = 28, 75
    hints = (
        "Of which number do so many per cent break: of those wanted, or of those cut?",
        "What is left is the number cut times the share that does not break.",
        "Divide the number wanted by that share, and round up: there is no such thing as a part of a leaf.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the number to cut."""
        return float(handcutting.parts_to_cut(round(numbers["wanted"]), numbers["breakage"]))

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives."""
        wanted, share = numbers["wanted"], numbers["breakage"]
        return {
            "share added": Slip(
                float(floor(wanted * (1 + share))),
                "You get this if the share of those wanted is added: of more pieces cut, more break.",
            ),
            "breakage forgotten": Slip(wanted, "You get this if none breaks: some will."),
            "only the broken": Slip(
                float(ceil(wanted * share)), "You get this for those that break: the good ones come on top."
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        left = 1 - numbers["breakage"]
        exact = numbers["wanted"] / left
        return [
            f"Left of those cut: 100 % - {numbers.texts['breakage']} = {100 * left:g} %.",
            f"To cut: {numbers.texts['wanted']} / {left:g} = {exact:.1f}, rounded up.",
        ]


class BlankWeight(Question):
    """From the finished size back to the glass that must be weighed out."""

    key = "5.7"
    title = "glass for a trimmed tray"
    minutes = 8
    given = (
        Given("length", "length", ("240 mm", "236 mm", "230 mm"), ("9 1/2 in", "9 1/4 in")),
        Given("width", "length", ("180 mm", "176 mm"), ("7 in", "7 1/4 in")),
        Given("thickness", "length", ("6 mm", "6.4 mm"), ("1/4 in",)),
        Given("trim", "length", ("4 mm", "5 mm", "6 mm"), ("3/16 in", "1/4 in")),
        Given("density", "density", ("2.5 g/cm³",), ("1.445 oz/in³",)),
    )
    text = (
        "The relief tray is to measure {length} by {width} and be {thickness} thick when it is sawn and "
        "ground. {trim} comes off each edge, kerf and grinding included. Glass weighs {density}. What weight "
        "of glass must go into the kiln?"
    )
    dimension = "mass"
    tolerance = Tolerance(relative=0.005)
    low, high = 0.5, 1.0
    hints = (
        "What size has the piece before it is trimmed?",
        "An edge lies at both ends of each size.",
        "Length × width × thickness before trimming, times the density.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the weight of the blank [kg]."""
        return self._mass(numbers, 2)

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [kg]."""
        return {
            "trimming forgotten": Slip(
                self._mass(numbers, 0),
                "You get this for the finished tray: what is sawn off has to be fired too.",
            ),
            "one edge for two": Slip(
                self._mass(numbers, 1), "You get this if only one edge of two is trimmed: both are."
            ),
            "taken away instead of added": Slip(
                self._mass(numbers, -2),
                "You get this if the trimming is taken away: before it the tray is larger.",
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts, show = numbers.texts, numbers.show
        length, width = (
            show.text(numbers[name] + 2 * numbers["trim"], "length") for name in ("length", "width")
        )
        return [
            f"Before trimming: {texts['length']} + 2 × {texts['trim']} = {length}.",
            f"Across: {texts['width']} + 2 × {texts['trim']} = {width}.",
            f"Weight: {length} × {width} × {texts['thickness']} × {texts['density']}.",
        ]

    def _mass(self, numbers: Numbers, edges: int) -> float:
        trim = numbers["trim"]
        less = 0.0 if edges >= 0 else 2 * trim
        return coldwork.blank_before(
            numbers["length"] - less,
            numbers["width"] - less,
            numbers["thickness"],
            numbers["density"],
            Allowance(trim=trim, edges=max(edges, 0)),
        ).mass


class NextGrit(Question):
    """One measured time serves for the next grit."""

    key = "5.8"
    title = "how long the next grit takes"
    minutes = 8
    given = (
        Given("time", "time", ("6 min", "5 min", "8 min")),
        Given("removed", "length", ("120 µm", "100 µm", "150 µm"), ("0.005 in", "0.004 in")),
        Given("wanted", "length", ("60 µm", "80 µm", "45 µm"), ("0.0025 in", "0.003 in")),
    )
    text = (
        "On the class's lap F220 took {removed} off the rim of the bookend in {time}; that was measured with "
        "callipers. Next, {wanted} must come off with F400, on the same lap with the same hand. Grains of "
        "F220 measure 58 µm, of F400 17.3 µm. Wear goes with the size of the grain, as a first guess. How "
        "long does it take?"
    )
    dimension = "time"
    tolerance = Tolerance(relative=0.03)
    low, high = 120, 3600
    hints = (
        "By Preston's law time goes with what comes off, if pressure and speed stay.",
        "Does the finer grit take longer or shorter for the same depth?",
        "Time × (what must come off / what came off) × (coarse grain / fine grain).",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the time [s]."""
        return self._time(numbers, "F400", numbers["wanted"])

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [s]."""
        right = self.value(numbers)
        ratio = grit.grit_size("F220") / grit.grit_size("F400")
        return {
            "grain ignored": Slip(
                right / ratio,
                "You get this if the fine grit cuts as fast as the coarse one: smaller grains take off less.",
            ),
            "grains the wrong way round": Slip(
                right / ratio**2, "You get this if the finer grit were the faster one: it is slower."
            ),
            "depth ignored": Slip(
                self._time(numbers, "F400", numbers["removed"]),
                "You get this if as much had to come off as before: less is asked for.",
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        coarse, fine = (grit.grit_size(label) for label in ("F220", "F400"))
        same = numbers["time"] * numbers["wanted"] / numbers["removed"]
        shown = numbers.show.text(same, "time")
        return [
            f"With F220: {texts['time']} × {texts['wanted']} / {texts['removed']} = {shown}.",
            f"F400 is finer by {coarse * 1e6:g} / {fine * 1e6:g} = {coarse / fine:.2f}.",
            f"With F400: {shown} × {coarse / fine:.2f}.",
        ]

    def _time(self, numbers: Numbers, label: str, depth: float) -> float:
        pressure, speed = grit.tool_settings("flat lap")
        factor = grit.preston_factor(
            numbers["removed"], grit.grit_size("F220"), pressure, speed, numbers["time"]
        )
        return grit.polish_time(depth, grit.grit_size(label), pressure, speed, factor=factor).likely


class HollowCurve(Question):
    """The radius of a curve that was measured straight across, and whether it runs."""

    key = "5.9"
    title = "a bite out of a leaf"
    minutes = 7
    given = (
        Given("chord", "length", ("60 mm", "64 mm", "72 mm", "56 mm"), ("2 1/2 in", "3 in", "2 1/4 in")),
        Given("depth", "length", ("10 mm", "8 mm", "12 mm"), ("3/8 in", "1/2 in")),
    )
    text = (
        "A hollow curve is to be cut by hand into the edge of a leaf for the banner: {chord} wide at the "
        "edge and {depth} deep in its middle. Before you score it you want to know its radius: from a tight "
        "one the crack breaks away. What is the radius? (Width × width / (8 × depth) + depth / 2.)"
    )
    dimension = "length"
    tolerance = Tolerance(relative=0.01)
    low, high = 0.030, 0.120
    hints = (
        "Width is measured straight across, from end to end; depth from that line to the curve.",
        "Square the width first, then divide by eight times the depth.",
        "Do not forget the second part: half the depth comes on top.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the radius [m]."""
        return handcutting.bite(numbers["chord"], numbers["depth"], 3e-3).radius

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [m]."""
        chord, depth, right = numbers["chord"], numbers["depth"], self.value(numbers)
        return {
            "diameter for radius": Slip(
                2 * right, "You get this for the diameter: what a score can follow is told by the radius."
            ),
            "half the width": Slip(
                chord / 2,
                "You get this if the curve were a half circle: it is flatter, so its radius is larger.",
            ),
            "half the width squared": Slip(
                (chord / 2) ** 2 / (8 * depth) + depth / 2,
                "You get this with half of the width in the square: it is the whole width, end to end.",
            ),
            "second part forgotten": Slip(
                right - depth / 2, "You get this without the second part: half the depth comes on top."
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts, show = numbers.texts, numbers.show
        first = show.text(numbers["chord"] ** 2 / (8 * numbers["depth"]), "length")
        second = show.text(numbers["depth"] / 2, "length")
        return [
            f"{texts['chord']} × {texts['chord']} / (8 × {texts['depth']}) = {first}.",
            f"Half the depth: {second}.",
            f"Radius: {first} + {second}.",
        ]


QUESTIONS = (
    SawnTray(),
    HoleCentre(),
    FullPocket(),
    DrillSpeed(),
    PaperPacket(),
    PartsToCut(),
    BlankWeight(),
    NextGrit(),
    HollowCurve(),
)
