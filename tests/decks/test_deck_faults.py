"""Bad decks and what is said of them: every fault at once, each at its line and column."""

from __future__ import annotations

import pytest

from drill.decks.fields import MOST_FAULTS
from drill.decks.load import loads
from drill.errors import FaultsError

GOOD = 'title = "T"\ninstrument = "alto_sax"\npatterns = ["return3"]\n'
"""Three good lines: a case's own begin in line 4."""

ALL_ASKS = (
    '"next", "degree", "run", "ear", "time", "key", "which-degree", "concert", "written", '
    '"signature", "different" or "chord"'
)
OWN_CELL = "(an id of the catalogue, or a cell such as 1-2-3-5)"
PERCENT = "right: expected a share above 0 and up to 1.0, or a percentage"
IN_CATALOGUE = (
    'this cell is in the catalogue as "return3"'
    ' (write patterns = ["return3"], so that its answers count together)'
)
KNOWN_ORDERS = (
    "known are fourths, fifths, chromatic, whole-tones, minor-thirds, major-thirds, tritone, "
    "ii-V-I, ii-V, I-vi-ii-V"
)
TONIC = "(a letter A to G, then # or b; the scale goes in scales)"

FLUTE = 'title = "T"\ninstrument = "flute"\n'
FORMULA = '(such as major or dorian, or its degrees: "1 2 b3 #4 5 b6 7")'

CASES = [
    # keys of the file
    (
        "tonality = 1",
        (
            '4:1: there is no key "tonality" here (known are title, note, instrument,'
            " horn, due, patterns, progression, voice_leading, guide_tones, begin, finish,"
            " groups_of, descent, ending, pattern, scale, scales, keys, concert_keys,"
            " directions, degrees, span, range, joined, tempo, articulation, swing, shape,"
            " metre, click, count_in, goal, practice, assignment)"
        ),
    ),
    ("direction = 1", '4:1: there is no key "direction" here (directions)'),
    ("direktions = 1", '4:1: there is no key "direktions" here (did you mean directions?)'),
    (
        '"\\u001b[2J" = 1',
        (
            '4:1: there is no key "\\x1b[2J" here (known are title, note, instrument,'
            " horn, due, patterns, progression, voice_leading, guide_tones, begin, finish,"
            " groups_of, descent, ending, pattern, scale, scales, keys, concert_keys,"
            " directions, degrees, span, range, joined, tempo, articulation, swing, shape,"
            " metre, click, count_in, goal, practice, assignment)"
        ),
    ),
    ("[goal]\nrihgt = 0.9", '5:1: there is no key "rihgt" here (did you mean right?)'),
    ("[practice]\nretype = true", '5:1: there is no key "retype" here (again)'),
    (
        "goal = 0.9",
        ("4:8: goal: expected a table, found a decimal number (such as [goal] with right = 0.9)"),
    ),
    # keys and scales
    (
        "keys = 3",
        (
            "4:8: keys: expected a list of tonics or a group, found a whole number"
            ' (such as ["C", "G"] or "all" or "up to 3 sharps and flats")'
        ),
    ),
    ('keys = "G"', '4:8: keys: there is no group of keys "G" (in square brackets: ["G"])'),
    ('keys = "sharp"', '4:8: keys: there is no group of keys "sharp" (did you mean sharps?)'),
    (
        'keys = "mine"',
        (
            '4:8: keys: there is no group of keys "mine" (known are all, sharps, flats,'
            " fourths, fifths, signatures, outward, fourths-F#, fifths-F#, half-steps,"
            ' whole-tones, minor-thirds, major-thirds, "up to 3 sharps and flats")'
        ),
    ),
    ('keys = [\n  "C",\n\t"H"]', f'6:2: keys: "H" is not a tonic {TONIC}'),
    ('keys = ["C", "Am"]', f'4:14: keys: "Am" is not a tonic {TONIC}'),
    (
        'keys = ["C", 5]',
        ('4:14: keys: expected text, found a whole number (such as ["C", "Bb", "F#"])'),
    ),
    ('keys = ["C", "G#"]', "4:14: G# major would have more than 7 sharps or flats (write Ab)"),
    ('keys = ["C", "G", "C"]', "4:19: keys: C stands here twice"),
    ("keys = []", "4:8: nothing to drill: keys is empty"),
    ("keys = {}", "4:8: nothing to drill: keys is empty"),
    (
        'keys = ["Fb"]\nscales = ["dorian"]',
        ("4:9: Fb Dorian would have more than 7 sharps or flats (write E)"),
    ),
    (
        'keys = ["Db"]\nscales = ["major", "dorian", "phrygian"]',
        (
            "4:9: Db Phrygian would have more than 7 sharps or flats"
            " (C# has fewer; name keys by scale)"
        ),
    ),
    ('keys = ["G"]\nconcert_keys = ["Bb"]', "5:1: keys and concert_keys: name one of them"),
    ('scales = ["dorain"]', '4:11: there is no scale "dorain" (did you mean dorian?)'),
    (
        'scales = "dorian"',
        (
            "4:10: scales: expected a list, found text"
            ' (in square brackets: scales = ["major", "dorian"])'
        ),
    ),
    ('scales = ["major", "ionian"]', '4:20: scales: "ionian" stands here twice'),
    ("scales = []", "4:10: nothing to drill: scales is empty"),
    (
        'scales = ["major"]\n[keys]\nmajor = ["C"]',
        ("4:1: keys names the scales already (leave scales out)"),
    ),
    ('[keys]\nmajr = ["C"]', '5:1: there is no scale "majr" (did you mean major?)'),
    ('[keys]\nmajor = ["C"]\nionian = ["D"]', '6:1: keys: "ionian" stands here twice'),
    ('[keys]\ndorian = ["C", "C"]', "5:16: dorian: C stands here twice"),
    # patterns
    (
        '[[pattern]]\nname = "x"',
        (
            "4:1: a pattern needs one of id, cell, cells, progression and from, "
            'found none (such as cell = "1-2-3-5")'
        ),
    ),
    (
        '[[pattern]]\nid = "thirds"\ncell = "1-4-5"',
        (
            "4:1: a pattern needs one of id, cell, cells, progression and from,"
            ' found id and cell (such as cell = "1-2-3-5")'
        ),
    ),
    ('[[pattern]]\ncell = "1-2-3-1"', f"5:8: {IN_CATALOGUE}"),
    ('[[pattern]]\nname = "mine"\ncell = "1231"', f"6:8: {IN_CATALOGUE}"),
    (
        '[[pattern]]\ncell = "13"',
        '5:8: "13" is not a cell: 1-3, or one note? put a hyphen between notes',
    ),
    (
        '[[pattern]]\ncell = "1-b3-5"',
        (
            '5:8: "1-b3-5" is not a cell: the key signature decides'
            " accidentals here; use l or u for half-step neighbours, or root mode"
            ' (mode = "root")'
        ),
    ),
    (
        '[[pattern]]\ncells = ["1-3",\n "1-16"]',
        ('6:2: "1-16" is not a cell: 16 is more than two octaves away (largest is 15)'),
    ),
    (
        '[[pattern]]\ncells = ["1-4-2"]',
        ("5:9: cells: expected 2 or 3 cells that alternate, found 1 (a single one is cell)"),
    ),
    (
        '[[pattern]]\ncell = "1-4-2"\nmoves_by = 9',
        ("6:12: moves_by: expected steps, 1 to 7, found 9"),
    ),
    (
        '[[pattern]]\nid = "thirds"\nmoves_by = 2',
        (
            "6:1: moves_by belongs to a cell of your own, not"
            " to an id (leave it out, or write the cell)"
        ),
    ),
    (
        '[[pattern]]\nid = "thirds"\nroots = "fourths"',
        ("6:1: roots move in root mode only (a chord, or a cell of your own)"),
    ),
    (
        '[[pattern]]\ncell = "1-b3-5"\nroots = "forths"',
        ('6:9: roots: there is no order "forths" (did you mean fourths?)'),
    ),
    (
        '[[pattern]]\ncell = "1-b3-5"\nroots = "x"',
        f'6:9: roots: there is no order "x" ({KNOWN_ORDERS})',
    ),
    (
        '[[pattern]]\ncell = "1-b3-5"\nroots = [2, "9"]',
        ('6:13: roots: expected a degree 1 to 7, b or # before it, found "9"'),
    ),
    (
        '[[pattern]]\ncell = "1-3-4"\nmode = "key"\nroots = "fourths"',
        ('6:8: roots move in root mode only (mode = "root")'),
    ),
    ('[pattern]\ncell = "1-3-4"', "4:2: pattern: expected double brackets (write [[pattern]])"),
    (
        'pattern = "thirds"',
        (
            "4:11: pattern: expected [[pattern]] tables, found text"
            ' (ids and cells go in patterns = ["return3"])'
        ),
    ),
    (
        'descent = "miror"',
        (
            '4:11: descent: expected "mirror", "same-shape", "retrograde",'
            ' "retrograde-inversion" or "chord-tones", found "miror" (did you mean mirror?)'
        ),
    ),
    ("ending = 1", '4:10: ending: expected "overrun", "clipped" or "closed", found a whole number'),
    # directions, span, range
    (
        'directions = ["down", "sideways"]',
        ('4:23: directions: expected "up" or "down", found "sideways"'),
    ),
    ('directions = ["up", "up"]', '4:21: directions: "up" stands here twice'),
    ("directions = []", '4:14: nothing to drill: directions is empty (["up", "down"])'),
    (
        "degrees = [0]",
        ("4:12: degrees: expected whole numbers, 1 to 13, found 0 (8 is the upper tonic)"),
    ),
    (
        "degrees = [4, true]",
        (
            "4:15: degrees: expected whole numbers, 1 to 13, found true or false"
            " (8 is the upper tonic)"
        ),
    ),
    ("degrees = [4, 4]", "4:15: degrees: 4 stands here twice"),
    ("span = 3", '4:8: span: expected 1, 2, "octaves" or "full" (in octaves)'),
    (
        'span = "ful"',
        ('4:8: span: expected "1", "2", "octaves" or "full", found "ful" (did you mean full?)'),
    ),
    (
        'range = "wide"',
        (
            '4:9: range: expected "standard", "extended" or a table, found "wide"'
            ' (such as { low = "D4", high = "C6" })'
        ),
    ),
    (
        'range = { low = "Bb" }',
        ('4:17: low: "Bb" is not a note (a name and an octave, such as "Bb3"; C4 is middle C)'),
    ),
    (
        'range = { low = "A3" }',
        ("4:17: low: A3 is below the lowest note of alto_sax (it goes down to Bb3)"),
    ),
    (
        'range = { high = "G7" }',
        ("4:18: high: G7 is more than an octave above the top of alto_sax (it goes up to F#6)"),
    ),
    (
        'range = { low = "C4", high = "B4" }',
        ("4:9: range: C4 to B4 is less than an octave (a run needs an octave)"),
    ),
    ('joined = "yes"', "4:10: joined: expected true or false, found text"),
    # tempo, sound, goal, practice
    ("tempo = 1000", "4:9: tempo: expected beats a minute, 20 to 400, found 1000"),
    ("tempo = 60.5", "4:9: tempo: expected beats a minute, 20 to 400, found a decimal number"),
    (
        "tempo = 0x" + "F" * 5000,
        ("4:9: tempo: expected beats a minute, 20 to 400, found a number of more than 12 digits"),
    ),
    ("tempo = { goal = 90 }", "4:9: tempo: start is missing (tempo = { start = 60, goal = 96 })"),
    (
        "tempo = { start = 90, goal = 60 }",
        ("4:30: the tempo to reach, 60, is below the one to begin at, 90"),
    ),
    (
        "tempo = 90\n[goal]\ntempo = 60",
        ("6:9: the tempo to reach, 60, is below the one to begin at, 90"),
    ),
    (
        "tempo = { start = 60, goal = 90 }\n[goal]\ntempo = 90",
        ("6:1: the tempo to reach is given twice (leave out one of them)"),
    ),
    ("swing = 9.0", "4:9: swing: expected a ratio from 1.0 to 4.0, or a word (2.0 is triplet)"),
    ("swing = nan", "4:9: swing: expected a ratio from 1.0 to 4.0, or a word (2.0 is triplet)"),
    (
        'swing = "triplets"',
        (
            '4:9: swing: expected "straight", "by-tempo" or "triplet",'
            ' found "triplets" (did you mean triplet?)'
        ),
    ),
    ('shape = "flat"', '4:9: shape: expected "level" or "rise-and-fall", found "flat"'),
    (
        "due = 2030-06-14T10:00:00",
        (
            "4:7: due: expected a date, found a date with a time"
            " (year, month, day without quotes: 2030-06-14)"
        ),
    ),
    (
        'due = "2030-06-14"',
        ("4:7: due: expected a date, found text (year, month, day without quotes: 2030-06-14)"),
    ),
    ("[goal]\nright = 1", f"5:9: {PERCENT} (1 could be one percent or all: write 1.0 or 100)"),
    ("[goal]\nright = 101", f"5:9: {PERCENT} (such as 0.9 or 90)"),
    ("[goal]\nright = -0.5", f"5:9: {PERCENT} (such as 0.9 or 90)"),
    ("[goal]\ndays = 0", "5:8: days: expected days, 1 to 30, found 0"),
    (
        '[goal]\nask = ["run", "ears"]',
        (f'5:15: ask: expected {ALL_ASKS}, found "ears" (did you mean ear?)'),
    ),
    ("[practice]\nask = []", '5:7: nothing to ask: ask is empty (such as ["next", "degree"])'),
    ("[practice]\nprompts = 0", "5:11: prompts: expected prompts, 1 to 1000, found 0"),
    (
        "[practice]\nminutes = true",
        ("5:11: minutes: expected minutes, 1 to 240, found true or false"),
    ),
    # text
    (
        'note = "a\\u001b[31mred"',
        ("4:8: note: expected plain text, found the control character U+001B"),
    ),
    ('note = "\\u202Eabc"', "4:8: note: expected plain text, found the control character U+202E"),
    ('note = "' + "x" * 2001 + '"', "4:8: note: at most 2000 characters, found 2001"),
]


@pytest.mark.parametrize(("lines", "said"), CASES)
def test_one_fault_is_named_at_its_place(lines: str, said: str) -> None:
    with pytest.raises(FaultsError) as caught:
        loads(GOOD + lines + "\n", "deck.toml")
    assert str(caught.value) == f"deck.toml:{said}"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            'title = "T"\npatterns = ["thirds"]',
            (
                'deck.toml:1:1: instrument is missing (such as instrument = "alto_sax", or "own" '
                "for each player's own horn)"
            ),
        ),
        (
            'instrument = "flute"\npatterns = ["thirds"]',
            'deck.toml:1:1: title is missing (such as title = "Returning cells")',
        ),
        (
            'title = " "\ninstrument = "flute"\npatterns = ["thirds"]',
            'deck.toml:1:9: title is empty (such as title = "Returning cells")',
        ),
        (
            'title = "a\\nb"\ninstrument = "flute"\npatterns = ["thirds"]',
            "deck.toml:1:9: title: expected one line, found a line break",
        ),
        (
            'title = "T"\ninstrument = "flute"',
            'deck.toml:1:1: patterns is missing (such as patterns = ["return3", "1-2-3-5"])',
        ),
        (
            'title = "T"\ninstrument = "flute"\npatterns = []',
            "deck.toml:3:1: nothing to drill: patterns is empty",
        ),
        (
            'title = "T"\ninstrument = "tenor_saxx"\npatterns = ["thirds"]',
            'deck.toml:2:14: there is no instrument "tenor_saxx" (did you mean tenor_sax?)',
        ),
        (
            'title = "T"\ninstrument = "flute"\npatterns = ["thirdz", "zz"]',
            (
                'deck.toml:3:13: there is no pattern "thirdz" (did you mean thirds?)\n'
                "deck.toml:3:23: \"zz\" is not a cell: 'z' at position 1 does not belong in a cell"
            ),
        ),
        (
            'title = "T"\ninstrument = "flute"\npatterns = ["return3", "1-2-3-1"]',
            'deck.toml:3:24: the pattern "1-2-3-1" is in the deck twice',
        ),
        (
            'title = "T"\ninstrument = "flute"\npatterns = ["qqqqq"]',
            f'deck.toml:3:13: there is no pattern "qqqqq" {OWN_CELL}',
        ),
        (
            'title = "T"\ninstrument = "flute"\npatterns = ["chord-m7/9"]',
            "deck.toml:3:13: a chord of 4 notes has no inversion 9: 0 to 3",
        ),
        (
            FLUTE + 'patterns = ["scale"]\nbegin = 0',
            "deck.toml:4:9: begin: expected a degree, 1 to 12, found 0",
        ),
        (
            FLUTE + 'patterns = ["scale"]\ngroups_of = 1',
            "deck.toml:4:13: groups_of: expected notes, 2 to 12, found 1",
        ),
        (
            FLUTE + 'progression = "Dm7"\nbegin = 3',
            "deck.toml:4:9: begin goes with patterns in a key (leave it out)",
        ),
        (
            FLUTE + '[[pattern]]\nprogression = "Dm7"\ngroups_of = 3',
            "deck.toml:5:1: groups_of belongs to a pattern in a key (leave it out)",
        ),
        (
            FLUTE + '[[pattern]]\ncell = "1-2"\nall = "turns"',
            'deck.toml:5:7: all: expected "rotations" or "permutations", found "turns"',
        ),
        (
            FLUTE + '[[pattern]]\ncell = "1-2-3-4-5"\nall = "permutations"',
            "deck.toml:5:7: permutations are made of 2 to 4 notes, not 5",
        ),
        (
            FLUTE + '[[pattern]]\ncells = ["1-2", "1-3"]\nall = "rotations"',
            "deck.toml:5:7: rotations are made of one cell",
        ),
        (
            FLUTE + 'patterns = ["scale"]\nscale = "1 2 b3 b3 5"',
            'deck.toml:4:9: there is no scale "1 2 b3 b3 5" ' + FORMULA,
        ),
        (
            FLUTE + 'patterns = ["scale"]\nscale = "2 3 4"',
            'deck.toml:4:9: there is no scale "2 3 4" ' + FORMULA,
        ),
        (
            FLUTE + 'patterns = ["scale"]\nscale = "1 5"',
            'deck.toml:4:9: there is no scale "1 5" ' + FORMULA,
        ),
        (
            FLUTE + 'patterns = ["scale"]\nscale = "major"\nscales = ["major"]',
            "deck.toml:4:1: scale and scales: name one of them",
        ),
    ],
)
def test_faults_of_the_first_lines(text: str, said: str) -> None:
    with pytest.raises(FaultsError) as caught:
        loads(text, "deck.toml")
    assert str(caught.value) == said


def test_every_fault_of_a_file_is_named_at_once_in_the_order_of_the_file() -> None:
    text = (
        'titel = "T"\n'
        'instrument = "altosax"\n'
        'patterns = ["thirds",\n'
        '  "13"]\n'
        'keys = ["C", "H"]\n'
        "tempo = 5\n"
        "[goal]\n"
        "right = 7.0\n"
    )
    with pytest.raises(FaultsError) as caught:
        loads(text, "d.toml")
    assert [(fault.line, fault.column) for fault in caught.value.faults] == [
        (1, 1),
        (1, 1),
        (2, 14),
        (4, 3),
        (5, 14),
        (6, 9),
        (8, 9),
    ]
    assert all(fault.file == "d.toml" and fault.message for fault in caught.value.faults)


def test_a_deck_of_too_many_runs_is_refused() -> None:
    scales = ", ".join(f'"{scale}"' for scale in ("major", "dorian", "lydian", "altered"))
    patterns = ", ".join(f'"1-{a}-{b}-{c}"' for a in range(2, 9) for b in (3, 4) for c in (1, 9, 8))
    text = f"{FLUTE}patterns = [{patterns}]\nscales = [{scales}]"
    with pytest.raises(FaultsError) as caught:
        loads(text, "d.toml")
    assert str(caught.value) == (
        "d.toml:3:1: 5040 runs (patterns x keys x directions); a deck has at most 5000"
        " (make two decks)"
    )


def test_a_file_with_hundreds_of_faults_names_the_first_and_says_so() -> None:
    text = "".join(f"wrong_key_number_{number} = {number}\n" for number in range(450))
    with pytest.raises(FaultsError) as caught:
        loads(text, "d.toml")
    assert len(caught.value.faults) == MOST_FAULTS + 1
    assert str(caught.value).endswith("d.toml: there are more faults; mend these first")


def test_a_long_list_is_refused_without_looking_at_each() -> None:
    text = GOOD + "keys = [" + '"C",' * 201 + "]"
    with pytest.raises(FaultsError) as caught:
        loads(text, "d.toml")
    assert str(caught.value) == "d.toml:4:8: keys: at most 200 in a list, found 201"
