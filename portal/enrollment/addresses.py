"""One key for one address, however it is written.

``12 North Elm Street``, ``12 N. Elm St`` and ``12 n elm st #2`` share a street key; the unit is
kept apart. The abbreviations are those in everyday use on envelopes (common practice, no source).
"""

import re

_SUFFIXES = {
    "alley": "aly",
    "avenue": "ave",
    "av": "ave",
    "boulevard": "blvd",
    "bypass": "byp",
    "circle": "cir",
    "court": "ct",
    "cove": "cv",
    "crescent": "cres",
    "crossing": "xing",
    "drive": "dr",
    "drv": "dr",
    "expressway": "expy",
    "extension": "ext",
    "heights": "hts",
    "highway": "hwy",
    "hollow": "holw",
    "junction": "jct",
    "lane": "ln",
    "parkway": "pkwy",
    "pky": "pkwy",
    "place": "pl",
    "plaza": "plz",
    "point": "pt",
    "ridge": "rdg",
    "road": "rd",
    "route": "rte",
    "rt": "rte",
    "square": "sq",
    "str": "st",
    "street": "st",
    "terrace": "ter",
    "terr": "ter",
    "trail": "trl",
    "turnpike": "tpke",
    "way": "way",
}
_DIRECTIONS = {
    "north": "n",
    "south": "s",
    "east": "e",
    "west": "w",
    "northeast": "ne",
    "northwest": "nw",
    "southeast": "se",
    "southwest": "sw",
}
_ORDINALS = {
    "first": "1st",
    "second": "2nd",
    "third": "3rd",
    "fourth": "4th",
    "fifth": "5th",
    "sixth": "6th",
    "seventh": "7th",
    "eighth": "8th",
    "ninth": "9th",
    "tenth": "10th",
}
_ONE_WORD = {
    ("north", "east"): "northeast",
    ("north", "west"): "northwest",
    ("south", "east"): "southeast",
    ("south", "west"): "southwest",
}
_UNIT_WORDS = {"apartment", "apt", "flat", "lot", "no", "num", "number", "rm", "room", "spc",
               "space", "ste", "suite", "trlr", "unit"}  # fmt: skip
# A unit written behind the street: its own word or a number sign, then one short word.
_UNIT_BEHIND = re.compile(
    # The word ends there, so that Quarry Steps keeps its name; "Apt2B" needs no space.
    r"[\s,]+(?:(?:apartment|apt|unit|suite|ste|flat|lot|space|spc|trlr)(?![a-z])\.?\s*#?|#)\s*"
    r"(?P<unit>[a-z0-9][a-z0-9-]*)\.?\s*$",
    re.IGNORECASE,
)
_MARKS = re.compile(r"[^a-z0-9/-]+")


def split_unit(street: str) -> tuple[str, str]:
    """The street line without a unit written behind it, and that unit."""
    found = _UNIT_BEHIND.search(street)
    if found is None:
        return street.strip().rstrip(","), ""
    return street[: found.start()].strip().rstrip(","), found.group("unit")


def street_key(street: str) -> str:
    """The street line as a key: small letters, everyday abbreviations, no unit, no marks."""
    line, _unit = split_unit(street)
    words = _MARKS.sub(" ", _plain(line))
    merged: list[str] = []
    for word in words.split():
        if merged and (merged[-1], word) in _ONE_WORD:
            merged[-1] = _ONE_WORD[merged[-1], word]
        else:
            merged.append(word)
    key: list[str] = []
    last = len(merged) - 1
    for place, word in enumerate(merged):
        short = _ORDINALS.get(word, word)
        # A name that is itself such a word (Avenue Road, North Street) keeps it: a direction
        # is shortened only beside the name, a kind of street only behind it.
        if place > 1:
            short = _SUFFIXES.get(short, short)
        if word in _DIRECTIONS and (place == last or (place == 1 and last > 2)):
            short = _DIRECTIONS[word]
        key.append(short)
    return " ".join(key)


def _plain(line: str) -> str:
    """Small letters, apostrophes closed up, halves written out."""
    text = line.lower().replace("½", " 1/2")
    return text.replace("'", "").replace("’", "").replace(".", " ")


def unit_key(unit: str) -> str:
    """A unit as a key: ``Apt. 2b``, ``#2B`` and ``unit 2-b`` are ``2B``."""
    words = re.sub(r"[^A-Za-z0-9]+", " ", unit).split()
    while words and words[0].lower() in _UNIT_WORDS:
        words.pop(0)
    return "".join(words).upper()


def account_key(number: str) -> str:
    """An account number as the customer file has it: digits and letters only."""
    return re.sub(r"[^A-Za-z0-9]+", "", number).upper()


def tidy(text: str) -> str:
    """Words with single blanks between them."""
    return " ".join(text.split())
