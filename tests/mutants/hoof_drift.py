"""Slips in the drift method. What a single test of its own does not see, the golden feet must."""

from tests.mutants.row import Mutant, rows

FORECAST = "tests/hoof/test_drift_forecast.py"
PLANS = "tests/hoof/test_drift_plans.py"
NEAR = "tests/hoof/test_drift_preferences.py"
HANDS = "tests/hoof/test_drift_hands.py"
STAND_IN = "tests/hoof/test_drift_stand_in.py"
LIMITS = "tests/hoof/test_drift_limits.py"
MODEL = "tests/hoof/test_drift_model.py"
VERDICT = "tests/hoof/test_drift_verdict.py"
PROPERTIES = "tests/hoof/test_drift_properties.py"


def golden(*feet: str) -> tuple[str, ...]:
    """The golden feet of these names."""
    test = "tests/hoof/test_golden.py::test_a_foot_has_the_verdict_that_it_had"
    return tuple(f"{test}[{foot.replace(' ', '_')}]" for foot in feet)


HOOF_DRIFT = (
    *rows(
        "measurements/hoof/drift/forecast.py",
        FORECAST,
        Mutant(
            "the range of a forecast ends early",
            "LOW_SHARE, HIGH_SHARE = 0.03, 0.9",
            "LOW_SHARE, HIGH_SHARE = 0.03, 0.8",
        ),
        Mutant(
            "the range of a forecast begins late",
            "LOW_SHARE, HIGH_SHARE = 0.03, 0.9",
            "LOW_SHARE, HIGH_SHARE = 0.1, 0.9",
        ),
        Mutant(
            "the visit that would show it is left out of the range",
            "latest_days=_finite(high + rhythm.interval_days)",
            "latest_days=_finite(high)",
        ),
        Mutant(
            "missed trims make days vary more than they do",
            "cycles * interval) ** 2 / cycles).sum()",
            "cycles * interval) ** 2).sum()",
        ),
        Mutant(
            "missed trims make a cycle longer",
            "float(gaps.sum()) / float(cycles.sum())",
            "float(gaps.mean())",
        ),
        Mutant(
            "the beginnings of a record set the rhythm",
            "np.diff(trim_days)[-8:], np.diff(trims)[-8:]",
            "np.diff(trim_days)[:8], np.diff(trims)[:8]",
        ),
        Mutant(
            "a part of a cycle varies as a whole one",
            "np.minimum(reachable, reachable**2)",
            "reachable",
        ),
        Mutant(
            "a foot outside has a while to go",
            "cycles = np.where(room <= 0, 0.0, cycles)",
            "cycles = np.where(room < 0, 0.0, cycles)",
        ),
        Mutant(
            "at the end of the cycle nothing has grown",
            "outlook.level + outlook.growth * lead_days",
            "outlook.level + 0 * lead_days",
        ),
        Mutant(
            "at any time the later end of the cycle counts",
            "sign * outlook.growth > 0",
            "sign * outlook.growth < 0",
        ),
        Mutant(
            "something is said of three years ahead",
            "HORIZON_DAYS = 730.0",
            "HORIZON_DAYS = 1095.0",
            tests=golden("slow drift"),
        ),
        Mutant(
            "the likely day is the mean of those that leave",
            "(LOW_SHARE, 0.5, HIGH_SHARE)",
            "(LOW_SHARE, 0.6, HIGH_SHARE)",
        ),
    ),
    *rows(
        "measurements/hoof/drift/arrays.py",
        PLANS,
        Mutant("a plan starts a trim early", "default=-1)", "default=-1) - 1"),
        Mutant(
            "a plan starts a trim late",
            "np.clip(trim - start, 0, plan.visits)",
            "np.clip(trim - start - 1, 0, plan.visits)",
        ),
        Mutant(
            "a plan goes on for ever",
            "np.clip(trim - start, 0, plan.visits)",
            "np.maximum(trim - start, 0)",
        ),
        Mutant(
            "a trim of the day of the plan does not count",
            "begins = plan.from_days - SAME_VISIT_DAYS",
            "begins = plan.from_days + SAME_VISIT_DAYS",
        ),
        Mutant(
            "a heel measured late is further in its plan",
            "for row in every]\n    total",
            "for row in every if False]\n    total",
        ),
        Mutant(
            "two ways of measuring of one person share an offset",
            'return f"{reading.method.value}\\0{reading.by}"',
            "return reading.by",
            tests=(NEAR,),
        ),
        Mutant(
            "two people share an offset",
            'return f"{reading.method.value}\\0{reading.by}"',
            "return reading.method.value",
            tests=(NEAR,),
        ),
        Mutant(
            "a change of shoeing starts no new level",
            "now = (row.shoeing, settled",
            "now = (None, settled",
            tests=(VERDICT,),
        ),
        Mutant(
            "what was settled counts again",
            "settled_days is not None and row.at_days >= settled_days",
            "False",
            tests=(VERDICT,),
        ),
        Mutant(
            "a drift may have begun before the past was settled",
            "return int(earlier.max()) if len(earlier) else 0",
            "return 0",
            tests=golden("settled and drifts on", "settled after a step"),
        ),
        Mutant(
            "copies of a reading count twice",
            "first_place.setdefault(reading, place)",
            "first_place[reading] = place",
            tests=(PROPERTIES,),
        ),
        Mutant(
            "a plan is certain to be made",
            "PLAN_FULFILMENT_SD)",
            "1e-6)",
            tests=golden("planned, half made, then it falls"),
        ),
        Mutant(
            "a visit ends after a day",
            "moment - start >= SAME_VISIT_DAYS",
            "moment - start >= 2.0",
            tests=(LIMITS,),
        ),
    ),
    *rows(
        "measurements/hoof/drift/verdict.py",
        NEAR,
        Mutant("a step is preferred to a drift", "step > drift else", "step > drift - 0.1 else"),
        Mutant("a drift is preferred to a step", "step > drift else", "step > drift + 0.1 else"),
        Mutant("the heel leads as soon as it is better", "np.log(3.0)", "np.log(2.0)"),
        Mutant("the heel leads only when it is much better", "np.log(3.0)", "np.log(4.0)"),
        Mutant(
            "the less likely edge is named first", "-item.chance", "item.chance", tests=(FORECAST,)
        ),
        Mutant(
            "the range of an onset is half as wide",
            "(0.1, 0.5, 0.9)",
            "(0.25, 0.5, 0.75)",
            tests=golden("drift"),
        ),
        Mutant(
            "a step is dated a trim early",
            "(1 if shape is Shape.STEP else 0)",
            "0",
            tests=(VERDICT,),
        ),
        Mutant(
            "two visits make a verdict",
            "foot.looks.visits[look] < VISITS_NEEDED",
            "foot.looks.visits[look] < 2",
            tests=(VERDICT,),
        ),
        Mutant(
            "what raised an alarm leaves the description",
            "look if alarm is None else alarm]",
            "look]",
            tests=(VERDICT,),
        ),
        Mutant(
            "pairs made an alarm certain before they were taken",
            "alarm = certain_at(foot, alarm, unaided)",
            "pass",
            tests=golden("hands compared on other feet late"),
        ),
        Mutant(
            "a step goes on as a drift",
            "if verdict.state is not DriftState.DRIFT or",
            "if",
            tests=(VERDICT,),
        ),
    ),
    *rows(
        "measurements/hoof/drift/alarm.py",
        golden("drift"),
        Mutant(
            "an alarm stands for ever",
            "elif statistics[look] < even[look]:",
            "elif False:",
            tests=golden("old step that has ended"),
        ),
        Mutant(
            "an alarm falls as soon as it is under its limit",
            "elif statistics[look] < even[look]:",
            "else:",
            tests=(NEAR, *golden("small step", "by photo from a visit on", "wedge, then a drift")),
        ),
        Mutant(
            "an alarm is dated at its newest look",
            "int(look) if alarm is None else alarm",
            "int(look)",
            tests=(VERDICT,),
        ),
        Mutant(
            "an alarm that needs no pairs waits for them",
            "if unaided is None else min(by_pairs, unaided)",
            "",
            tests=(HANDS,),
        ),
    ),
    *rows(
        "measurements/hoof/drift/foot.py",
        NEAR,
        Mutant(
            "limits are kept without the errors",
            "for part in (arrays.sd, arrays.trim,",
            "for part in (arrays.trim,",
        ),
        Mutant(
            "limits are kept without what was settled",
            "arrays.column_kind, arrays.first_onset)",
            "arrays.column_kind)",
            tests=(NEAR,),
        ),
        Mutant(
            "limits are kept without the false alarms asked for",
            "(_METHOD_VERSION, foot.keys, visits_per_false_alarm,",
            "(_METHOD_VERSION, foot.keys,",
        ),
        Mutant(
            "limits are kept without the hands that changed",
            "    for change in foot.looks.handovers:\n        digest",
            "    for change in ():\n        digest",
            tests=(HANDS,),
        ),
        Mutant(
            "limits are kept without the looks between visits",
            "digest.update(foot.looks.share.tobytes())",
            "pass",
        ),
        Mutant(
            "limits are kept without the design",
            "arrays.look, arrays.design, arrays",
            "arrays.look, arrays",
        ),
        Mutant(
            "a heel beside a toe weighs in full",
            "SECOND_TRIM_DOUBT if pair else 1.0",
            "1.0",
            tests=(HANDS,),
        ),
        Mutant(
            "the order of pairs changes a verdict",
            "return tuple(sorted(set(found), key=lambda p: (p.at_days, p.foot, p.first, p.second, repr(p))))",
            "return tuple(found)",
            tests=(HANDS,),
        ),
        Mutant(
            "any quantities are judged together",
            "len(keys) > 1 and not set",
            "False and not set",
            tests=(PROPERTIES,),
        ),
        Mutant(
            "the day of a trim is that of its reading",
            "arrays.at_days - arrays.growth_time * GROWTH_PERIOD_DAYS",
            "arrays.at_days",
            tests=golden("only before the trim"),
        ),
    ),
    *rows(
        "measurements/hoof/drift/evidence.py",
        MODEL,
        Mutant(
            "the trims' variation counts once too often",
            "shrink = (scale**2 * grid.trim_sd**2)",
            "shrink = (scale * grid.trim_sd**2)",
        ),
        Mutant(
            "a likelihood leaves out how wide it is",
            "-0.5 * (outer[:, 0, 0] + log_det)",
            "-0.5 * outer[:, 0, 0]",
        ),
        Mutant("evidence is not charged for its freedom", " - 0.5 * np.log(gain)", ""),
        Mutant(
            "the evidence is that of the first grid point",
            "log_sum_exp(weights[:, None] + factors, axis=0)",
            "factors[0]",
            tests=(LIMITS,),
        ),
    ),
    *rows(
        "measurements/hoof/drift/model.py",
        MODEL,
        Mutant(
            "a drift begins at its onset",
            "np.maximum(0, trim[:, None] - onsets[None, :])",
            "np.maximum(0, trim[:, None] - onsets[None, :] + 1)",
            tests=golden("drift"),
        ),
        Mutant(
            "a step shows before it was made",
            "trim[:, None] > onsets[None, :]",
            "trim[:, None] >= onsets[None, :]",
            tests=golden("step down"),
        ),
        Mutant(
            "a level wanders in steps of its own",
            "walk_sd**2 * np.minimum",
            "walk_sd * np.minimum",
            tests=golden("two wild readings in a drift"),
        ),
        Mutant(
            "two trims share how they were made",
            "(trim[:, None] == trim[None, :])",
            "(trim[:, None] >= trim[None, :])",
        ),
    ),
    *rows(
        "measurements/hoof/drift/surprise.py",
        MODEL,
        Mutant(
            "a wild reading keeps its weight",
            "(surprise / DOWNWEIGHT_FROM_SD) ** 4",
            "(surprise / DOWNWEIGHT_FROM_SD) ** 0",
        ),
        Mutant(
            "a doubted reading is judged by its enlarged error",
            "1.0 / diagonal - error_variance + plain_variance",
            "1.0 / diagonal",
            tests=golden("two wild readings in a drift"),
        ),
        Mutant(
            "one pass is blurred by what is wild",
            "PASSES = 2",
            "PASSES = 1",
            tests=golden("two wild readings in a drift"),
        ),
    ),
    *rows(
        "measurements/hoof/drift/weights.py",
        golden("drift"),
        Mutant(
            "what a new hand reads is doubted",
            "if hand_onsets is not None and len(hand_onsets):",
            "if False:",
            tests=golden("new hand, the foot falls"),
        ),
        Mutant(
            "a true drift makes honest readings doubtful",
            "base += walk_covariance(arrays.trim, prior.walk_sd)",
            "pass",
            tests=golden("two wild readings in a drift", "fast drift"),
        ),
    ),
    *rows(
        "measurements/hoof/drift/hands.py",
        HANDS,
        Mutant(
            "whoever comes back is a new hand",
            "if was_known or number < VISITS_BEFORE:",
            "if number < VISITS_BEFORE:",
        ),
        Mutant(
            "who stands in once has taken over",
            "if not present.isdisjoint(self.stood_in):",
            "if False:",
            tests=(STAND_IN,),
        ),
        Mutant(
            "a change of hands stays fresh for ever",
            "last_trim - self.last_onset <= HANDOVER_TRIMS",
            "True",
            tests=golden("by photo from a visit on"),
        ),
        Mutant(
            "a change of hands weighs as any trim",
            "HANDOVER_LOG_CHANCE = 6.0",
            "HANDOVER_LOG_CHANCE = 0.0",
            tests=golden("new hand reads lower"),
        ),
        Mutant(
            "who measures before the trim has made it",
            "{row.source for row in rows if row.is_after} or",
            "",
            tests=(HANDS, *golden("hands compared on this foot", "new hand, the foot falls")),
        ),
        Mutant(
            "a change of hands is known a look early",
            "return look >= self.known_from and",
            "return look >= self.known_from - 1 and",
            tests=(STAND_IN,),
        ),
    ),
    *rows(
        "measurements/hoof/drift/offsets.py",
        HANDS,
        Mutant(
            "pairs teach the wrong sign",
            "return OffsetPrior(gain @ differences",
            "return OffsetPrior(-gain @ differences",
        ),
        Mutant("a hand reads every foot alike", "HAND_FOOT_SHARE = 0.5", "HAND_FOOT_SHARE = 0.0"),
        Mutant("pairs of other people teach", "if len(compared & set(hands)) < 2:", "if False:"),
        Mutant("a wild pair teaches as much as a good one", "PASSES if len(pairs) > 1 else 0", "0"),
        Mutant(
            "hands that were compared often are held to differ little",
            "if same_foot >= PAIRS_THAT_TEACH:",
            "if False:",
        ),
    ),
    *rows(
        "measurements/hoof/drift/looks.py",
        LIMITS,
        Mutant(
            "a reading between visits spends nothing",
            "shares[index], taken = whole - taken, 0.0",
            "shares[index], taken = whole, 0.0",
        ),
        Mutant(
            "early visits use their whole allowance",
            "EARLY_SHARES[place] if place < len(EARLY_SHARES) else LATER_SHARE",
            "LATER_SHARE",
        ),
        Mutant(
            "onsets of long ago are asked for",
            "oldest = max(last_trim - ONSETS_CONSIDERED, window_start, first_onset)",
            "oldest = max(window_start, first_onset)",
            tests=golden("drift of long ago"),
        ),
        Mutant(
            "a long record is judged on all of it",
            "return -(-beyond // WINDOW_STRIDE) * WINDOW_STRIDE",
            "return 0 * beyond",
            tests=golden("drift of long ago"),
        ),
        Mutant(
            "old onsets are as likely as recent ones", "np.log(ONSET_KEEP) * (last", "0.0 * (last"
        ),
    ),
    *rows(
        "measurements/hoof/drift/replay.py",
        golden("drift"),
        Mutant(
            "the heel's doubt stays in the description",
            "judged.trim_scale if told_since is None else 1.0",
            "judged.trim_scale",
            tests=(HANDS,),
        ),
        Mutant(
            "readings to come are known",
            "(arrays.look <= look) & (arrays.trim >= start)",
            "(arrays.trim >= start)",
            tests=golden("drift"),
        ),
    ),
    *rows(
        "measurements/hoof/drift/posterior.py",
        golden("drift"),
        Mutant(
            "a change is not taken out of the level",
            "projections.coefficients[point] - taken",
            "projections.coefficients[point]",
            tests=golden("drift"),
        ),
        Mutant(
            "sizes vary by their variance",
            "+ np.sqrt(variance) * noise[0]",
            "+ variance * noise[0]",
            tests=golden("drift"),
        ),
        Mutant(
            "the level is that of the first hand",
            "source == np.bincount(source).argmax()",
            "source == 0",
            tests=golden("by photo from a visit on"),
        ),
        Mutant(
            "half of all quiet feet change",
            "CHANGE_CHANCE = 0.2",
            "CHANGE_CHANCE = 0.5",
            tests=golden("steady"),
        ),
        Mutant(
            "the plan is left out of the present level",
            "+ arrays.planned[-1] + arrays.offset_mean",
            "+ arrays.offset_mean",
            tests=golden("planned and made"),
        ),
    ),
    *rows(
        "measurements/hoof/drift/finding.py",
        golden("drift"),
        Mutant(
            "a step is carried on into the future",
            "rate = change.size if shape is Shape.DRIFT else np.zeros_like(change.size)",
            "rate = change.size",
            tests=(VERDICT,),
        ),
        Mutant(
            "an interval of 95 % is one of 90 %",
            "(0.025, 0.5, 0.975)",
            "(0.05, 0.5, 0.95)",
            tests=golden("drift"),
        ),
        Mutant(
            "a quiet level knows of no hidden drift",
            "hidden = None if changed else unseen_drift(fit, last_trim)",
            "hidden = None",
            tests=golden("steady"),
        ),
        Mutant(
            "a planned movement leaves the path as it was",
            "arrays.planned[now][first] - arrays.planned[-1]",
            "0 * arrays.planned[now][first]",
            tests=(VERDICT,),
        ),
    ),
    *rows(
        "measurements/hoof/drift/unseen.py",
        golden("drift"),
        Mutant(
            "a hidden drift is small",
            "UNSEEN_SCALE = 2.0",
            "UNSEEN_SCALE = 1.0",
            tests=golden("steady"),
        ),
        Mutant(
            "a level without a change is left out",
            "np.minimum(low, least), np",
            "least, np",
            tests=(
                "tests/hoof/test_drift_quiet.py::test_a_level_is_as_open_as_the_wider_of_both_beliefs_leaves_it",
            ),
        ),
    ),
    *rows(
        "measurements/hoof/drift/power.py",
        "tests/hoof/test_drift_quiet.py",
        Mutant(
            "after four visits it is told what would have shown",
            "FEWEST_VISITS = 5",
            "FEWEST_VISITS = 2",
        ),
        Mutant(
            "twice the change would have shown",
            "factor / math.sqrt(sum(",
            "2.0 * factor / math.sqrt(sum(",
        ),
    ),
    *rows(
        "measurements/hoof/drift/priors.py",
        golden("drift"),
        Mutant(
            "a horse's growth is known beforehand",
            "growth = {shoeing: growth_prior(quantity, shoeing)",
            "growth = {shoeing: growth_prior(quantity, Shoeing.SHOD)",
            tests=golden("drift of a barefoot foot"),
        ),
        Mutant(
            "the error is known for certain",
            "ERROR_CHANCES = (1 / 8, 5 / 8, 2 / 8)",
            "ERROR_CHANCES = (0.001, 0.998, 0.001)",
            tests=golden("drift"),
        ),
    ),
    *rows(
        "measurements/hoof/drift/limits.py",
        (LIMITS, HANDS),
        Mutant(
            "paths that have alarmed count for later limits",
            "quiet &= statistics[look] <= limits[look]",
            "pass",
        ),
        Mutant(
            "toe and heel paths have trims of their own",
            "SHARED_TRIM * first + own",
            "0 * first + own",
        ),
    ),
    *rows(
        "measurements/hoof/drift/look_statistics.py",
        golden("new hand, the foot falls"),
        Mutant(
            "a sudden change at a change of hands is not looked for",
            "np.log(STEP_SHARE) + step[place, at]",
            "np.log(STEP_SHARE) - 50 + 0 * step[place, at]",
        ),
        Mutant(
            "toe and heel have onsets of their own",
            "np.sum([each.drift for each in found], axis=0)",
            "np.max([each.drift for each in found], axis=0)",
            tests=golden("pair, both drift"),
        ),
    ),
)
