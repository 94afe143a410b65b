"""What a person may do now on one board, as pages ask for it: `can.plan.propose`."""

from horses.access import POLICY, CaseAccess, may


class Rights(frozenset[str]):
    """The actions that are allowed. A noun leads to its verbs, so that a template needs no literal."""

    def __getattr__(self, noun: str) -> dict[str, bool]:
        verbs = [action.partition(".")[2] for action in POLICY if action.startswith(f"{noun}.")]
        if not verbs:
            raise AttributeError(noun)
        return {verb: f"{noun}.{verb}" in self for verb in verbs}


def rights_of(access: CaseAccess) -> Rights:
    return Rights(action for action in POLICY if may(access, action))
