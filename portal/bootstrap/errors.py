"""What set-up says when it cannot go on."""


class SetupError(Exception):
    """One line that names what is wrong and what to do about it."""
