"""Slips in the hoof mathematics outside of the drift method."""

from tests.mutants.row import Mutant, rows

GROWTH = "tests/hoof/test_growth.py"
QUANTITIES = "tests/hoof/test_quantities.py"
SHAPE = "tests/hoof/test_shape.py"
PUBLISHED = "tests/hoof/test_shape_published.py"
THRESHOLD = "tests/hoof/test_shape_threshold.py"
SENTENCES = "tests/hoof/test_shape_sentences.py"
FILMS = "tests/hoof/test_films.py"
REPEATS = "tests/hoof/test_drift_repeats.py"

HOOF_NUMBERS = (
    *rows(
        "measurements/hoof/growth.py",
        GROWTH,
        Mutant(
            "a cycle is centred without its weights",
            "np.average(cycles, weights=weights)",
            "np.average(cycles)",
        ),
        Mutant(
            "growth is added instead of taken out", "value - growth.mean", "value + growth.mean"
        ),
        Mutant(
            "a careless reading tells as much of growth as a careful one",
            "for reading in cycle]) ** -2.0",
            "for reading in cycle]) ** 0.0",
        ),
        Mutant(
            "growth that is the horse's own counts as borrowed",
            "least / math.sqrt(2.0)",
            "least / 2.0",
        ),
        Mutant(
            "a level that is not certain makes the end of the cycle certain",
            "math.hypot(level_sd, change_sd)",
            "change_sd",
        ),
        Mutant("days before the trim are taken", "(days >= 0).all()", "True"),
        Mutant(
            "barefoot feet wear as shod ones grow",
            "_BARE: Growth(0.0, 2.0)}",
            "_BARE: Growth(-3.0, 2.0)}",
            nth=1,
            of=3,
        ),
        Mutant(
            "a cycle has eight weeks and a day",
            "CYCLE_DAYS = 56.0",
            "CYCLE_DAYS = 57.0",
            tests=("tests/hoof/test_golden.py::test_a_foot_has_the_verdict_that_it_had",),
        ),
    ),
    *rows(
        "measurements/hoof/quantities.py",
        QUANTITIES,
        Mutant(
            "two errors are added as if they were one", "math.hypot(sd_a, sd_b)", "max(sd_a, sd_b)"
        ),
        Mutant(
            "what cannot be only asks for a second look",
            "return RangeCheck.REFUSE",
            "return RangeCheck.CONFIRM",
        ),
        Mutant(
            "an edge of what can be is refused",
            "quantity.possible_low <= base_value",
            "quantity.possible_low < base_value",
        ),
        Mutant(
            "an unusual value is taken unasked",
            "return RangeCheck.CONFIRM",
            "return RangeCheck.FINE",
        ),
        Mutant(
            "a hind foot has a palmar angle", "if is_fore(foot) else", "if not is_fore(foot) else"
        ),
        Mutant(
            "an owner reads as well as a farrier",
            "Method.OWNER: 1.5,\n}\n_HEEL_ANGLE",
            "Method.OWNER: 1.0,\n}\n_HEEL_ANGLE",
        ),
        Mutant(
            "a tape measures angles",
            "error_sd(quantity: Quantity, method: Method) -> float:",
            "error_sd(quantity: Quantity, method: Method) -> float:\n    return quantity.error_sd.get(method, 1.0)",
        ),
        Mutant(
            "what a radiograph shows too counts as filmed",
            "return set(self.methods) <= {Method.RADIOGRAPH, Method.FILM}",
            "return Method.RADIOGRAPH in self.methods",
        ),
    ),
    *rows(
        "measurements/hoof/shape.py",
        (SHAPE, THRESHOLD, PUBLISHED),
        Mutant(
            "a heel five degrees under its toe is sound",
            "if size < threshold:",
            "if size <= threshold:",
        ),
        Mutant(
            "at its threshold a foot is surely past it",
            "exceeds_error=margin > Z_95_TWO_SIDED * size_sd,\n        mixed_methods=first",
            "exceeds_error=size > Z_95_TWO_SIDED * size_sd,\n        mixed_methods=first",
        ),
        Mutant(
            "a broken back axis is called broken forward",
            "if steeper > 0 else",
            "if steeper < 0 else",
        ),
        Mutant(
            "an axis off by the tolerance is broken",
            "abs(steeper) <= tolerance_deg",
            "abs(steeper) < tolerance_deg",
        ),
        Mutant(
            "the outside heel is called the longer one",
            "heel_medial.value > heel_lateral.value",
            "heel_medial.value < heel_lateral.value",
        ),
        Mutant(
            "error makes an even pair uneven",
            "max(UNEVEN_PAIR_DEG, mdc95(left_toe_angle.sd, right_toe_angle.sd))",
            "UNEVEN_PAIR_DEG",
        ),
        Mutant(
            "the flatter foot of a pair is called the steeper",
            "left_toe_angle.value > right_toe_angle.value",
            "left_toe_angle.value < right_toe_angle.value",
        ),
        Mutant(
            "the error of a circumference counts once",
            "2 * circumference.sd",
            "1 * circumference.sd",
        ),
        Mutant("the frog's ratio is turned round", "size=1 / ratio", "size=ratio"),
        Mutant(
            "a sole of fifteen millimetres is thin",
            "THIN_SOLE_MM = 15.0",
            "THIN_SOLE_MM = 15.5",
            tests=(FILMS,),
        ),
        Mutant(
            "a bone that stands level is called negative",
            "if not below > 0:",
            "if not below >= 0:",
            tests=(FILMS, SHAPE),
        ),
        Mutant(
            "a toe is long for the horse that the tape says",
            "_gap(toe_length.value, _longest_expected_mm(weight_kg))",
            "_gap(toe_length.value, expected)",
        ),
        Mutant(
            "decimals that are no numbers of two tell a difference",
            "return round(a - b, _DECIMALS_KEPT)",
            "return a - b",
        ),
    ),
    *rows(
        "measurements/hoof/shape_finding.py",
        (FILMS, SHAPE),
        Mutant("a danger is a remark", "if now.rule in DANGERS:", "if False:"),
        Mutant("what error alone may be alerts", "or not now.exceeds_error", ""),
        Mutant(
            "a finding that stays alerts again",
            "previous is not None and got_worse(now, previous)",
            "previous is not None",
        ),
        Mutant(
            "what was there at the first look is new",
            "previous is None and not first_look",
            "previous is None",
        ),
        Mutant(
            "the frog rule alerts",
            "frozenset({ShapeRule.NARROW_FROG, ShapeRule.LONG_TOE})",
            "frozenset({ShapeRule.LONG_TOE})",
        ),
        Mutant(
            "one that got better got worse",
            "now.size - earlier.size > mdc95",
            "abs(now.size - earlier.size) > mdc95",
        ),
    ),
    *rows(
        "measurements/hoof/films.py",
        FILMS,
        Mutant("a palmar angle of ten degrees is steep", "if not over > 0:", "if not over >= 0:"),
        Mutant(
            "films that differ by two degrees differ too much",
            "UNEVEN_PALMAR_ANGLE_DEG = 2.0",
            "UNEVEN_PALMAR_ANGLE_DEG = 1.5",
        ),
        Mutant(
            "soles alert by their difference, not by what is past the limit",
            "exceeds_error=margin > Z_95_TWO_SIDED * size_sd",
            "exceeds_error=size > Z_95_TWO_SIDED * size_sd",
        ),
        Mutant(
            "the thicker right sole goes unseen",
            "abs(left.value - right.value)",
            "(left.value - right.value)",
        ),
        Mutant(
            "one may cut a sole of nine millimetres unasked",
            "VERY_THIN_SOLE_MM = 10.0",
            "VERY_THIN_SOLE_MM = 9.0",
        ),
    ),
    *rows(
        "measurements/hoof/wear.py",
        "tests/hoof/test_wear.py",
        Mutant("wear is judged over all cycles", "[-CYCLES:]", "[-2 * CYCLES :]"),
        Mutant("a toe that keeps its length has worn little", "<= 0", "< 0"),
        Mutant(
            "long and short cycles weigh alike",
            "gained = sum(s.found_mm - s.left_mm for s in used)",
            "gained = sum((s.found_mm - s.left_mm) / s.days for s in used) * sum(s.days for s in used) / len(used)",
        ),
        Mutant(
            "days of a tape's error count as a cycle", "s.days >= SHORTEST_CYCLE_DAYS", "s.days > 0"
        ),
    ),
    *rows(
        "measurements/hoof/indices.py",
        "tests/hoof/test_indices.py",
        Mutant("the size index takes the circle's radius", "4 * math.pi", "2 * math.pi"),
        Mutant(
            "toe length by weight goes up in jumps",
            "* (weight - low_kg) / (high_kg - low_kg)",
            "* 1",
        ),
        Mutant(
            "a pony is measured by the draught horse's table",
            "if not lightest <= weight <= heaviest:",
            "if not weight <= heaviest:",
        ),
        Mutant(
            "the frog's width and length are changed round",
            '_positive("frog width", width_mm) / _positive("frog length", length_mm)',
            '_positive("frog length", length_mm) / _positive("frog width", width_mm)',
        ),
    ),
    *rows(
        "measurements/hoof/jump.py",
        "tests/hoof/test_jump.py",
        Mutant(
            "growth passes as a jump",
            "now.value - earlier.value - expected",
            "now.value - earlier.value",
        ),
        Mutant("a wedge is a jump", "gross += LARGEST_STEP_DEG", "gross += 0"),
        Mutant("a jump stands after its second trim", "trims >= KEPT_FOR_TRIMS or", ""),
        Mutant(
            "a slip stands though the next reading is as before",
            "accepted, pending = [*accepted, place][-COMPARED:], []",
            "accepted = [*accepted, place][-COMPARED:]",
        ),
        Mutant(
            "readings of last year are compared",
            "if now.at_days - points[n].at_days <= WINDOW_DAYS",
            "if True",
        ),
        Mutant(
            "each reading after a jump begins another", "pending.append(place)", "pending = [place]"
        ),
    ),
    *rows(
        "measurements/hoof/repeats.py",
        REPEATS,
        Mutant(
            "repeats of a day are compared with the first",
            "values - values.mean()",
            "values - values[0]",
        ),
        Mutant(
            "three readings are three differences",
            "degrees += len(values) - 1",
            "degrees += len(values)",
        ),
        Mutant(
            "who repeats well has no error at all",
            "max(math.sqrt(variance), LOWEST_SHARE * usual_sd)",
            "math.sqrt(variance)",
        ),
        Mutant("one comparison shows the whole bias", "+ 1.0 / prior_variance)", ")"),
        Mutant(
            "two comparisons have limits of agreement",
            "len(differences) < 3",
            "len(differences) < 1",
        ),
    ),
    *rows(
        "measurements/hoof/bands.py",
        "tests/hoof/test_bands.py",
        Mutant(
            "at an edge by less than the error a foot is outside",
            "Place.OUTSIDE if outside else Place.AT_EDGE",
            "Place.OUTSIDE",
        ),
        Mutant(
            "the edge itself is past the band",
            "low is not None and value < low",
            "low is not None and value <= low",
        ),
        Mutant(
            "growth moves the edges of a band for the trim",
            "fall = rise = 0.0",
            "fall = rise = grown",
        ),
        Mutant(
            "a band narrower than the error is not asked about",
            "_width(low, high) < least_width(quantity) or ",
            "",
            tests=("tests/measurements/test_band_doubts.py::test_what_is_odd_about_a_band",),
        ),
        Mutant(
            "a band upside down is taken",
            "low is not None and high is not None and low > high",
            "False",
        ),
    ),
    *rows(
        "measurements/hoof/steps.py",
        "tests/hoof/test_steps.py",
        Mutant(
            "a long interval breaks the geometry of steps",
            "min(grown_mm, base_length_mm / 4)",
            "grown_mm",
        ),
        Mutant(
            "more is taken than grows",
            "min(change_per_visit_deg, horn_deg)",
            "change_per_visit_deg",
        ),
        Mutant(
            "the last step goes past the band",
            "min(stride * visit, abs(distance))",
            "stride * visit",
        ),
        Mutant(
            "three degrees at a visit are fast",
            "> WARN_CHANGE_PER_VISIT_DEG",
            ">= WARN_CHANGE_PER_VISIT_DEG",
        ),
        Mutant(
            "the first step comes an interval late",
            "(visit - 1) * interval_days",
            "visit * interval_days",
        ),
    ),
    *rows(
        "measurements/hoof/mechanics.py",
        "tests/hoof/test_mechanics.py",
        Mutant(
            "flatter takes the sole that steeper takes",
            "if turn_deg > 0 else",
            "if turn_deg < 0 else",
            tests=(
                "tests/measurements/test_steps_sole.py::test_a_steeper_step_takes_nearly_the_height_off_the_toe",
            ),
        ),
        Mutant(
            "a wall's height is its length", "* math.sin(math.radians(wall_angle_deg))", "* 1.0"
        ),
        Mutant(
            "steeper loads the navicular bone more",
            "NAVICULAR_LOAD_PERCENT_PER_DEG = -4.0",
            "NAVICULAR_LOAD_PERCENT_PER_DEG = 4.0",
        ),
    ),
    *rows(
        "measurements/hoof/trend.py",
        "tests/hoof/test_trend.py",
        Mutant(
            "what shoeing changed counts as a trend",
            "if stretch and reading.shoeing != stretch[-1].shoeing:",
            "if False:",
        ),
        Mutant(
            "a change too small to see is told", "abs(self.change) > self.detectable_change", "True"
        ),
        Mutant("a line of many years is fitted", "[-WINDOW_TRIMS:]", "[-99 * WINDOW_TRIMS:]"),
        Mutant(
            "what is not known of growth leaves the level certain",
            "line.intercept_variance + shared**2",
            "line.intercept_variance",
        ),
        Mutant("the later edge is named", "min(filter(None, found)", "max(filter(None, found)"),
    ),
    *rows(
        "measurements/hoof/straight_line.py",
        "tests/hoof/test_straight_line.py",
        Mutant(
            "points in line by luck look certain",
            "max(float(np.sum(weights * residuals**2) / freedom), least_variance)",
            "float(np.sum(weights * residuals**2) / freedom)",
        ),
        Mutant(
            "a line's height and slope vary apart",
            "2 * at * self.covariance",
            "0 * at * self.covariance",
        ),
        Mutant(
            "a line has a degree of freedom too many",
            "freedom = at.size - 2",
            "freedom = at.size - 1",
        ),
    ),
    *rows(
        "measurements/hoof/student_t.py",
        "tests/hoof/test_student_t.py",
        Mutant(
            "odd degrees of freedom lack the last of their series",
            "(degrees_of_freedom - 1) // 2)",
            "(degrees_of_freedom - 1) // 2 - 1)",
        ),
        Mutant("a quantile is found to two digits", "HALVINGS = 80", "HALVINGS = 8"),
    ),
    *rows(
        "measurements/hoof/units.py",
        "tests/hoof/test_units.py",
        Mutant(
            "a weight with a point for thousands is a small one", 'kind != "kg" and _ONE', "_ONE"
        ),
        Mutant("thousands are read as decimals", "_GROUPED.fullmatch(number) or ", ""),
        Mutant(
            "a minus is forgotten", 'signed = -value if sign == "-" else value', "signed = value"
        ),
        Mutant("a third of an inch is rounded", "if scaled.denominator != 1:", "if False:"),
        Mutant("an entered value moves when it is shown", "if unit == display_unit:", "if False:"),
    ),
    *rows(
        "measurements/hoof/review.py",
        "tests/hoof/test_review.py",
        Mutant(
            "a trim that only its days tell of is lost",
            "    for day in sorted(told):\n        if all(",
            "    for day in sorted(told):\n        if not all(",
        ),
        Mutant(
            "a reading after the trim stands on the one before",
            "day + SAME_TRIM_DAYS if row.trim is TrimState.AFTER",
            "day - SAME_TRIM_DAYS if row.trim is TrimState.AFTER",
        ),
        Mutant(
            "an unknown cycle is known for sure",
            "return UNKNOWN_CYCLE_DAYS, UNKNOWN_CYCLE_SD_DAYS",
            "return UNKNOWN_CYCLE_DAYS, 0.0",
        ),
    ),
    *rows(
        "measurements/hoof/review_rows.py",
        "tests/hoof/test_review.py",
        Mutant(
            "a reading after the trim may be days old",
            "if trim is TrimState.AFTER and days >= 1:",
            "if False:",
        ),
        Mutant(
            "a value that cannot be is replayed",
            "if range_check(quantity, value) is RangeCheck.REFUSE:",
            "if False:",
        ),
    ),
    *rows(
        "measurements/hoof/feet.py",
        "tests/hoof/test_feet.py",
        Mutant("the partner of a fore foot is a hind one", "Foot.LF: Foot.RF", "Foot.LF: Foot.LH"),
        Mutant(
            "the off side is the left", '"near_off": ("near", "off")', '"near_off": ("off", "near")'
        ),
    ),
    *rows(
        "measurements/hoof/shape_sentences.py",
        (FILMS, SENTENCES),
        Mutant(
            "nobody is told to ring the vet", "VERY_THIN_SOLE_MM", "-VERY_THIN_SOLE_MM", nth=2, of=2
        ),
    ),
)
