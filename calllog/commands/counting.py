"""Numbers of things in words that go with them."""


def counted(number: int, one: str, more: str = "") -> str:
    """Say how many of something there are.

    Args:
        number: how many.
        one: its name, for one.
        more: for any other number; the name with an s if left out.

    Example:
        >>> counted(1, "pull"), counted(2, "pull"), counted(0, "entry", "entries")
        ('1 pull', '2 pulls', 'no entries')
    """
    words = one if number == 1 else more or f"{one}s"
    return f"{number or 'no'} {words}"
