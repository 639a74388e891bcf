"""What can be wrong with a rule set."""


class RuleSetFault(ValueError):
    """A rule set that cannot be read; ``path`` says where, ``problem`` what."""

    def __init__(self, path: str, problem: str) -> None:
        super().__init__(f"{path}: {problem}")
        self.path = path
        self.problem = problem
