"""heavyspot demo: the whole job on a shipped example."""


def demo() -> int:
    """Do a whole job on a shipped example."""
    raise NotImplementedError
