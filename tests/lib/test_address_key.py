import pytest

from caseboard.lib.address_key import address_key, address_spelled

PLAIN = "vera.vet@example.test"


@pytest.mark.parametrize(
    "typed",
    [
        "VERA.vet@Example.TEST",
        " vera.vet@example.test ",
        "vera.vet@example.test.",
        "vera.vet@example.test. ",
        "vera.vet @ example.test",
        "ｖera.vet@example.test",
        "vera.vet@ｅxample.test",
        "vera.vet\u200b@example.test",
        "vera.vet@example。test",
    ],
)
def test_spellings_of_one_address_count_as_one(typed: str) -> None:
    assert address_key(typed) == address_key(PLAIN)


def test_a_letter_in_two_parts_and_in_one_count_as_one() -> None:
    assert address_key("jose\u0301@example.test") == address_key("jos\u00e9@example.test")


def test_a_name_of_another_alphabet_and_its_form_for_machines_count_as_one() -> None:
    assert address_key("a@bücher.test") == address_key("a@xn--bcher-kva.test")


@pytest.mark.parametrize(
    "other", ["vera.vet+x@example.test", "veravet@example.test", "vera.vet@example.test.example"]
)
def test_other_addresses_stay_others(other: str) -> None:
    assert address_key(other) != address_key(PLAIN)


@pytest.mark.parametrize("odd", ["", "@", "no address", "a@", "@b", "\ud800@x", "a@" + "b" * 300])
def test_whatever_is_typed_has_a_key(odd: str) -> None:
    assert isinstance(address_key(odd), str)


def test_what_is_written_to_keeps_the_part_that_the_mail_server_knows() -> None:
    assert address_spelled(" Vera.Vet@EXAMPLE.test. ") == "Vera.Vet@example.test"
