"""The name that was probably meant: of the same family first."""

import pytest

from linewright.base.nearest import nearest
from linewright.cards.loader import load_shelf


@pytest.mark.parametrize(
    ("name", "meant"),
    [
        ("polyester-12-strand", "polyester-8-strand"),
        ("polyestr-8-strand", "polyester-8-strand"),
        ("HMPE-low-creep", "hmpe-low-creep-12-strand"),
        ("aramid-8-strand", "aramid-12-strand"),
    ],
)
def test_rope_when_mistyped_is_sought_among_its_own_fibre(name: str, meant: str) -> None:
    names = [*load_shelf().ropes, "aramid-12-strand", "polyamide-8-strand"]

    assert nearest(name, names) == meant


def test_name_when_nothing_is_like_it_is_none() -> None:
    assert nearest("zzz", ["roller", "closed-chock"]) == ""
    assert nearest("roler", ["roller", "closed-chock"]) == "roller"
    assert nearest("x", []) == ""
