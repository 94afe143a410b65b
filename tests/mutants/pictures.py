"""Slips in who sees, adds and blanks out pictures, in reading films and in telling what they say."""

from tests.mutants.row import Mutant, rows

PICTURES = "tests/horses/services/test_pictures.py"
FILMS = "tests/measurements/test_film_values.py"
FILES = "tests/lib/test_film_files.py"

OF_PICTURES = (
    *rows(
        "horses/queries/pictures.py",
        PICTURES,
        Mutant(
            "the picture of a note is the whole team's",
            '(Q(note=None) | readable_by(access, "note__audience"))',
            "Q()",
        ),
        Mutant(
            "the picture of a visit is seen from every horse",
            "Q(visit__isnull=False, case__horse=access.horse)",
            "Q(visit__isnull=False)",
        ),
    ),
    *rows(
        "horses/models/picture.py",
        PICTURES,
        Mutant(
            "the picture of an examination that was taken back still stands",
            '        found |= Q(**{f"{exam}__is_void": True})\n',
            "",
        ),
        Mutant(
            "of a visit that was corrected twice and taken back the picture still stands",
            "for later in range(MOST_CORRECTED + 1):",
            "for later in range(2):",
        ),
    ),
    *rows(
        "horses/services/pictures.py",
        PICTURES,
        Mutant(
            "anybody adds films",
            "if (is_film or sent_as_film) and act.access.role != Role.VET:",
            "if False:",
        ),
        Mutant(
            "a device's film is added as any picture",
            "if sent_as_film and not is_film:",
            "if False:",
        ),
        Mutant(
            "anybody blanks out any picture of the board",
            "return access.role == Role.OWNER or picture.added_by_id == access.person.pk",
            "return True",
        ),
        Mutant(
            "nobody blanks out their own picture",
            "return access.role == Role.OWNER or picture.added_by_id == access.person.pk",
            "return access.role == Role.OWNER",
        ),
        Mutant(
            "a picture is blanked out from another board",
            "if picture.case_id != access.case.pk:",
            "if False:",
        ),
        Mutant(
            "an owner blanks out what they do not see",
            "seen = pictures_for(access).filter(",
            "seen = Picture.objects.filter(",
        ),
        Mutant(
            "the file of a picture that was blanked out stays",
            'enqueue("photo.delete", str(picture.file.name), now=now)',
            "pass",
        ),
        Mutant(
            "the line of a note's picture is the whole team's",
            "return picture.note.audience if picture.note else TEAM_AUDIENCE",
            "return TEAM_AUDIENCE",
        ),
        Mutant(
            "anybody adds pictures to anybody's note",
            "thing.author_id != access.person.pk",
            "False",
        ),
        Mutant(
            "anybody adds pictures to an examination",
            'if of == "exam" and access.role != Role.VET:',
            "if False:",
        ),
    ),
    *rows(
        "measurements/services/picture_points.py",
        "tests/measurements/test_points_service.py",
        Mutant(
            "anybody places points on films",
            "return PLACE_ON_FILM if view in VIEWS and VIEWS[view].by_vets_only else PLACE",
            "return PLACE",
        ),
    ),
    *rows(
        "measurements/queries/picture_readings.py",
        FILMS,
        Mutant(
            "who is no vet any more writes the values of a film down",
            "(access.role == Role.VET or not films)",
            "True",
        ),
    ),
    *rows(
        "measurements/queries/film_points.py",
        FILMS,
        Mutant(
            "a colleague's repeat takes the place of a film's numbers",
            "(written or [row for row in placed if row.placed_by_id == first])",
            "(written or placed)",
        ),
        Mutant(
            "points placed later take the place of a reading's",
            "(written or [row for row in placed if row.placed_by_id == first])",
            "[row for row in placed if row.placed_by_id == first]",
        ),
        Mutant(
            "a film is beside one that was taken later",
            "if (one.taken_on, one.pk) < (film.taken_on, film.pk)",
            "if one.pk != film.pk",
        ),
        Mutant(
            "a film is beside one of another foot",
            "(foot=film.foot, view=film.view)",
            "(view=film.view)",
        ),
        Mutant(
            "a film is beside one from another side",
            "(foot=film.foot, view=film.view)",
            "(foot=film.foot)",
        ),
        Mutant("a film is beside one that was taken back", ".of_this_horse()", ""),
    ),
    *rows(
        "measurements/panels/film_values.py",
        FILMS,
        Mutant(
            "a change within the errors of two films is named",
            "if abs(change) <= Z_95_TWO_SIDED * of_both:",
            "if False:",
        ),
        Mutant("the film before has no error", "math.hypot(found.sd, earlier.sd)", "found.sd"),
        Mutant("every trim lies between two films", "if before <= day <= on]", "if day <= on]"),
        Mutant(
            "any value of that day makes a film's own known",
            "<= Z_95_TWO_SIDED * math.hypot(reading_sd(row, numbers.errors), found.sd)",
            "<= 1e9",
        ),
        Mutant(
            "nobody hears that a film's value warns nobody",
            "and not _is_known(film, READING_OF[key], one, numbers)",
            "and False",
        ),
    ),
    *rows(
        "measurements/views/exam.py",
        FILMS,
        Mutant(
            "who read a colleague's numbers of a film still places blind",
            "seen_mark(response, case_id, film.shown.picture)",
            "pass",
        ),
    ),
    *rows(
        "caseboard/export/case_copy.py",
        FILMS,
        Mutant(
            "a copy holds no numbers of films",
            '        "film_values": film_value_rows(placed),\n',
            "",
        ),
    ),
    *rows(
        "caseboard/lib/film_child.py",
        FILES,
        Mutant(
            "a film is shown the other way round",
            'if film.PhotometricInterpretation == "MONOCHROME1":',
            "if False:",
        ),
        Mutant("any packing of a film is unpacked", "if _syntax(data) not in READ:", "if False:"),
        Mutant("a film's pixels stay as wide as they are", "if abs(high - 1) < 0.001:", "if True:"),
        Mutant(
            "the window of a film is passed over",
            "if centre is None or width is None:",
            "if True:",
        ),
        Mutant(
            "of several films in a file one is taken",
            'if int(film.get("NumberOfFrames") or 1) != 1:',
            "if False:",
        ),
        Mutant(
            "a film of any size is unpacked",
            "if int(film.Rows) * int(film.Columns) > max_pixels:",
            "if False:",
        ),
        Mutant(
            "a window that shows nothing hides the film",
            "if not np.isfinite(within) or within < LEAST_GREY:",
            "if False:",
        ),
    ),
)
