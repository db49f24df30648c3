"""The exercises of lesson 1: from a difference of expansion to tension, bow and light and back."""

from dataclasses import replace

from kilncalc import compatibility as c
from kilncalc import materials
from kilncalc.exercises._questions import Given, Numbers, Question, Slip, Tolerance
from kilncalc.materials import Glass
from kilncalc.polariscope import retardation_from_analyser
from kilncalc.quantities import INCH

_GLASS = materials.glass("course clear")

_STIFFNESS = Given("stiffness", "pressure", ("90 GPa",), ("13000 ksi",))
_COOLING = Given(
    "cooling",
    "temperature_difference",
    ("460 °C", "473 °C", "485 °C", "450 °C"),
    ("830 °F", "850 °F", "875 °F", "810 °F"),
)


def _as_stiff_as(numbers: Numbers) -> Glass:
    """Return a glass with the stiffness of the question, for `form="beam"`."""
    return replace(_GLASS, youngs_modulus=numbers["stiffness"])


class Shorter(Question):
    """Expansion times cooling times length."""

    key = "1.1"
    title = "which strip ends shorter"
    minutes = 7
    given = (
        Given("length", "length", ("300 mm", "240 mm", "180 mm"), ("12 in", "9 1/2 in", "7 in")),
        Given(
            "colour",
            "expansion",
            ("9.3 ×10⁻⁶ /K", "9.2 ×10⁻⁶ /K", "9.1 ×10⁻⁶ /K"),
            ("5.2 ×10⁻⁶ /°F", "5.15 ×10⁻⁶ /°F", "5.1 ×10⁻⁶ /°F"),
        ),
        Given(
            "clear",
            "expansion",
            ("8.6 ×10⁻⁶ /K", "8.7 ×10⁻⁶ /K", "8.5 ×10⁻⁶ /K"),
            ("4.8 ×10⁻⁶ /°F", "4.85 ×10⁻⁶ /°F", "4.75 ×10⁻⁶ /°F"),
        ),
        Given("setting", "temperature", ("505 °C", "493 °C", "480 °C"), ("940 °F", "920 °F", "900 °F")),
        Given("room", "temperature", ("20 °C", "22 °C"), ("68 °F", "72 °F")),
    )
    text = (
        "A strip of coloured glass and a strip of clear glass lie side by side in the kiln, not touching; "
        "at {setting} both are {length} long. The expansion of the colour is {colour}, that of the clear "
        "{clear}. How much shorter than the clear strip is the coloured one at {room}?"
    )
    dimension = "length"
    tolerance = Tolerance(relative=0.01)
    low, high = 20e-6, 200e-6
    hints = (
        "Only the difference of the two expansions counts.",
        "They cool from where they were equally long down to the room, not down to zero.",
        "Shorter by = difference of the expansions × cooling × length. /K and /°C are the same.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return how much shorter it is [m]."""
        strain = c.mismatch_strain(numbers["colour"], numbers["clear"], numbers["room"], numbers["setting"])
        return float(strain) * numbers["length"]

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [m]."""
        right = self.value(numbers)
        cooling = numbers["setting"] - numbers["room"]
        above_zero = numbers.show.number(numbers["setting"], "temperature")
        degrees = numbers.show.number(cooling, "temperature_difference")
        slips = {
            "room temperature forgotten": Slip(
                right * above_zero / degrees,
                "Close: you get this if the glass cools to zero. It cools only to the temperature of the "
                "room.",
            ),
            "one glass for the difference": Slip(
                numbers["colour"] * cooling * numbers["length"],
                "That is how much the coloured strip shrinks by itself: the clear one shrinks too.",
            ),
            "per 100 degrees for per degree": Slip(
                right / 100,
                "You get this if the expansion were for 100 degrees of cooling: it is for each single one.",
            ),
            "10⁻⁷ for 10⁻⁶": Slip(
                right / 10, "A tenth of it: the expansion is in millionths, 10⁻⁶, not in 10⁻⁷ as on a label."
            ),
            "10⁻⁶ forgotten": Slip(
                right * 1e6, "You get this without the 10⁻⁶: glass shrinks by millionths of its length."
            ),
        }
        return slips | _wrong_degrees(numbers, right / 1.8)

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts, show = numbers.texts, numbers.show
        cooling = show.text(numbers["setting"] - numbers["room"], "temperature_difference")
        difference = show.text(numbers["colour"] - numbers["clear"], "expansion")
        return [
            f"Difference of the expansions: {texts['colour']} - {texts['clear']} = {difference}.",
            f"Cooling: {texts['setting']} - {texts['room']} = {cooling}.",
            f"Shorter by {difference} × {cooling} × {texts['length']}.",
        ]


def _wrong_degrees(numbers: Numbers, value: float) -> dict[str, Slip]:
    """Return the slip of those who work in °F and yet turn the cooling into °C."""
    if numbers.show.metric:
        return {}
    say = (
        "You get this with the cooling in °C: here the expansion is for each °F, so let the cooling be in °F."
    )
    return {"°C for °F": Slip(value, say)}


class JointTension(Question):
    """Two like sheets share the mismatch; which side is pulled."""

    key = "1.2"
    title = "tension at the joint"
    minutes = 8
    given = (
        Given("sheet", "length", ("4 mm", "3 mm"), ("5/32 in", "1/8 in")),
        Given(
            "difference",
            "expansion",
            ("0.5 ×10⁻⁶ /K", "0.6 ×10⁻⁶ /K", "0.4 ×10⁻⁶ /K", "0.3 ×10⁻⁶ /K"),
            ("0.3 ×10⁻⁶ /°F", "0.25 ×10⁻⁶ /°F", "0.2 ×10⁻⁶ /°F", "0.35 ×10⁻⁶ /°F"),
        ),
        _COOLING,
        _STIFFNESS,
    )
    text = (
        "For the banner a sheet of colour is fused on a sheet of clear, each {sheet} thick. The expansion "
        "of the colour is larger, by {difference}. From where they set, they cool by {cooling}. Glass in a "
        "sheet has a stiffness of {stiffness}. What is the stress in the colour, right at the joint? "
        "Tension is positive, compression negative."
    )
    dimension = "pressure"
    tolerance = Tolerance(relative=0.02)
    low, high = 4e6, 16e6
    hints = (
        "Mismatch = difference of the expansions × cooling: so much more the colour wants to shrink.",
        "Two sheets of like thickness share the mismatch: each gives way by half.",
        "Stress at the joint = stiffness × mismatch / 2, free to bend or held flat. "
        "The glass that wants to shrink more is the one that is pulled there.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the stress in the colour at the joint [Pa]."""
        return float(self._stack(numbers).a_joint)

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [Pa]."""
        right = self.value(numbers)
        slips = {
            "half forgotten": Slip(
                2 * right,
                "You get this if the colour takes all of the mismatch: a like sheet of clear takes half "
                "of it.",
            ),
            "compression for tension": Slip(
                -right,
                "That is the clear at the joint. The colour wants to be shorter and is held long: tension.",
            ),
            "top face for the joint": Slip(
                float(self._stack(numbers).a_outer),
                "That is the top of the colour in a stack that is free to bend, not the joint.",
            ),
            "10⁻⁷ for 10⁻⁶": Slip(
                right / 10, "A tenth of it: the expansion is in millionths, 10⁻⁶, not in 10⁻⁷ as on a label."
            ),
            "10⁻⁶ forgotten": Slip(
                right * 1e6, "You get this without the 10⁻⁶: no glass survives a million times the stress."
            ),
        }
        return slips | _wrong_degrees(numbers, right / 1.8)

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        strain = numbers["difference"] * numbers["cooling"]
        return [
            f"Mismatch: {texts['difference']} × {texts['cooling']} = {strain * 1e6:.4g} millionths.",
            f"Both sheets are {texts['sheet']} thick and share it: {strain * 5e5:.4g} millionths each.",
            f"Stress: {texts['stiffness']} × {strain * 5e5:.4g} millionths.",
            "The colour wants to be shorter than the clear lets it: tension, positive.",
        ]

    def _stack(self, numbers: Numbers) -> c.Bilayer:
        strain = numbers["difference"] * numbers["cooling"]
        sheet = numbers["sheet"]
        return c.bilayer(strain, sheet, sheet, _as_stiff_as(numbers), form="beam")


class HowFar(Question):
    """From the allowed tension back to a difference of expansion."""

    key = "1.3"
    title = "how far apart may they be"
    minutes = 8
    given = (
        Given("allowed", "pressure", ("3 MPa", "3.5 MPa", "2.5 MPa"), ("450 psi", "500 psi", "350 psi")),
        _COOLING,
        _STIFFNESS,
    )
    text = (
        "Two sheets of like thickness are fused. Their joint may carry {allowed} of tension for good. From "
        "where they set, they cool by {cooling}; the stiffness of glass in a sheet is {stiffness}. By how "
        "much may the two expansions differ?"
    )
    dimension = "expansion"
    tolerance = Tolerance(relative=0.02)
    low, high = 0.05e-6, 0.4e-6
    hints = (
        "It is exercise 1.2 backwards: from the stress to the mismatch, then to the expansions.",
        "Each sheet takes half of the mismatch, so the mismatch may be twice what one sheet can take.",
        "Difference = 2 × tension / stiffness / cooling.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the difference of the expansions [1/K]."""
        _, most = c.allowed_mismatch(
            0.003, 0.003, _as_stiff_as(numbers), allowed_tension=numbers["allowed"], form="beam"
        )
        return float(most) / numbers["cooling"]

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [1/K]."""
        right = self.value(numbers)
        slips = {
            "half forgotten": Slip(
                right / 2,
                "You get this if one sheet takes all of the mismatch: two like sheets take half each.",
            ),
            "halved instead of doubled": Slip(
                right / 4, "You get this if you halve: since the sheets share, the mismatch may be double."
            ),
            "cooling forgotten": Slip(
                right * numbers.show.number(numbers["cooling"], "temperature_difference"),
                "That is the mismatch, a share of the length: divide it by the degrees of cooling.",
            ),
            "mega for giga": Slip(
                right * 1000, "You get this if the two pressures are in different units: bring them into one."
            ),
        }
        return slips | _wrong_degrees(numbers, right * 1.8)

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        strain = self.value(numbers) * numbers["cooling"]
        millionths = f"{strain * 1e6:.1f} millionths"
        return [
            f"One sheet can take {texts['allowed']} / {texts['stiffness']} = {strain * 5e5:.1f} millionths.",
            f"Two like sheets share, so the mismatch may be twice that: {millionths}.",
            f"Divided by the cooling: {millionths} / {texts['cooling']}.",
        ]


class Bow(Question):
    """A gap under a straight edge to a radius."""

    key = "1.4"
    title = "a bar under a straight edge"
    minutes = 6
    given = (
        Given(
            "bow",
            "length",
            ("0.30 mm", "0.20 mm", "0.25 mm", "0.35 mm"),
            ("0.012 in", "0.008 in", "0.010 in", "0.014 in"),
        ),
        Given("span", "length", ("200 mm", "180 mm", "160 mm"), ("8 in", "7 in", "6 in")),
    )
    text = (
        "A test bar of two glasses has bent. A straight edge rests on its hollow side at two points {span} "
        "apart, and in the middle a feeler gauge of {bow} just passes under it. What is the radius of the "
        "bend?"
    )
    dimension = "length"
    tolerance = Tolerance(relative=0.02)
    low, high = 5.0, 30.0
    hints = (
        "For a shallow arc: radius = span² / (8 × gap).",
        "Span and gap in the same unit. The radius of a bend this shallow is many metres.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the radius [m]."""
        return 1 / float(c.curvature_from_bow(numbers["bow"], numbers["span"]))

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [m]."""
        right = self.value(numbers)
        return {
            "diameter for radius": Slip(
                2 * right, "Twice as much: that is the width of the whole circle, its diameter."
            ),
            "half the span": Slip(
                right / 4, "You get this with half the span in span² / (8 × gap): it wants the whole span."
            ),
            "whole span for half": Slip(
                4 * right,
                "You get this with half² / (2 × gap) and the whole span in place of the half.",
            ),
            "span not squared": Slip(
                right / numbers["span"] * (INCH if numbers.units == "inches" else 1e-3),
                "You get this if the span is not squared.",
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        span, bow = texts["span"], texts["bow"]
        return [
            f"Square of the span: {span} × {span}.",
            f"Radius: that, divided by 8 × {bow}.",
        ]


class FromRadius(Question):
    """Timoshenko for two like layers, backwards."""

    key = "1.5"
    title = "from the bend to the expansions"
    minutes = 8
    given = (
        Given("radius", "length", ("12 m", "16 m", "20 m", "14 m"), ("40 ft", "52 ft", "66 ft", "46 ft")),
        Given("sheet", "length", ("2.5 mm", "3 mm", "4 mm"), ("3/32 in", "1/8 in", "5/32 in")),
        _COOLING,
    )
    text = (
        "Two strips of like glass, each {sheet} thick, were fused face to face and are bent to a radius of "
        "{radius}. They set and then cooled by {cooling}. For two like layers, 1 / radius = 1.5 × mismatch "
        "/ thickness of the whole stack. By how much do their expansions differ?"
    )
    dimension = "expansion"
    tolerance = Tolerance(relative=0.02)
    low, high = 0.1e-6, 1.2e-6
    hints = (
        "Turn the formula round: mismatch = thickness of the stack / (1.5 × radius).",
        "The stack is two sheets. Thickness and radius in the same unit.",
        "The mismatch grew over the whole cooling: divide by it.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the difference of the expansions [1/K]."""
        sheet = numbers["sheet"]
        one = c.bilayer(1e-4, sheet, sheet, _GLASS).curvature / 1e-4
        return 1 / numbers["radius"] / float(one) / numbers["cooling"]

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [1/K]."""
        right = self.value(numbers)
        slips = {
            "one sheet for the stack": Slip(
                right / 2, "You get this with one sheet: the stack is two sheets thick."
            ),
            "1.5 forgotten": Slip(1.5 * right, "You get this without the 1.5."),
            "1.5 on the wrong side": Slip(
                2.25 * right, "You get this if you multiply by 1.5: turned round, the formula divides by it."
            ),
            "cooling forgotten": Slip(
                right * numbers.show.number(numbers["cooling"], "temperature_difference"),
                "That is the mismatch, a share of the length: divide it by the degrees of cooling.",
            ),
            "millimetres for metres": Slip(
                right * 1000,
                "You get this with the thickness in mm and the radius in m: bring them into one unit.",
            ),
        }
        if not numbers.show.metric:
            slips["millimetres for metres"] = Slip(
                right * 12, "You get this with the thickness in inches and the radius in feet: 1 ft is 12 in."
            )
        return slips | _wrong_degrees(numbers, right * 1.8)

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        stack = numbers.show.text(2 * numbers["sheet"], "length")
        strain = self.value(numbers) * numbers["cooling"]
        return [
            f"Thickness of the stack: 2 × {texts['sheet']} = {stack}.",
            f"Mismatch: {stack} / (1.5 × {texts['radius']}) = {strain * 1e6:.4g} millionths.",
            f"Difference: {strain * 1e6:.4g} millionths / {texts['cooling']}.",
        ]


class ThroughTheEdge(Question):
    """Analyser and fringe to stress."""

    key = "1.6"
    title = "light through the edge"
    minutes = 8
    given = (
        Given("turn", "angle", ("48°", "60°", "72°", "40°")),
        Given("width", "length", ("24 mm", "25 mm", "28 mm"), ("7/8 in", "1 in", "1 1/8 in")),
        Given("sheet", "length", ("4 mm", "3 mm"), ("5/32 in", "1/8 in")),
        Given("each", "pressure", ("1 MPa",), ("1000 psi",)),
        Given("light", "length", ("27 nm",), ("473 nm",)),
        Given("way", "length", ("1 cm",), ("1 in",)),
    )
    text = (
        "A test bar of two strips, each {sheet} thick, is {width} wide. You look through its edge, along "
        "the width. From the end of the bar, where there is no stress, to the joint in mid-length one "
        "whole fringe has passed; then turning the analyser by {turn} makes the glass at the joint dark. A "
        "whole fringe is 565 nm and 180° of turning. A stress of {each} retards light by {light} in {way} of "
        "glass. What is the tension at the joint?"
    )
    dimension = "pressure"
    tolerance = Tolerance(relative=0.02)
    low, high = 8e6, 16e6
    hints = (
        "Retardation = 565 nm × (whole fringes + turn / 180°).",
        "Which way does the light go: through the thickness, or along the width?",
        "How much would the least stress that is named retard it on that way? The tension is so many times "
        "as large.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the tension [Pa]."""
        return self._stress(numbers, numbers["turn"], 1, numbers["width"])

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [Pa]."""
        right = self.value(numbers)
        turn, width = numbers["turn"], numbers["width"]
        slips = {
            "whole fringe forgotten": Slip(
                self._stress(numbers, turn, 0, width),
                "You get this from the turn alone: one whole fringe had passed before. Count it in.",
            ),
            "turned the other way": Slip(
                self._stress(numbers, -turn, 1, width),
                "You get this if the turn is taken off the fringe: it goes on top of it.",
            ),
            "360° for a fringe": Slip(
                self._stress(numbers, turn / 2, 1, width),
                "You get this with 360° for a fringe: half a turn, 180°, is a whole fringe.",
            ),
            "thickness for the way": Slip(
                self._stress(numbers, turn, 1, 2 * numbers["sheet"]),
                "You get this with the thickness of the bar: the light goes along its width.",
            ),
        }
        if numbers.show.metric:
            slips["millimetres for centimetres"] = Slip(
                right / 10, "You get this with the width in millimetres: the light is for each centimetre."
            )
        return slips

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts, show = numbers.texts, numbers.show
        retardation = retardation_from_analyser(numbers["turn"], 1)
        one = numbers["light"] * numbers["width"] / numbers["way"]
        light, each = (show.text(length, "length", like=500e-9) for length in (retardation, one))
        return [
            f"Retardation: 565 nm × (1 + {texts['turn']} / 180°) = {light}.",
            f"The light goes along the width, {texts['width']}: {texts['each']} retards it there by {each}. "
            "The thickness is not needed.",
            f"Tension: {light} / {each} × {texts['each']}.",
        ]

    def _stress(self, numbers: Numbers, turn: float, fringes: int, width: float) -> float:
        per_pascal = numbers["light"] / numbers["each"] / numbers["way"]
        return float(retardation_from_analyser(turn, fringes)) / (per_pascal * width)


class Sandwich(Question):
    """Three layers, the same from above and below."""

    key = "1.7"
    title = "colour between two sheets of clear"
    minutes = 8
    given = (
        Given("colour", "length", ("2 mm", "1.5 mm"), ("1/16 in", "3/32 in")),
        Given("clear", "length", ("3 mm", "4 mm"), ("1/8 in", "5/32 in")),
        Given(
            "difference",
            "expansion",
            ("0.4 ×10⁻⁶ /K", "0.3 ×10⁻⁶ /K", "0.5 ×10⁻⁶ /K"),
            ("0.2 ×10⁻⁶ /°F", "0.15 ×10⁻⁶ /°F", "0.25 ×10⁻⁶ /°F"),
        ),
        _COOLING,
        _STIFFNESS,
    )
    text = (
        "A sheet of colour, {colour} thick, is fused between two sheets of clear, each {clear} thick. The "
        "expansion of the colour is larger, by {difference}. From where they set, they cool by {cooling}. "
        "Glass in a sheet has a stiffness of {stiffness}. What is the stress in the colour? Tension is "
        "positive, compression negative."
    )
    dimension = "pressure"
    tolerance = Tolerance(relative=0.02)
    low, high = 4e6, 20e6
    hints = (
        "The stack is the same from above and from below: it stays flat, and each layer is pulled evenly.",
        "Pull and pressure balance: the tension × thickness of the colour is the pressure × thickness of the "
        "clear, both sheets of it.",
        "Together they share the mismatch: the thicker side gives way less.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the stress in the colour [Pa]."""
        strain = numbers["difference"] * numbers["cooling"]
        layers = [numbers["clear"], numbers["colour"], numbers["clear"]]
        stack = c.laminate([0.0, strain, 0.0], layers, [_as_stiff_as(numbers)] * 3, form="beam")
        return float(stack.top[1])

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [Pa]."""
        right = self.value(numbers)
        whole = numbers["stiffness"] * numbers["difference"] * numbers["cooling"]
        colour, clear = numbers["colour"], numbers["clear"]
        slips = {
            "one sheet of clear": Slip(
                whole * clear / (clear + colour),
                "You get this with one sheet of clear: there are two, one above and one below.",
            ),
            "half each": Slip(
                whole / 2,
                "You get this if colour and clear share by halves, as two like sheets do: here the clear is "
                "thicker.",
            ),
            "all of the mismatch": Slip(
                whole,
                "You get this if the colour takes all of the mismatch: the clear gives way a little too.",
            ),
            "clear for colour": Slip(
                whole * colour / (2 * clear + colour),
                "That is how hard the clear is pressed: the thin colour is pulled harder than that.",
            ),
            "compression for tension": Slip(
                -right,
                "The other way round: the colour wants to be shorter and is held long, which is tension.",
            ),
        }
        return slips | _wrong_degrees(numbers, right / 1.8)

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        strain = numbers["difference"] * numbers["cooling"]
        share = 2 * numbers["clear"] / (2 * numbers["clear"] + numbers["colour"])
        return [
            f"Mismatch: {texts['difference']} × {texts['cooling']} = {strain * 1e6:.4g} millionths.",
            f"The colour takes the share of the clear: 2 × {texts['clear']} / (2 × {texts['clear']} + "
            f"{texts['colour']}) = {share:.3g}.",
            f"Stress: {texts['stiffness']} × {strain * 1e6:.4g} millionths × {share:.3g}.",
            "The colour wants to be shorter than the clear lets it: tension, positive.",
        ]


QUESTIONS = (Shorter(), JointTension(), HowFar(), Bow(), FromRadius(), ThroughTheEdge(), Sandwich())
