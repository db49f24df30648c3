"""Pages to print: one self-contained HTML file, which loads nothing from anywhere and runs nothing."""

import base64
import functools
import html
import re
from collections.abc import Mapping
from typing import Any

import mistune

from kilncalc import __version__
from kilncalc.classroom import notebooks
from kilncalc.classroom.roster import Student
from kilncalc.figures.style import FIRST, FONT, GRID, INK, PAPER, QUIET

STYLE = f"""
@page {{ margin: 15mm; }}
* {{ box-sizing: border-box; }}
body {{ font: 11pt/1.4 {FONT}; color: {INK}; background: {PAPER}; max-width: 180mm; margin: 0 auto;
  padding: 4mm; overflow-wrap: break-word; hyphens: manual; }}
.who {{ overflow-wrap: anywhere; }}
h1 {{ font-size: 18pt; }} h2 {{ font-size: 14pt; margin-top: 8mm; }} h3 {{ font-size: 12pt; }}
h1, h2, h3 {{ line-height: 1.2; break-after: avoid; }}
header, footer {{ color: {QUIET}; font-size: 10pt; }}
header {{ border-bottom: 1px solid {QUIET}; padding-bottom: 2mm; }}
header strong {{ color: {INK}; font-size: 12pt; }}
table {{ border-collapse: collapse; margin: 3mm 0; max-width: 100%; }}
th, td {{ border: 1px solid {QUIET}; padding: 1mm 2mm; text-align: left; vertical-align: top; }}
th {{ background: {GRID}; }}
thead {{ display: table-header-group; }} tr {{ break-inside: avoid; }}
pre {{ white-space: pre-wrap; font-size: 9pt; background: #f4f6f8; padding: 2mm; margin: 2mm 0;
  break-inside: avoid; }}
blockquote {{ border-left: 3px solid {FIRST}; margin: 3mm 0; padding-left: 4mm; }}
figure {{ margin: 4mm 0; break-inside: avoid; }}
figure svg {{ width: 100%; height: auto; display: block; }}
figcaption {{ font-size: 10pt; }}
.exercise {{ border: 1px solid {QUIET}; padding: 1mm 4mm 4mm; margin: 4mm 0; break-inside: avoid; }}
.line {{ border-bottom: 1px solid {QUIET}; height: 9mm; display: flex; align-items: end; }}
@media print {{ body {{ max-width: none; padding: 0; }} }}
"""

_WORKING_LINES = 4
_FRACTION = re.compile(r"(\d) (\d+/\d+)")
"""A whole number and its fraction, which must not part at the end of a line: 7 1/2."""
_SVG_NAMES = re.compile(r'(\s)id="([^"]+)"')
_SVG_FILLS = re.compile(r"""url\((['"]?)[^)'"#]*#([^)'"]+)\1\)""")
_SVG_LINKS = re.compile(r'href="#([^"]+)"')


def page(title: str, body: str, extra_style: str = "") -> str:
    """Return a whole HTML page, which a browser will not let load or run anything."""
    policy = "default-src 'none'; style-src 'unsafe-inline'; img-src data:"
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
        '<meta name="viewport" content="width=device-width">\n'
        f"<title>{html.escape(title)}</title>\n<style>{STYLE}{extra_style}</style></head>\n"
        f"<body>\n{body}\n</body></html>\n"
    )


def who(student: Student, strong: bool = False) -> str:
    """Return a student's id and, where there is one, name, as HTML that stays on the paper."""
    words = html.escape(f"{student.id} · {student.name}" if student.name else student.id)
    return f'<strong class="who">{words}</strong>' if strong else f'<span class="who">{words}</span>'


class Pages:
    """Turns students' notebooks into pages; what is the same for the whole class is rendered once."""

    def __init__(self) -> None:
        self._rendered = functools.lru_cache(maxsize=2000)(_markdown)

    def page(self, notebook: Mapping[str, Any], student: Student) -> str:
        """Return the page of one student's copy of a lesson."""
        parts, title, exercise = [], "", ""
        for number, cell in enumerate(notebook["cells"]):
            source = "".join(cell["source"])
            if cell["cell_type"] == "markdown":
                pictures = tuple(
                    (name, _text(kinds["image/svg+xml"]))
                    for name, kinds in cell.get("attachments", {}).items()
                    if "image/svg+xml" in kinds
                )
                shown = self._rendered(notebooks.START.sub("", source), pictures, f"p{number}-")
                title = title or source.lstrip("# ").partition("\n")[0]
                if "question" in cell["metadata"].get("kilncalc", {}):
                    exercise = shown
                else:
                    parts.append(shown)
            elif exercise:
                parts.append(f'<section class="exercise">{exercise}{_ANSWER}</section>')
                exercise = ""
            elif cell["cell_type"] == "code":
                parts.append(_printed(cell["outputs"]))
        head = f"<header>{who(student, strong=True)} — {html.escape(title)}</header>"
        foot = f"<footer>kilncalc {html.escape(__version__)}, numbers of {html.escape(student.id)}</footer>"
        return page(f"{title} — {student.id}", "\n".join([head, *parts, foot]))

    def sheet(self, notebook: Mapping[str, Any], student: Student) -> str:
        """Return the exercises of one student's copy alone, with little room each: two pages a lesson."""
        parts = []
        title = "".join(notebook["cells"][0]["source"]).lstrip("# ").partition("\n")[0]
        for number, cell in enumerate(notebook["cells"]):
            if "question" in cell["metadata"].get("kilncalc", {}):
                shown = self._rendered("".join(cell["source"]), (), f"p{number}-")
                parts.append(f'<section class="exercise">{shown}{_SHORT_ANSWER}</section>')
        head = f"<header>{who(student, strong=True)} — {html.escape(title)}</header>"
        foot = f"<footer>kilncalc {html.escape(__version__)}, numbers of {html.escape(student.id)}</footer>"
        return page(f"{title} — {student.id}", "\n".join([head, *parts, foot]), _SHEET)


_SHEET = """
@page { margin: 12mm; } body { font-size: 10pt; line-height: 1.3; } .exercise p { margin: 1.5mm 0; }
.exercise { padding: 0 3mm 2mm; margin: 2.5mm 0; } .line { height: 7mm; }
"""
_SHORT_ANSWER = f'{"<div class=line></div>" * 2}<div class="line">Answer, with its unit:</div>'
_ANSWER = f'{"<div class=line></div>" * _WORKING_LINES}<div class="line">Answer, with its unit:</div>'


def _text(stored: str | list[str]) -> str:
    """Return what a notebook keeps as one text, or as lines."""
    return stored if isinstance(stored, str) else "".join(stored)


def _printed(outputs: list[Mapping[str, Any]]) -> str:
    """Return what a cell has printed, without its code; nothing of one that has printed nothing."""
    texts = []
    for output in outputs:
        shown = output.get("text") or output.get("data", {}).get("text/plain") or ""
        texts.append("".join(shown).rstrip("\n"))
    shown = "\n".join(filter(None, texts))
    return f"<pre>{html.escape(shown)}</pre>" if shown else ""


class _Renderer(mistune.HTMLRenderer):
    """Pictures come from the cell's own attachments; an address is printed instead of linked."""

    def __init__(self, pictures: Mapping[str, str], prefix: str) -> None:
        super().__init__(escape=True)
        self.pictures, self.prefix = pictures, prefix

    def image(self, text: str, url: str, title: str | None = None) -> str:
        name = url.removeprefix("attachment:").rpartition(".")[0] + ".svg"
        if name not in self.pictures:
            return f"<em>{html.escape(text)}</em>"
        drawing = inline_svg(self.pictures[name], f"{self.prefix}{name.partition('.')[0]}-", text)
        return f"</p><figure>{drawing}<figcaption>{html.escape(text)}</figcaption></figure><p>"

    def link(self, text: str, url: str, title: str | None = None) -> str:
        return f"{text} ({html.escape(url)})" if url.startswith("http") and url not in text else text


def _markdown(source: str, pictures: tuple[tuple[str, str], ...], prefix: str) -> str:
    renderer = _Renderer(dict(pictures), prefix)
    rendered = mistune.create_markdown(renderer=renderer, plugins=["table"])(source)
    return _FRACTION.sub(
        "\\1\N{NO-BREAK SPACE}\\2", str(rendered).replace("<p></p>\n", "").replace("<p></p>", "")
    )


def inline_svg(encoded: str, prefix: str, words: str) -> str:
    """Return a stored picture (base64) as SVG inside a page: names made unique, read out as `words`."""
    drawing = base64.b64decode(encoded).decode("utf-8")
    names = {name for _, name in _SVG_NAMES.findall(drawing)}
    drawing = _SVG_NAMES.sub(rf'\1id="{prefix}\2"', drawing)

    def own(found: re.Match[str]) -> str:
        return f"url(#{prefix}{found[2]})" if found[2] in names else "none"

    drawing = _SVG_FILLS.sub(own, drawing)
    drawing = _SVG_LINKS.sub(rf'href="#{prefix}\1"', drawing)
    drawing = re.sub(r'\sxmlns(:\w+)?="[^"]*"', "", drawing)
    return drawing.replace("<svg", f'<svg role="img" aria-label="{html.escape(words)}"', 1)
