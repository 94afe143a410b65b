"""Slips in what pictures say of a foot."""

from tests.mutants.row import Mutant, rows

SIDE = "tests/hoof/pictures/test_side_view.py"
PROPERTIES = "tests/hoof/pictures/test_side_properties.py"
STANDING = "tests/hoof/pictures/test_standing.py"
HANDS = "tests/hoof/pictures/test_hands.py"
FLAT = "tests/hoof/pictures/test_flat_views.py"
FILM = "tests/hoof/pictures/test_film.py"
AGREEMENT = "tests/hoof/pictures/test_agreement.py"

HOOF_PICTURES = (
    *rows(
        "measurements/management/commands/measure_picture.py",
        "tests/measurements/pictures/test_measure_picture.py",
        Mutant(
            "what is said of the card's place goes unheard",
            "None if off_mm is None else card_off_sd_mm(off_mm)",
            "None",
        ),
    ),
    *rows(
        "measurements/hoof/pictures/side_view.py",
        SIDE,
        Mutant("the heel lies in the plane of the toe", 'if "heel" in name:', "if False:"),
        Mutant("lengths are told without a scale", "and not scaled", "and False"),
        Mutant(
            "heel walls never slant",
            "HEEL_HAIRLINE_DEPTH_MM_SD if high else",
            "0.0 if high else",
        ),
    ),
    *rows(
        "measurements/hoof/pictures/side_checks.py",
        SIDE,
        Mutant("any turn is corrected", "MOST_TURNED_DEG = 38.0", "MOST_TURNED_DEG = 90.0"),
        Mutant("a wall may run downwards", "if rise <= 0:", "if False:"),
    ),
    *rows(
        "measurements/hoof/pictures/sightings.py",
        SIDE,
        Mutant(
            "taps have no error",
            "return placed + np.reshape(tap_px, (-1, 1, 1)) * error",
            "return placed + 0 * error",
        ),
        Mutant(
            "the card stands on its lower edge always",
            "    card = as_it_stands(card)\n",
            "",
            tests=(PROPERTIES,),
        ),
        Mutant(
            "a card off its plane costs nothing",
            "origin[:, 2] -= off_sd",
            "origin[:, 2] -= 0.0",
            tests=(PROPERTIES,),
        ),
    ),
    *rows(
        "measurements/hoof/pictures/standing.py",
        STANDING,
        Mutant(
            "no card stands on the ground",
            "STANDS, UPRIGHT, HELD = 0.4",
            "STANDS, UPRIGHT, HELD = 0.0",
        ),
        Mutant("every card stands", "0.4, 0.06, 0.54", "0.9999, 0.0, 0.0001"),
        Mutant(
            "a card stands on its lower edge always",
            "_BESIDE_MM[top_left(card)]",
            "_BESIDE_MM[0]",
        ),
    ),
    *rows(
        "measurements/hoof/pictures/hands.py",
        HANDS,
        Mutant("a bent wall is an unsteady hand", "BENT_PART = 0.3", "BENT_PART = 0.0"),
        Mutant("every hand is steady", "STEADY_PART = 0.8", "STEADY_PART = 0.9999"),
    ),
    *rows(
        "measurements/hoof/pictures/camera_pose.py",
        SIDE,
        Mutant(
            "corners that fit nothing are taken",
            "raise UnusablePicture(NO_SQUARE)\n    weights",
            "pass\n    weights",
        ),
    ),
    *rows(
        "measurements/hoof/pictures/film.py",
        FILM,
        Mutant(
            "a bone below level counts as above it",
            'GROUND, "bone_tip", "bone_heel", GROUND_SD_DEG',
            'GROUND, "bone_heel", "bone_tip", GROUND_SD_DEG',
        ),
        Mutant(
            "the capsule turns the other way", "summed_up(bone - wall,", "summed_up(wall - bone,"
        ),
        Mutant(
            "pixels stand for millimetres without a marker",
            "if quantity not in ANGLES and marker_mm is None:",
            "if False:",
        ),
    ),
    *rows(
        "measurements/hoof/pictures/sole_view.py",
        FLAT,
        Mutant("the split may run backwards", "if span.mean() <= 0:", "if False:"),
    ),
    *rows(
        "measurements/hoof/pictures/whole_horse.py",
        FLAT,
        Mutant(
            "the ground under the horse does not count", "rise if leans_back", "0.0 if leans_back"
        ),
    ),
    *rows(
        "measurements/hoof/pictures/agreement.py",
        AGREEMENT,
        Mutant(
            "an offset between people is no disagreement", "* (people - rest) / n_pictures", "* 0"
        ),
        Mutant(
            "the wrong point counts as a loose hand",
            "if math.hypot(*apart) <= slip_px:",
            "if True:",
        ),
    ),
)
