"""About how high a draft of the sheet will be, so that the search for one that fits begins near it.

Only the speed of the search hangs on it: every layout tells how far it is off, and what is printed
was laid out. The measures follow caseboard/static/css/sheet.css. Pure.
"""

import math

from caseboard.lib.pdf.parent import Paper
from caseboard.sheets.plan_sides import PX_A_MM
from caseboard.sheets.plan_value import Sheet, SheetFoot, SheetItem, SheetMark, SheetValue

# Where the last line may end, in mm from the top of the paper.
TOP_MM = 8.0  # of that the margin, which stands on a second page once more
ROOM_MM: dict[Paper, float] = {"a4": 289.0, "letter": 271.4}
WIDTH_MM: dict[Paper, float] = {"a4": 190.0, "letter": 195.9}
# House default: a draft thought to be higher than the page by as much, by what its neighbour measured,
# is taken for too long without a layout. In 48 generated plans none was skipped that fits.
SURE_MM = 4.0
LETTER_MM, SMALL_MM = 1.68, 1.56  # a letter of 9.6 pt and of 9 pt on the average, measured
BESIDE_MM = 1.4  # the same 9 pt where the words are ours: many small letters and digits
FIRST_MM = 1.95  # a letter of the bold first lines, measured like those
WIDE = 1.5  # how much wider a capital or a sign of another script is taken to be
LINE_MM, ROOMY_LINE_MM, DENSE_LINE_MM = 4.2, 4.06, 3.83  # 9.6 pt, line height 1.24, 1.2, 1.13
FIXED_MM, ROOMY_FIXED_MM, DENSE_FIXED_MM = (
    145.0,
    127.0,
    118.0,
)  # head, team, urgent signs, signatures; measured
CHART_MM = 23.5
CHART_WIDE_MM = 32.5
# Beside a side view: a chart, a value, a line of 9 pt, and what the large drawing leaves. The CSS's.
SMALL_CHART_MM, LARGE_CHART_MM, VALUE_MM, SMALL_LINE_MM, LARGE_SIDE_MM = 21.6, 28.0, 5.2, 3.65, 44.0
LEGEND_MM = 3.8  # the line that says what the side views are
NO_CHARTS_MM = 2.0  # saved without charts; measured
ROW_MM, ROOMY_ROW_MM, DENSE_ROW_MM = 1.8, 1.2, 0.55  # around a row of the plan, measured
MARK_MM, DENSE_MARK_MM = 20.5, 18.9  # a mark's column
PLAN_SIDES_MM = 98.0  # the plan's columns beside the words


def lines(text: str, width: float, letter_mm: float = LETTER_MM) -> int:
    wide = sum(1 for letter in text if letter.isupper() or letter > "\u2e80")
    return math.ceil((len(text) + wide * (WIDE - 1)) * letter_mm / width) if text else 0


def wrapped(text: str, width: float, letter_mm: float) -> int:
    """The same for a narrow column, where every line ends with a word."""
    count, left = 0, 0.0
    for word in text.split(" "):
        wide = sum(1 for letter in word if letter.isupper() or letter > "\u2e80")
        long = (len(word) + wide * (WIDE - 1)) * letter_mm
        if long > left:
            whole = max(1, math.ceil(long / width))
            count, left = count + whole, whole * width - long - letter_mm
        else:
            left -= long + letter_mm
    return count


def height_mm(sheet: Sheet, paper: Paper) -> float:
    width = WIDTH_MM[paper]
    line, fixed, row = _measures(sheet)
    fixed -= 0 if sheet.has_charts else NO_CHARTS_MM
    rows = lines(sheet.horse_words + sheet.identity, width - 74) + lines(sheet.case_title, 90)
    points = (*sheet.urgent_points, *sheet.open_points, sheet.grade)
    rows += sum(lines(point, width) for point in points)
    rows += lines(" ".join((*sheet.films, *sheet.before_cutting)), width - 4, FIRST_MM)
    rows += lines(sheet.outcome_words, width) + lines("; ".join(sheet.closed_items), width)
    rows += lines(" ".join(sheet.left_off), width)
    rows += lines(sheet.open_words + sheet.hold_words, width) if sheet.open_numbers else 0
    rows += _people_lines(sheet, width - 60) + lines(sheet.danger, width - 64)
    feet = [
        _foot_mm(foot, width / 2 - 5, line, dense=sheet.dense, large=sheet.large)
        for foot in sheet.feet
    ]
    fixed += LEGEND_MM if sheet.has_sides else 0
    pairs = [feet[n : n + 2] for n in range(0, len(feet), 2)]
    plan = sum(
        _item_mm(item, width - PLAN_SIDES_MM, line, row, tight=sheet.dense) for item in sheet.items
    )
    plan += 5.5 * len(sheet.jobs)
    return fixed + rows * line + sum(max(pair) for pair in pairs) + plan


def _measures(sheet: Sheet) -> tuple[float, float, float]:
    """A line's height, that of what is always there, and what stands around a row of the plan."""
    if sheet.roomy:
        return ROOMY_LINE_MM, ROOMY_FIXED_MM, ROOMY_ROW_MM
    if sheet.dense:
        return DENSE_LINE_MM, DENSE_FIXED_MM, DENSE_ROW_MM
    return LINE_MM, FIXED_MM, ROW_MM


def _people_lines(sheet: Sheet, width: float) -> int:
    """One line a person, or beside each other where it is set close."""
    if sheet.dense:
        return lines("".join(p.role + p.name + p.phone for p in sheet.people), width)
    return max(0, len(sheet.people) + len(sheet.vacant) - 3)


def _foot_mm(
    foot: SheetFoot, width: float, line: float, *, dense: bool, large: bool = False
) -> float:
    charts = foot.charts
    head = lines(foot.label + foot.shoeing + foot.common_when, width) * line
    if foot.side:
        return head + _side_mm(foot, width, line, large=large) + 4
    beside = width - CHART_WIDE_MM if charts else width
    below = bool(charts) or not dense
    values = sum(_value_mm(value, beside, line, below=below) for value in foot.values)
    return head + max(values, len(charts) * CHART_MM) + 4


def _side_mm(foot: SheetFoot, width: float, line: float, *, large: bool) -> float:
    """Drawing, numbers and charts beside each other; what is said goes below the drawing or all."""
    side = foot.side
    assert side is not None
    drawn, values = side.height / PX_A_MM, len(foot.values) * VALUE_MM
    said = " ".join(_said(value) for value in foot.values) + foot.days + foot.side_words
    if large:
        below = lines(said, LARGE_SIDE_MM, BESIDE_MM) * SMALL_LINE_MM
        return max(drawn + below, values + len(foot.charts) * LARGE_CHART_MM)
    charts = len(foot.charts) * SMALL_CHART_MM
    return max(drawn, values, charts) + lines(said, width, BESIDE_MM) * SMALL_LINE_MM


def _said(value: SheetValue) -> str:
    bands = "".join(f" {band.words}." for band in value.bands)
    words = f"{bands}{value.trend}" + (f" Then: {value.then}." if value.then else "")
    return f"{value.label}: {words}" if words else ""


def _value_mm(value: SheetValue, width: float, line: float, *, below: bool) -> float:
    said = "".join(band.words for band in value.bands)
    said += f" {value.trend}" if value.trend else ""
    said += f" Then: {value.then}" if value.then else ""
    if below:
        return 5.0 + lines(said, width, SMALL_MM) * line * 0.95
    return max(5.0, wrapped(f"{value.value} {said}", width - 23, BESIDE_MM) * line)


def _item_mm(item: SheetItem, width: float, line: float, row: float, *, tight: bool) -> float:
    said = f"{'x' * 15} {item.text}" if not item.agreed else item.text
    said += f" See board, item {item.number}." if item.shortened else ""
    said += f" {'x' * 24}" if item.therapeutic else ""
    said += f" Why: {item.reason}" if item.reason else ""
    said += f" {item.new_vet}" if item.new_vet else ""
    column = DENSE_MARK_MM if tight else MARK_MM
    marks = max((_mark_lines(m, column) for m in item.marks), default=1)
    return max(wrapped(said, width, LETTER_MM) * line, marks * 3.6) + row


def _mark_lines(mark: SheetMark, column: float) -> int:
    before = {"declined": "declined: ", "asked": "asks for a change: "}.get(mark.state, "")
    own = wrapped(f"{before}{mark.who} {mark.day}", column, BESIDE_MM)
    return own + sum(wrapped(other, column, BESIDE_MM) for other in mark.others)
