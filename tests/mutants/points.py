"""Slips in how points on a picture are kept, become readings and refine an error."""

from tests.mutants.row import Mutant, rows

SERVICE = "tests/measurements/test_points_service.py"
TOLD = "tests/measurements/test_card_told_pages.py"
NUMBERS = "tests/measurements/test_card_numbers.py"
PAGES = "tests/measurements/test_points_pages.py"
OF_VISIT = "tests/measurements/test_picture_of_visit.py"

POINTS = (
    *rows(
        "measurements/services/picture_points.py",
        SERVICE,
        Mutant("a point may lie outside the picture", "0 <= x <= picture.width_px", "0 <= x"),
        Mutant(
            "points of which nothing comes are kept",
            "    if measured_only(results):",
            "    if True:",
        ),
        Mutant(
            "the line of points on a note's picture is the whole team's",
            "audience=picture_audience(picture)",
            'audience=",owner,farrier,vet,carer,"',
        ),
    ),
    *rows(
        "measurements/services/points_readings.py",
        SERVICE,
        Mutant(
            "anybody writes down the values of anybody's points",
            "if row.placed_by_id != access.person.pk:",
            "if False:",
        ),
    ),
    *rows(
        "measurements/queries/picture_readings.py",
        OF_VISIT,
        Mutant(
            "a repeat takes a reading's place",
            "if found := readings_of_picture(row.picture).get(quantity):",
            "if False:",
        ),
        Mutant(
            "a picture of last year gives a value of today",
            "if row.picture.taken_on != on:",
            "if False:",
        ),
    ),
    *rows(
        "measurements/queries/visit_readings.py",
        OF_VISIT,
        Mutant(
            "correcting a visit changes what others read off its pictures",
            "_standing(visit).filter(recorded_by=visit.person_id, taken_on=visit.kept_on)",
            "_standing(visit)",
        ),
    ),
    *rows(
        "measurements/services/visit_correct.py",
        OF_VISIT,
        Mutant(
            "a corrected day costs a value its own error",
            "**{**asdict(taken), **as_typed},",
            '**{**asdict(taken), **as_typed, "sd": None, "points_id": None},',
        ),
    ),
    *rows(
        "measurements/services/picture_points.py",
        PAGES,
        Mutant(
            "a second phone makes blind whoever saw the points on the first",
            "placed.blind and not _knows_them(picture, access.person)",
            "placed.blind",
        ),
    ),
    *rows(
        "horses/presenters/history_care.py",
        PAGES,
        Mutant(
            "the history says that nobody saw the first points",
            'if a.get("blind") else "after seeing"',
            'if True else "after seeing"',
        ),
    ),
    *rows(
        "measurements/views/then_and_now.py",
        PAGES,
        Mutant(
            "the ground that somebody placed is shown and counts as not seen",
            "if laid.is_aligned:",
            "if False:",
        ),
    ),
    *rows(
        "measurements/queries/refined_errors.py",
        SERVICE,
        Mutant(
            "points that were placed after a look at the first refine the error",
            "picture__points__in=wanted, blind=True",
            "picture__points__in=wanted",
        ),
    ),
    *rows(
        "measurements/queries/picture_points.py",
        TOLD,
        Mutant(
            "a card placed by hand is taken for a found one",
            "        if self.by_hand:\n",
            "        if False:\n",
        ),
        Mutant(
            "what was told of the card's place is not reckoned with",
            "float(self.nearer_mm or 0)",
            "0.0",
        ),
    ),
    *rows(
        "measurements/queries/card_uses.py",
        NUMBERS,
        Mutant(
            "the cards of others are taken for one's own",
            "added_by=person, card_number",
            "card_number",
        ),
        Mutant(
            "a card tells of what the person may not read",
            "if pictures_for(access).standing().filter(pk=picture.pk).exists():",
            "if True:",
        ),
    ),
    *rows(
        "measurements/services/readings.py",
        "tests/measurements/test_typed_methods.py",
        Mutant(
            "a value of points may be typed",
            "    if Method(taken.method) in BY_POINTS and taken.points_id is None:\n",
            "    if False:\n",
        ),
    ),
    *rows(
        "measurements/panels/points_sentences.py",
        "tests/measurements/test_picture_helps.py",
        Mutant(
            "pictures are said to help where a foot is measured after the trim too",
            "set(measured) != {TrimState.BEFORE.value}",
            "not measured",
        ),
    ),
    *rows(
        "measurements/hoof/pictures/sightings.py",
        "tests/hoof/pictures/test_card_told.py",
        Mutant(
            "a card told nearer is taken for one further away",
            "card.nearer_mm + card.told_sd_mm",
            "card.told_sd_mm - card.nearer_mm",
        ),
    ),
    *rows(
        "measurements/views/picture_points.py",
        PAGES,
        Mutant(
            "whoever saw the points still counts as blind",
            "        if row.placed_by_id == access.person.pk:\n",
            "        if True:\n",
        ),
    ),
    *rows(
        "measurements/forms/from_points.py",
        "tests/measurements/test_points_in_forms.py",
        Mutant(
            "a value typed anew keeps the error of the picture",
            "taken.entered_how != EnteredHow.PICTURE",
            "False",
        ),
        Mutant("any value is believed to be the picture's", "<= ROUNDED[found.unit]", "<= 1e9"),
        Mutant(
            "the points of another foot give a value its error",
            "row.picture.foot != taken.foot",
            "False",
        ),
    ),
)
