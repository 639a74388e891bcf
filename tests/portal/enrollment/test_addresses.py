"""One key for one address, however it is written."""

import pytest

from portal.enrollment.addresses import account_key, split_unit, street_key, unit_key


@pytest.mark.parametrize(
    ("written", "key"),
    [
        ("12 North Elm Street", "12 n elm st"),
        ("12 N. Elm St.", "12 n elm st"),
        ("12 n elm st #2", "12 n elm st"),
        ("12  North  Elm  Str", "12 n elm st"),
        ("9 First Avenue", "9 1st ave"),
        ("9 1st Ave.", "9 1st ave"),
        ("7 South West Mill Lane", "7 sw mill ln"),
        ("4 Elm Street North", "4 elm st n"),
        ("3 O’Hara Court", "3 ohara ct"),
        ("12½ Elm St", "12 1/2 elm st"),
        # Names that are themselves such words stay what they are.
        ("5 North Street", "5 north st"),
        ("5 Avenue Road", "5 avenue rd"),
        ("12 Court Street", "12 court st"),
    ],
)
def test_spellings_of_one_address_meet_in_one_key(written: str, key: str) -> None:
    assert street_key(written) == key


def test_different_addresses_keep_different_keys() -> None:
    written = ["12 Elm St", "12 Elm Ave", "120 Elm St", "12 N Elm St", "12 Elmer St", "12 Elm St N"]
    assert len({street_key(line) for line in written}) == len(written)


@pytest.mark.parametrize("written", ["Apt. 2b", "#2B", "unit 2-b", "2 B", "No. 2B"])
def test_spellings_of_one_unit_meet_in_one_key(written: str) -> None:
    assert unit_key(written) == "2B"


def test_a_unit_behind_the_street_is_taken_apart() -> None:
    assert split_unit("12 Elm St, Apt 2B") == ("12 Elm St", "2B")
    assert split_unit("12 Elm St #3") == ("12 Elm St", "3")
    assert split_unit("12 Elm St Apt2B") == ("12 Elm St", "2B")
    assert split_unit("12 Unity Lane") == ("12 Unity Lane", "")
    assert split_unit("35 Quarry Steps") == ("35 Quarry Steps", "")
    assert split_unit("7 Old Flatiron") == ("7 Old Flatiron", "")


def test_an_account_number_loses_its_blanks_and_dashes() -> None:
    assert account_key(" 4410-0000 01 ") == "4410000001"
