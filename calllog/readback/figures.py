"""Values and texts with figures in, the words to speak out; pure.

Every number word is the grammar's. Numbers are said as the crew says them: 33.87 is "thirty three
eighty seven", hundredths below ten have "oh" before them. Inside a text, "point" keeps feet and
hundredths apart.
"""

import re

from calllog.spoken import Grammar, say, spoken_forms
from calllog.values import HUNDREDTHS, Kind

THOUSAND = 1000
SIGNS = {"+": "plus", "-": "minus", "*": "star", "/": "slash"}
"""Keys of a keypad, and what stands between figures; a hyphen between letters is none."""
TOKEN = re.compile(
    r"(?P<sign>[+*/]|(?<![^\W\d_])-(?=[.\d]))|(?P<number>\d*\.\d+|\d+)(?:\s*(?P<unit>ft|m|lb|n|degf|degc|s)\b)?"
    r"|(?P<word>[^\W\d_](?:[^\W\d_]|')*)|(?P<pause>[.,;:])"
)


def say_count(grammar: Grammar, count: int) -> str:
    """Say a whole number: feet, a pull, degrees; from a thousand up digit by digit.

    Example: ``213`` is "two hundred thirteen".
    """
    if count <= HUNDREDTHS:
        return say(grammar, Kind.WHOLE, HUNDREDTHS * count)
    if count >= THOUSAND:
        return _digits(grammar, str(count))
    hundreds, rest = divmod(count, HUNDREDTHS)
    more = f" {say_count(grammar, rest)}" if rest else ""
    if named := grammar.cardinals.get(str(hundreds * HUNDREDTHS)):
        return f"{named[0]}{more}"
    hundred = grammar.terms.added_to[0]
    if hundreds > 1:
        hundred = f"{_digits(grammar, str(hundreds))} {hundred.split()[-1]}"
    return f"{hundred}{more}"


def say_hundredths(grammar: Grammar, hundredths: int) -> str:
    """Say hundredths of a foot or meter, 0 to 99: "eighty seven", "oh five", "zero zero"."""
    tens, digit = divmod(hundredths, 10)
    if tens == 0 and digit:
        return f"{grammar.digits['0'][-1]} {_digits(grammar, str(digit))}"
    return say(grammar, Kind.FRACTION, hundredths)


def say_part(grammar: Grammar, counts: int) -> str:
    """Say what stands after the point: hundredths, or three figures where it is read finely."""
    unit = grammar.unit
    return _digits(grammar, unit.part(counts)) if unit.is_fine else say_hundredths(grammar, counts)


def say_length(grammar: Grammar, counts: int) -> str:
    """Say feet and hundredths, so that they have one meaning: "thirty three eighty seven".

    Where the tape is read more finely: "thirty three point eight seven five".
    """
    feet, part = divmod(counts, grammar.unit.counts)
    if grammar.unit.is_fine:
        return f"{say_count(grammar, feet)} {grammar.terms.point[0]} {say_part(grammar, part)}"
    whole, fraction = say_count(grammar, feet), say_hundredths(grammar, part)
    joined = f"{whole} {fraction}"
    if joined in spoken_forms(grammar, Kind.READING, counts):
        return joined
    return f"{whole} {grammar.terms.point[0]} {fraction}"


def say_decimal(grammar: Grammar, number: str) -> str:
    """Say a number as it is written: ".05" is "point oh five", "54.2" "fifty four point two"."""
    whole, _, part = number.partition(".")
    words = [say_count(grammar, int(whole))] if whole else []
    if part:
        is_hundredths = len(part) == 2  # noqa: PLR2004 - two figures
        said = say_hundredths(grammar, int(part)) if is_hundredths else _digits(grammar, part)
        words += [grammar.terms.point[0], said]
    return " ".join(words)


def say_text(grammar: Grammar, text: str) -> str:
    """Turn a plain text into words to speak: lower case, figures as words, "," and "." as pauses.

    The text is in the grammar's language already; only units and signs are told here.

    Example: "take 33.87, check 32.87: 1 ft apart" is "take thirty three point eighty seven, check
    thirty two point eighty seven. one foot apart".
    """
    said: list[str] = []
    words = grammar.words
    for found in TOKEN.finditer(text.casefold().replace("°", "deg")):
        if pause := found["pause"]:
            if said:
                said[-1] = said[-1].rstrip(".,") + ("," if pause == "," else ".")
        elif sign := found["sign"]:
            said.append(words("crew-sign", sign=SIGNS[sign]))
        elif number := found["number"]:
            said.append(say_decimal(grammar, number))
            if symbol := found["unit"]:
                counted = "one" if number == "1" else "more"
                said.append(words("crew-unit", symbol=symbol, number=counted))
        else:
            said.append(found["word"])
    return " ".join(said).rstrip(".,")


def _digits(grammar: Grammar, figures: str) -> str:
    return " ".join(grammar.digits[figure][0] for figure in figures)
