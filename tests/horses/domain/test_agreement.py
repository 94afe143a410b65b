"""When a version counts as agreed: the pure rule, over every kind of team and of words."""

from hypothesis import given
from hypothesis import strategies as st

from horses.domain.agreement import ROLES, Word, agreement_state, in_force, required_roles

roles = st.sampled_from(ROLES)
role_sets = st.frozensets(roles)
words = st.lists(
    st.builds(Word, st.integers(1, 4), roles, st.sampled_from(("agree", "decline", "ask"))),
    max_size=12,
)


@given(role_sets, role_sets, st.booleans())
def test_who_leaves_never_makes_the_list_shorter(
    frozen: frozenset[str], active: frozenset[str], therapeutic: bool
) -> None:
    before = set(required_roles(frozen, active, therapeutic=therapeutic))
    for gone in active:
        after = set(required_roles(frozen, active - {gone}, therapeutic=therapeutic))
        assert after >= before - (active - frozen)
        assert after >= frozen


@given(role_sets, role_sets)
def test_a_therapeutic_item_needs_the_vet_even_without_one(
    frozen: frozenset[str], active: frozenset[str]
) -> None:
    assert "vet" in required_roles(frozen - {"vet"}, active - {"vet"}, therapeutic=True)


@given(role_sets, role_sets, st.booleans())
def test_a_carer_is_never_asked(
    frozen: frozenset[str], active: frozenset[str], therapeutic: bool
) -> None:
    wanted = required_roles({*frozen, "carer"}, {*active, "carer"}, therapeutic=therapeutic)
    assert set(wanted) <= set(ROLES)


@given(role_sets, words)
def test_agreed_means_that_each_required_role_said_yes_and_nobody_of_it_no(
    required: frozenset[str], said: list[Word]
) -> None:
    state = agreement_state([r for r in ROLES if r in required], said)
    last = {(word.person_id, word.role): word.decision for word in said}
    for role in required:
        its = [decision for (_, of), decision in last.items() if of == role]
        yes = "agree" in its and not {"decline", "ask"} & set(its)
        assert (state.marks[role] == "agreed") is yes
        assert (role in state.missing) is not yes
    assert state.is_agreed is (bool(required) and not state.missing)


@given(words)
def test_without_anybody_required_nothing_is_agreed(said: list[Word]) -> None:
    assert not agreement_state((), said).is_agreed


@given(role_sets, words, st.integers(1, 4), roles)
def test_a_no_blocks_whatever_was_said_before(
    required: frozenset[str], said: list[Word], person: int, role: str
) -> None:
    state = agreement_state({*required, role}, [*said, Word(person, role, "decline")])
    assert state.marks[role] == "declined"
    assert not state.is_agreed


@given(words, roles)
def test_words_for_another_role_change_nothing(said: list[Word], role: str) -> None:
    own = [word for word in said if word.role == role]
    assert agreement_state([role], said) == agreement_state([role], own)


def test_a_changed_mind_counts_as_it_was_said_last() -> None:
    words = [Word(1, "vet", "decline"), Word(1, "vet", "agree")]
    assert agreement_state(["vet"], words).is_agreed
    assert not agreement_state(["vet"], reversed(words)).is_agreed


def test_what_the_vet_set_alone_holds_until_somebody_says_no() -> None:
    def holds(*said: Word, emergency: bool = True) -> bool:
        return in_force(
            agreement_state(ROLES, [Word(1, "vet", "agree"), *said]), emergency=emergency
        )

    assert holds()
    assert holds(Word(2, "farrier", "ask"))
    assert not holds(Word(2, "farrier", "decline"))
    assert not holds(emergency=False)
