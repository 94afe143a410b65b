"""What a printer would do with a page: how large and how dark each piece of its text comes out.

Decided 2026-11: ink is tested as drawn: colour and size of every piece of text are read out of the
PDF, also inside drawings. The road not taken: reading the style sheet alone, which missed those.
"""

import io
from collections.abc import Iterator
from dataclasses import dataclass

import pypdf
from pypdf.generic import ContentStream

Matrix = tuple[float, float, float, float, float, float]
Rgb = tuple[float, float, float]
SAME: Matrix = (1, 0, 0, 1, 0, 0)


@dataclass(frozen=True)
class Piece:
    """A run of text: its height in points on the paper, its colour, and how much that covers."""

    size_pt: float
    rgb: Rgb
    alpha: float


def grey(rgb: Rgb) -> float:
    """How light a black-and-white printer takes a colour for, 0 to 1 (weights of ITU-R BT.601)."""
    return 0.299 * rgb[0] + 0.587 * rgb[1] + 0.114 * rgb[2]


def grey_contrast(one: Rgb, other: Rgb) -> float:
    """The contrast of two colours printed in grey, as WCAG 2.2 reckons it: 1 to 21."""

    def light(value: float) -> float:
        return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4

    dark, pale = sorted((light(grey(one)), light(grey(other))))
    return (pale + 0.05) / (dark + 0.05)


def text_of(pdf: bytes) -> list[Piece]:
    """Every piece of text of all pages, that of their drawings too."""
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    return [
        piece
        for page in reader.pages
        for piece in _text(reader, page.get_contents(), page["/Resources"], SAME)
    ]


def _times(first: Matrix, then: Matrix) -> Matrix:
    a, b, c, d, e, f = first
    g, h, i, j, k, m = then
    return (
        a * g + b * i,
        a * h + b * j,
        c * g + d * i,
        c * h + d * j,
        e * g + f * i + k,
        e * h + f * j + m,
    )


@dataclass
class _State:
    place: Matrix
    rgb: Rgb = (0, 0, 0)
    alpha: float = 1.0
    size: float = 0.0


def _text(reader: pypdf.PdfReader, stream: object, has: object, place: Matrix) -> Iterator[Piece]:
    state, kept, line = _State(place), [], SAME
    resources = has.get_object()  # type: ignore[attr-defined]
    for values, name in ContentStream(stream, reader).operations:
        match name:
            case b"q":
                kept.append(_State(state.place, state.rgb, state.alpha, state.size))
            case b"Q":
                state = kept.pop()
            case b"cm":
                state.place = _times(_matrix(values), state.place)
            case b"rg":
                state.rgb = (float(values[0]), float(values[1]), float(values[2]))
            case b"g":
                state.rgb = (float(values[0]),) * 3
            case b"k" | b"sc" | b"scn":
                raise AssertionError(f"a colour that is not looked at: {name!r}")
            case b"gs":
                shown = resources["/ExtGState"][values[0]].get_object()
                state.alpha = float(shown.get("/ca", state.alpha))
            case b"Tf":
                state.size = float(values[1])
            case b"Tm":
                line = _matrix(values)
            case b"TJ" | b"Tj":
                whole = _times(line, state.place)
                yield Piece(
                    state.size * (whole[2] ** 2 + whole[3] ** 2) ** 0.5, state.rgb, state.alpha
                )
            case b"Do":
                inner = resources["/XObject"][values[0]].get_object()
                if inner["/Subtype"] == "/Form":
                    own = _times(_matrix(inner.get("/Matrix", SAME)), state.place)
                    yield from _text(reader, inner, inner.get("/Resources", resources), own)


def _matrix(values: object) -> Matrix:
    a, b, c, d, e, f = (float(value) for value in values)  # type: ignore[attr-defined]
    return (a, b, c, d, e, f)
