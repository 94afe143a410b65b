"""Draws the marks of the plan sheet as letters of a font: `python -m caseboard.sheets.marks_font`.

A sheet shows one mark in three columns of every row: as drawings of their own they were a sixth of
its cost, as letters they cost next to nothing and print sharp. Without the font (a browser that
loads none) the letters are the usual signs of the same shape. Run it after changing a shape.
"""

import math
from pathlib import Path

from fontTools.fontBuilder import FontBuilder  # type: ignore[import-untyped]  # no types published
from fontTools.pens.ttGlyphPen import TTGlyphPen  # type: ignore[import-untyped]  # no types published

FILE = Path(__file__).parents[1] / "static/marks/sheet-marks.woff2"
FAMILY = "Sheet Marks"
EM = 1000
BOX = 945 / 20  # the marks are drawn in a box of 20 by 20, y down: 3 mm at 9 pt
TOP = 819  # .4 mm of it are below the line
SIDES = 48  # of a circle: 3 micrometres off a round one
DASHES = 8
DRAWN = (
    3_878_668_800  # the file says this day (seconds since 1904), so that it is the same every time
)
Point = tuple[float, float]
Outline = list[Point]


def shapes() -> dict[str, list[Outline]]:
    """The outlines by sign; what runs the other way round is a hole."""
    return {
        "✓": [_arc(10), _stroke([(5, 10.5), (8.5, 14), (15, 7)], 2.6)[::-1]],
        "✗": [_stroke([(4, 4), (16, 16)], 3), _stroke([(16, 4), (4, 16)], 3)],
        "○": [_arc(9.5), _arc(7.5)[::-1]],
        "◌": [_dash(n * 2 * math.pi / DASHES) for n in range(DASHES)],
        "▲": [[(8.67, 1.9), (17, 17.4), (0.35, 17.4)]],  # a value outside its band
    }


def _arc(radius: float, start: float = 0.0, length: float = 2 * math.pi) -> Outline:
    steps = max(4, round(SIDES * length / (2 * math.pi)))
    count = steps if length == 2 * math.pi else steps + 1
    turns = [start + length * n / steps for n in range(count)]
    return [(10 + radius * math.cos(t), 10 + radius * math.sin(t)) for t in turns]


def _dash(start: float) -> Outline:
    """One dash of the ring: 4 long and 2 thick."""
    return [*_arc(9.5, start, 4 / 8.5), *_arc(7.5, start, 4 / 8.5)[::-1]]


def _stroke(points: list[Point], width: float) -> Outline:
    """The outline of a line of so many points, with mitred corners."""
    one = [_beside(points, n, width / 2) for n in range(len(points))]
    other = [_beside(points, n, -width / 2) for n in range(len(points))]
    return [*one, *other[::-1]]


def _beside(points: list[Point], at: int, distance: float) -> Point:
    pairs = [(points[n], points[n + 1]) for n in (at - 1, at) if 0 <= n < len(points) - 1]
    normals = []
    for (x1, y1), (x2, y2) in pairs:
        long = math.hypot(x2 - x1, y2 - y1)
        normals.append(((y2 - y1) / long, (x1 - x2) / long))
    x = sum(normal[0] for normal in normals) / len(normals)
    y = sum(normal[1] for normal in normals) / len(normals)
    scale = distance / (x * x + y * y)
    return (points[at][0] + x * scale, points[at][1] + y * scale)


def marks_font() -> FontBuilder:
    signs = shapes()
    names = {sign: f"uni{ord(sign):04X}" for sign in signs}
    build = FontBuilder(EM, isTTF=True)
    build.setupGlyphOrder([".notdef", *names.values()])
    build.setupCharacterMap({ord(sign): name for sign, name in names.items()})
    empty = TTGlyphPen(None).glyph()
    build.setupGlyf({".notdef": empty, **{names[s]: _glyph(signs[s]) for s in signs}})
    widths = {name: (round(20 * BOX), 0) for name in names.values()}
    build.setupHorizontalMetrics({".notdef": (EM, 0), **widths})
    build.setupHorizontalHeader(ascent=900, descent=-200)
    build.setupNameTable({"familyName": FAMILY, "styleName": "Regular"})
    build.setupOS2(sTypoAscender=900, sTypoDescender=-200, usWinAscent=900, usWinDescent=200)
    build.setupPost()
    build.updateHead(created=DRAWN, modified=DRAWN)
    build.font.recalcTimestamp = False
    return build


def _glyph(outlines: list[Outline]) -> object:
    pen = TTGlyphPen(None)
    for outline in outlines:
        placed = [(round(x * BOX), round(TOP - y * BOX)) for x, y in outline]
        pen.moveTo(placed[0])
        for point in placed[1:]:
            pen.lineTo(point)
        pen.closePath()
    return pen.glyph()


def main() -> None:
    font = marks_font().font
    font.flavor = "woff2"
    font.save(FILE)


if __name__ == "__main__":
    main()
