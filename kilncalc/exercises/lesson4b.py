"""The exercises of lesson 4b: how far parts differ, what that pulls, paper, a frame, reading a map."""

from kilncalc.exercises._questions import Given, Numbers, Question, Slip, Tolerance


class Apart(Question):
    """How far a thick part falls behind a thin one."""

    key = "4b.1"
    title = "how far thick and thin part"
    minutes = 6
    given = (
        Given("thin", "length", ("3 mm",), ("1/8 in",)),
        Given("thick", "length", ("8 mm", "9 mm", "7 mm"), ("3/8 in", "1/2 in", "7/16 in")),
        Given(
            "rate",
            "rate",
            ("50 °C/h", "150 °C/h", "40 °C/h", "140 °C/h"),
            ("90 °F/h", "270 °F/h", "70 °F/h", "250 °F/h"),
        ),
        Given("lag", "temperature_difference", ("2.2 °C",), ("13 °F",)),
        Given("each", "length", ("1 mm",), ("1/8 in",)),
        Given("per", "rate", ("100 °C/h",), ("180 °F/h",)),
    )
    text = (
        "A solid piece is {thin} thick, and {thick} under a motif. In this kiln, heated at {per}, a thicker "
        "part falls behind a thinner one by {lag} for each {each} that it is thicker. You heat at {rate}. "
        "How far do the two part?"
    )
    dimension = "temperature_difference"
    tolerance = Tolerance(relative=0.02)
    low, high = 3.0, 40.0
    hints = (
        "What counts: how thick the motif is, or how much thicker than the rest?",
        "At half the rate they part half as far.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the difference [K]."""
        return self._apart(numbers, numbers["thick"] - numbers["thin"])

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [K]."""
        right, rates = self.value(numbers), numbers["rate"] / numbers["per"]
        return {
            "whole thickness": Slip(
                self._apart(numbers, numbers["thick"]),
                "You get this with the whole thickness of the motif: only what it has more counts.",
            ),
            "rate left out": Slip(
                right / rates, "You get this for the rate at which the kiln was measured: yours is another."
            ),
            "rate turned round": Slip(
                right / rates**2, "You get this if a slower kiln lets them part further: it is the other way."
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        extra = numbers["thick"] - numbers["thin"]
        return [
            f"Thicker by {texts['thick']} - {texts['thin']} = {numbers.show.text(extra, 'length')}.",
            f"At {texts['per']}: {extra / numbers['each']:.3g} × {texts['lag']}.",
            f"At your rate: times {texts['rate']} / ({texts['per']}).",
        ]

    def _apart(self, numbers: Numbers, thickness: float) -> float:
        return numbers["lag"] * thickness / numbers["each"] * numbers["rate"] / numbers["per"]


class Pull(Question):
    """What a difference of temperature pulls."""

    key = "4b.2"
    title = "what the difference pulls"
    minutes = 8
    given = (
        Given("apart", "temperature_difference", ("9 °C", "6 °C", "12 °C"), ("16 °F", "11 °F", "22 °F")),
        Given("pull", "pressure", ("0.8 MPa",), ("65 psi",)),
        Given("each", "temperature_difference", ("1 °C",), ("1 °F",)),
        Given("share", "ratio", ("30 %", "25 %", "40 %", "20 %")),
    )
    text = (
        "While it heats, the thick part of a tray is {apart} colder than the thin one. {share} of the glass, "
        "by weight, is in the thick part. The tray lies in a mould and is held flat. Glass that is {each} "
        "colder than what it is fixed to is pulled with {pull}, if that does not give way at all. The thin "
        "part does give way: it holds only as well as its own share of the glass allows. How hard is the "
        "thick part pulled?"
    )
    dimension = "pressure"
    tolerance = Tolerance(relative=0.02)
    low, high = 2e6, 9e6
    hints = (
        "First as if the thin part did not give way at all.",
        "If nearly all of the glass were thick, the little thin part could hardly pull at it.",
        "So the share that is left is the share of the thin part.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the tension [Pa]."""
        return self._kept(numbers) * (1 - numbers["share"])

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [Pa]."""
        kept = self._kept(numbers)
        return {
            "share forgotten": Slip(
                kept, "That is the pull if the thin part did not give way at all: it does, a little."
            ),
            "the other part's pull": Slip(
                kept * numbers["share"],
                "That is how hard the thin part is pressed: the smaller part has the larger stress.",
            ),
            "share divided": Slip(
                kept / (1 - numbers["share"]),
                "You get this if you divide by the share of the thin part: multiply by it.",
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        count = numbers["apart"] / numbers["each"]
        thin = f"{100 * (1 - numbers['share']):.3g} %"
        kept = numbers.show.text(self._kept(numbers), "pressure")
        return [
            f"If the thin part did not give way: {count:.3g} × {texts['pull']} = {kept}.",
            f"The thin part holds with its share of the glass: 100 % - {texts['share']} = {thin}.",
            f"Pull on the thick part: {kept} × {thin}.",
        ]

    def _kept(self, numbers: Numbers) -> float:
        return numbers["pull"] * numbers["apart"] / numbers["each"]


class PaperAsGlass(Question):
    """How much glass a former insulates like."""

    key = "4b.3"
    title = "the banner's former as insulation"
    minutes = 5
    given = (
        Given("layers", "count", ("4 layers", "3 layers", "5 layers")),
        Given("sold", "length", ("2 mm",), ("1/16 in",)),
        Given("measured", "length", ("2.3 mm", "2.4 mm", "2.6 mm"), ("0.075 in", "0.08 in", "0.085 in")),
        Given("times", "ratio", ("13",)),
    )
    text = (
        "The former in the banner's sleeve is {layers} of fibre paper. The paper is sold as {sold} "
        "and measures {measured}. It insulates {times} times as well as glass of the same thickness. How "
        "thick would glass have to be to shade the sheet below as much?"
    )
    dimension = "length"
    tolerance = Tolerance(relative=0.02)
    low, high = 0.05, 0.2
    hints = (
        "First the height of the former, from what was measured.",
        "Glass insulates less, so it has to be thicker than the paper.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the thickness [m]."""
        return numbers["layers"] * numbers["measured"] * numbers["times"]

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [m]."""
        right = self.value(numbers)
        return {
            "nominal for measured": Slip(
                right * numbers["sold"] / numbers["measured"],
                "You get this with what the paper is sold as: count with what was measured.",
            ),
            "one layer": Slip(
                right / numbers["layers"], "You get this for one layer of paper: the former has several."
            ),
            "divided instead of multiplied": Slip(
                right / numbers["times"] ** 2,
                "You get this if the glass is thinner than the paper: glass insulates less, not more.",
            ),
            "height of the former": Slip(
                right / numbers["times"], "That is the height of the former: how much glass insulates alike?"
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        height = numbers.show.text(numbers["layers"] * numbers["measured"], "length")
        return [
            f"The former: {numbers['layers']:g} × {texts['measured']} = {height}.",
            f"Glass that insulates alike: {texts['times']} × {height}.",
        ]


class FrameShare(Question):
    """How much of a tray a frame covers."""

    key = "4b.4"
    title = "the share of the tray's frame"
    minutes = 7
    given = (
        Given("length", "length", ("240 mm", "250 mm", "260 mm"), ("9 1/2 in", "10 in", "10 1/2 in")),
        Given("width", "length", ("180 mm", "170 mm", "190 mm"), ("7 in", "6 1/2 in", "7 1/2 in")),
        Given("strip", "length", ("20 mm", "24 mm", "18 mm"), ("3/4 in", "1 in", "7/8 in")),
    )
    text = (
        "The relief tray is {length} by {width}. All around lies a raised frame, strips {strip} wide, flush "
        "with the edge. What share of the tray's area is the thicker part?"
    )
    dimension = "ratio"
    tolerance = Tolerance(relative=0.015)
    low, high = 0.2, 0.6
    hints = (
        "What is left bare is a smaller rectangle in the middle.",
        "How much shorter and narrower is it? There is a strip at both ends.",
        "The share of the frame is what the bare rectangle leaves.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the share [-]."""
        return 1 - self._bare(numbers, 2 * numbers["strip"])

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [-]."""
        strip, length, width = numbers["strip"], numbers["length"], numbers["width"]
        return {
            "corners counted twice": Slip(
                2 * strip * (length + width) / (length * width),
                "You get this with four strips of full length: in the corners they would lie on each other.",
            ),
            "one strip each way": Slip(
                1 - self._bare(numbers, strip), "You get this with a strip at one end only: there are two."
            ),
            "the bare middle": Slip(
                1 - self.value(numbers), "That is the share that stays bare: the frame is the rest."
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        length, width = (
            numbers.show.text(numbers[name] - 2 * numbers["strip"], "length") for name in ("length", "width")
        )
        bare = self._bare(numbers, 2 * numbers["strip"])
        return [
            f"Bare: {texts['length']} - 2 × {texts['strip']} = {length}, and in the same way {width}.",
            f"Bare share: {length} × {width} / ({texts['length']} × {texts['width']}) = {bare:.3f}.",
            f"Frame: 1 - {bare:.3f}.",
        ]

    def _bare(self, numbers: Numbers, less: float) -> float:
        length, width = numbers["length"], numbers["width"]
        return (length - less) * (width - less) / (length * width)


class DownToTheLimit(Question):
    """The rate at which even the upper end of what is likely stays at the limit."""

    key = "4b.5"
    title = "a rate that the map allows"
    minutes = 7
    given = (
        Given("rate", "rate", ("150 °C/h", "120 °C/h", "200 °C/h"), ("270 °F/h", "220 °F/h", "360 °F/h")),
        Given("pull", "pressure", ("4 MPa",), ("580 psi",)),
        Given("least", "pressure", ("3.2 MPa",), ("460 psi",)),
        Given("most", "pressure", ("5 MPa", "5.5 MPa"), ("730 psi", "800 psi")),
        Given("limit", "pressure", ("3.5 MPa",), ("510 psi",)),
    )
    text = (
        "You have drawn a piece and fired its map, heated at {rate}. Its frame is pulled with {pull}, likely "
        "{least} to {most}. The limit is {limit}. Count as if the pull went with the rate. Up to what rate "
        "does even the upper end of what is likely stay within the limit?"
    )
    dimension = "rate"
    tolerance = Tolerance(relative=0.02)
    low, high = 60.0, 160.0
    hints = (
        "Slower pulls less: the answer is less than the rate of the map.",
        "Which of the three numbers has to come down to the limit?",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the rate [degC/h]."""
        return numbers["rate"] * numbers["limit"] / numbers["most"]

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [degC/h]."""
        rate, limit = numbers["rate"], numbers["limit"]
        return {
            "the number and not its end": Slip(
                rate * limit / numbers["pull"],
                "You get this from the number in the middle: as likely as not your kiln pulls harder.",
            ),
            "the lower end": Slip(
                rate * limit / numbers["least"],
                "You get this from the lower end of what is likely: take the other one.",
            ),
            "turned round": Slip(
                rate * numbers["most"] / limit, "You get this if a faster kiln pulls less: it pulls harder."
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        return [
            f"The upper end, {texts['most']}, has to come down to {texts['limit']}.",
            f"As if in proportion: {texts['rate']} × {texts['limit']} / {texts['most']}.",
            "The pull falls a little less than the rate does: type the next lower round number, and fire the "
            "map once more at it.",
        ]


class GreyAsGlass(Question):
    """How thick a grey of a picture is."""

    key = "4b.6"
    title = "a grey as thickness"
    minutes = 5
    given = (
        Given("thin", "length", ("3 mm",), ("1/8 in",)),
        Given("thick", "length", ("9 mm", "8 mm", "10 mm"), ("3/8 in", "5/16 in", "7/16 in")),
        Given("dark", "ratio", ("40 %", "30 %", "20 %", "35 %")),
    )
    text = (
        "You load a picture of your design as a thickness map: darker is thicker. White is set to {thin}, "
        "black to {thick}. One patch is a light grey, {dark} of the way from white to black. How thick is "
        "the glass there, all in all?"
    )
    dimension = "length"
    tolerance = Tolerance(relative=0.02)
    low, high = 0.003, 0.008
    hints = (
        "How much more glass than white has black?",
        "The grey has its share of that, on top of what white has.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the thickness [m]."""
        return numbers["thin"] + numbers["dark"] * (numbers["thick"] - numbers["thin"])

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [m]."""
        thin, thick, dark = numbers["thin"], numbers["thick"], numbers["dark"]
        return {
            "a share of black": Slip(
                dark * thick, "You get this as a share of black's whole thickness: white has glass, too."
            ),
            "white and black changed over": Slip(
                thick - dark * (thick - thin), "You get this if white is thick: here darker is thicker."
            ),
            "only what is added": Slip(
                dark * (thick - thin), "That is what the grey has more than white: and below it?"
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        more = numbers["thick"] - numbers["thin"]
        added = numbers.show.text(numbers["dark"] * more, "length")
        return [
            f"Black has {texts['thick']} - {texts['thin']} = {numbers.show.text(more, 'length')} more.",
            f"The grey has {texts['dark']} of that: {added}.",
            f"All in all: {texts['thin']} + {added}.",
        ]


class LineInCell(Question):
    """What a map makes of a line that is narrower than its cells."""

    key = "4b.7"
    title = "a fine line in a coarse map"
    minutes = 6
    given = (
        Given("sheet", "length", ("6 mm",), ("1/4 in",)),
        Given("width", "length", ("4 mm", "3 mm"), ("1/8 in", "3/16 in")),
        Given("height", "length", ("3 mm",), ("1/8 in",)),
        Given("cell", "length", ("6 mm", "8 mm"), ("1/4 in", "5/16 in")),
    )
    text = (
        "You draw a line {width} wide and {height} high on a sheet of {sheet}. The cells of the map are "
        "{cell} wide, and one row of them runs along the line, so that the line lies within that row. A cell "
        "has one thickness all over, and as much glass as lies there. How thick is the row in the map?"
    )
    dimension = "length"
    tolerance = Tolerance(relative=0.02)
    low, high = 0.0065, 0.009
    hints = (
        "Spread the glass of the line over the whole width of the cell.",
        "Wider means lower: by the share of the cell that the line covers.",
        "The sheet lies below it.",
    )

    def value(self, numbers: Numbers) -> float:
        """Return the thickness [m]."""
        return numbers["sheet"] + numbers["height"] * numbers["width"] / numbers["cell"]

    def slips(self, numbers: Numbers) -> dict[str, Slip]:
        """Return what each slip gives [m]."""
        sheet, width, height, cell = (numbers[name] for name in ("sheet", "width", "height", "cell"))
        return {
            "full height": Slip(
                sheet + height,
                "That is how thick the line is; its glass is spread over a cell that is wider than it.",
            ),
            "the sheet forgotten": Slip(
                height * width / cell, "That is what the line adds to the row: the sheet lies below it."
            ),
            "turned round": Slip(
                sheet + height * cell / width, "You get this if the spread line is higher: it is lower."
            ),
        }

    def working(self, numbers: Numbers) -> list[str]:
        """Return the steps."""
        texts = numbers.texts
        added = numbers.show.text(numbers["height"] * numbers["width"] / numbers["cell"], "length")
        return [
            f"The line covers {texts['width']} of {texts['cell']}: it adds {texts['height']} × "
            f"{texts['width']} / ({texts['cell']}) = {added}.",
            f"With the sheet below it: {texts['sheet']} + {added}.",
        ]


QUESTIONS = (Apart(), Pull(), PaperAsGlass(), FrameShare(), DownToTheLimit(), GreyAsGlass(), LineInCell())
