"""About how high a draft of the sheet will be, so that the search for one that fits begins near it.

Only the speed of the search hangs on it: every layout tells how far it is off, and what is printed
was laid out. The measures follow caseboard/static/css/sheet.css. Pure.
"""

import math

from caseboard.lib.pdf.parent import Paper
from caseboard.sheets.plan_value import Sheet, SheetFoot, SheetItem, SheetMark, SheetValue

# Where the last line may end, in mm from the top of the paper.
ROOM_MM: dict[Paper, float] = {"a4": 289.0, "letter": 271.4}
WIDTH_MM: dict[Paper, float] = {"a4": 190.0, "letter": 195.9}
# House default, held to by the generated plans: a draft thought to be higher than the page by as
# much, by what its neighbour measured, is taken for too long without a layout.
SURE_MM = 12.0
LETTER_MM, SMALL_MM = 1.68, 1.56  # a letter of 9.6 pt and of 9 pt on the average, measured
FIRST_MM = 1.95  # a letter of the bold first lines, measured like those
WIDE = 1.5  # how much wider a capital or a sign of another script is taken to be
LINE_MM, ROOMY_LINE_MM, DENSE_LINE_MM = 4.2, 4.06, 3.83  # 9.6 pt, line height 1.24, 1.2, 1.13
FIXED_MM, ROOMY_FIXED_MM, DENSE_FIXED_MM = (
    145.0,
    127.0,
    119.0,
)  # head, team, urgent signs, signatures; measured
CHART_MM = 23.5
NO_CHARTS_MM = -6.0  # without charts the values stand in more lines than are reckoned; measured
ROW_MM, DENSE_ROW_MM = 1.8, 0.2  # around a row of the plan, fitted to drawn sheets
MARK_MM, PLAN_SIDES_MM = 20.5, 98.0  # a mark's column; the plan's columns beside the words


def lines(text: str, width: float, letter_mm: float = LETTER_MM) -> int:
    wide = sum(1 for letter in text if letter.isupper() or letter > "\u2e80")
    return math.ceil((len(text) + wide * (WIDE - 1)) * letter_mm / width) if text else 0


def height_mm(sheet: Sheet, paper: Paper) -> float:
    width = WIDTH_MM[paper]
    line, fixed = _measures(sheet)
    fixed -= 0 if sheet.has_charts else NO_CHARTS_MM
    rows = lines(sheet.horse_words + sheet.identity, width - 74) + lines(sheet.case_title, 90)
    points = (*sheet.urgent_points, *sheet.open_points, sheet.grade)
    rows += sum(lines(point, width) for point in points)
    rows += lines(" ".join((*sheet.films, *sheet.before_cutting)), width - 4, FIRST_MM)
    rows += lines(sheet.outcome_words, width) + lines("; ".join(sheet.closed_items), width)
    rows += lines(" ".join(sheet.left_off), width)
    rows += lines(sheet.open_words + sheet.hold_words, width) if sheet.open_numbers else 0
    rows += _people_lines(sheet, width - 60) + lines(sheet.danger, width - 64)
    feet = [_foot_mm(foot, width / 2 - 5, line, dense=sheet.dense) for foot in sheet.feet]
    pairs = [feet[n : n + 2] for n in range(0, len(feet), 2)]
    plan = sum(_item_mm(item, width - PLAN_SIDES_MM, line, sheet.dense) for item in sheet.items)
    plan += 5.5 * len(sheet.jobs)
    return fixed + rows * line + sum(max(pair) for pair in pairs) + plan


def _measures(sheet: Sheet) -> tuple[float, float]:
    """A line's height, and that of what is always there."""
    if sheet.roomy:
        return ROOMY_LINE_MM, ROOMY_FIXED_MM
    return (DENSE_LINE_MM, DENSE_FIXED_MM) if sheet.dense else (LINE_MM, FIXED_MM)


def _people_lines(sheet: Sheet, width: float) -> int:
    """One line a person, or beside each other where it is set close."""
    if sheet.dense:
        return lines("".join(p.role + p.name + p.phone for p in sheet.people), width)
    return max(0, len(sheet.people) + len(sheet.vacant) - 3)


def _foot_mm(foot: SheetFoot, width: float, line: float, *, dense: bool) -> float:
    charts = foot.charts
    beside = width - 38 if charts else width
    below = bool(charts) or not dense
    values = sum(_value_mm(value, beside, line, below=below) for value in foot.values)
    head = lines(foot.label + foot.shoeing + foot.common_when, width) * line
    return head + max(values, len(charts) * CHART_MM) + 4


def _value_mm(value: SheetValue, width: float, line: float, *, below: bool) -> float:
    said = "".join(band.words for band in value.bands) + value.trend
    said += f"Then: {value.then}" if value.then else ""
    if below:
        return 5.0 + lines(said, width, SMALL_MM) * line * 0.95
    return max(5.0, lines(f"{value.value} {said}", width - 23, SMALL_MM) * line)


def _item_mm(item: SheetItem, width: float, line: float, dense: bool) -> float:
    said = item.text + ("x" * 15) * (not item.agreed) + ("x" * 24) * item.therapeutic
    said += ("x" * 18) * item.shortened
    said += f"Why: {item.reason}" if item.reason else ""
    said += f" {item.new_vet}" if item.new_vet else ""
    marks = max((_mark_lines(m) for m in item.marks), default=1)
    return max(lines(said, width) * line, marks * 3.6) + (DENSE_ROW_MM if dense else ROW_MM)


def _mark_lines(mark: SheetMark) -> int:
    before = {"declined": "declined: ", "asked": "asks for a change: "}.get(mark.state, "")
    own = max(1, lines(f"{before}{mark.who} {mark.on}", MARK_MM, SMALL_MM))
    return own + sum(lines(other, MARK_MM, SMALL_MM) for other in mark.others)
