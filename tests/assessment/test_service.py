"""What cards may add: wear in service, hours on the drum, chafe gear, a second process of creep."""

import dataclasses

import numpy as np
import pytest
from tests.assessment.test_mechanism_battery import CONTACT, exposed, whole

from linewright.assessment.exposure import Exposure
from linewright.assessment.judge import findings_of
from linewright.assessment.mechanisms.catalogue import BY_NAME
from linewright.assessment.whole import assess_case
from linewright.base.data import Datum
from linewright.cards.model import Shelf
from linewright.services.result import result_of


def datum(key: str, kind: str, value: float) -> Datum:
    """A datum without a band, of our own."""
    return Datum(key, kind, value, value, value, "given", "own")


def rate(name: str, *more: Datum, exposure: Exposure | None = None) -> np.ndarray:
    """Rate of a mechanism with more data, hmpe-standard-12-strand at 35 C."""
    given, draws = exposed("hmpe-standard-12-strand")
    draws = dataclasses.replace(draws, data={**draws.data, **{item.key: item for item in more}})
    return whole(BY_NAME[name].rate(exposure or given, draws))


def practised(shelf: Shelf, *more: Datum) -> Shelf:
    """The shelf with data added to the practice of the small case."""
    card = shelf.practices["moored-line-one-mark"]
    changed = card.with_data({item.key: item for item in more})
    return dataclasses.replace(shelf, practices={**shelf.practices, card.name: changed})


def test_service_when_a_call_takes_a_share_takes_it_once_a_call() -> None:
    # By hand: 0.004 of ln strength a call of 40 h: 1e-4 an hour alongside, in every state and at every place.
    np.testing.assert_allclose(rate("service", datum("service_wear", "fraction", 0.004)), 1e-4, rtol=1e-12)


def test_line_when_the_practice_tells_service_wear_loses_it_and_says_no_longer_that_it_is_left_out(case, shelf) -> None:
    # By hand: ten calls a year of 0.004 are 0.04 a year, wherever the metre is.
    alone = dataclasses.replace(case, compared=())
    found = assess_case(alone, practised(shelf, datum("service_wear", "fraction", 0.004)))
    line, plain = found.ropes[0].lines[0], assess_case(alone, shelf).ropes[0].lines[0]
    rates = line.central.rates
    np.testing.assert_allclose(rates.loss[0, rates.names.index("service")], 0.04, rtol=1e-9)
    assert line.lives.age[0] < plain.lives.age[0]
    codes = [{row.code for row in findings_of(item)} for item in (line, plain)]
    assert "service-wear" not in codes[0]
    assert "service-wear" in codes[1]
    assert "service" not in plain.setup.mechanisms
    shares = result_of(found)["ropes"][0]["states"][0]["strength_loss_per_year"]
    assert shares["service"] == pytest.approx(0.7 * 0.04)


def test_line_when_abrasion_is_not_asked_for_has_no_service_wear(case, shelf) -> None:
    only = dataclasses.replace(case, compared=(), mechanisms=("creep",))
    found = assess_case(only, practised(shelf, datum("service_wear", "fraction", 0.004)))
    assert found.ropes[0].lines[0].setup.mechanisms == ("creep",)


def test_ageing_when_the_rope_lies_on_a_drum_goes_on_at_the_air_of_the_berth() -> None:
    # By hand: 10 calls of 40 h are 400 h alongside; 4000 h on the drum are ten for each of them, each at the air of 300
    # K of every hour. No light falls there.
    _, draws = exposed("hmpe-standard-12-strand")
    value = {key: draws.data[key].value for key in draws.data}
    energy, reference = value["ageing_activation_energy"], value["ageing_reference_temperature"]
    per_hour = value["ageing_loss"] / 8766.0 * np.exp(energy / 8.314463 * (1.0 / reference - 1.0 / 300.0))
    more = rate("ageing", datum("hours_stored", "duration", 4000.0 * 3600.0)) - rate("ageing")
    np.testing.assert_allclose(more, 10.0 * per_hour, rtol=1e-6)


def test_ageing_when_no_hour_is_stored_is_that_alongside() -> None:
    np.testing.assert_array_equal(rate("ageing", datum("hours_stored", "duration", 0.0)), rate("ageing"))


@pytest.mark.parametrize("share", [0.0, 0.25, 1.0])
def test_abrasion_when_chafe_gear_lies_between_is_its_share(share: float) -> None:
    gear = datum(CONTACT.key("chafe_gear"), "fraction", share)
    np.testing.assert_allclose(rate("abrasion", gear), share * rate("abrasion"), rtol=1e-12, atol=1e-300)


def test_creep_when_the_card_has_a_second_process_is_slower_and_else_as_before() -> None:
    # Constants recalled (1.2e-12 1/s at 22 C, 120 kJ/mol, 5e-28 m3); without one of them there is no second process.
    network = (
        datum("creep_network_rate_constant", "strain_rate", 2.1e9),
        datum("creep_network_activation_energy", "molar_energy", 120e3),
        datum("creep_network_volume", "molecular_volume", 5e-28),
    )
    ratio = rate("creep", *network) / rate("creep")
    assert np.all((ratio > 0.3) & (ratio < 0.9))
    np.testing.assert_array_equal(rate("creep", *network[:2]), rate("creep"))
