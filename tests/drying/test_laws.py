"""What every rate law must do, whatever its numbers."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.drying.laws import RATE_LAWS, rate, thickness_factor
from scheduler.model.material import LAWS

TEMPS = st.floats(-10, 50)
HUMIDITIES = st.floats(0.0, 1.0)
EVERY_LAW = pytest.mark.parametrize("law", LAWS)


def at(law: str, temp: float, humidity: float) -> float:
    return rate(law, temp, humidity, 25, 0.5)


def test_every_law_of_the_vocabulary_is_here() -> None:
    assert tuple(RATE_LAWS) == tuple(LAWS)


@EVERY_LAW
@given(temp=TEMPS, humidity=st.floats(0.01, 0.99))
def test_one_at_the_reference_air(law: str, temp: float, humidity: float) -> None:
    assert rate(law, temp, humidity, temp, humidity) == 1


@EVERY_LAW
@given(temp=TEMPS, other=TEMPS, humidity=HUMIDITIES)
def test_warmer_is_never_slower(law: str, temp: float, other: float, humidity: float) -> None:
    cold, warm = sorted((temp, other))
    assert at(law, cold, humidity) <= at(law, warm, humidity) * (1 + 1e-12)


@pytest.mark.parametrize("law", ["water", "film"])
@given(temp=TEMPS, humidity=HUMIDITIES, other=HUMIDITIES)
def test_drier_is_never_slower_where_water_has_to_leave(law: str, temp: float, humidity: float, other: float) -> None:
    dry, damp = sorted((humidity, other))
    assert at(law, temp, dry) >= at(law, temp, damp) * (1 - 1e-12)


@given(temp=TEMPS, humidity=HUMIDITIES, other=HUMIDITIES)
def test_damper_is_never_slower_where_water_cures(temp: float, humidity: float, other: float) -> None:
    dry, damp = sorted((humidity, other))
    assert at("moisture", temp, dry) <= at("moisture", temp, damp) * (1 + 1e-12)


@pytest.mark.parametrize("law", ["solvent", "set"])
@given(temp=TEMPS, humidity=HUMIDITIES, other=HUMIDITIES)
def test_humidity_makes_no_difference_to_solvent_and_setting(
    law: str, temp: float, humidity: float, other: float
) -> None:
    assert at(law, temp, humidity) == at(law, temp, other)


@pytest.mark.source("huisman")
def test_film_is_blind_to_humidity_up_to_80_percent() -> None:
    """Huisman and others, Physical Review Letters 131, 248102 (2023): about 80 %, its abstract."""
    assert at("film", 20, 0.0) == at("film", 20, 0.5) == at("film", 20, 0.80)
    assert at("film", 20, 0.85) < at("film", 20, 0.80)


def test_film_is_held_back_beyond_80_percent_as_evaporation_is() -> None:
    """From 80 % to 95 % the `water` law falls to (0.05/0.20)^0.90 = 0.287, and so must the film."""
    held = at("film", 20, 0.95) / at("film", 20, 0.80)
    assert held == pytest.approx((0.05 / 0.20) ** 0.90)
    assert held == pytest.approx(at("water", 20, 0.95) / at("water", 20, 0.80))


def test_film_makes_no_step_at_80_percent() -> None:
    assert at("film", 20, 0.80 + 1e-9) == pytest.approx(at("film", 20, 0.80), rel=1e-7)


def test_beyond_98_percent_evaporation_counts_as_at_98() -> None:
    """The guide of the gypsum trade ends at 98 %; `ranges` warns."""
    for law in ("water", "film"):
        assert at(law, 20, 1.0) == at(law, 20, 0.98) < at(law, 20, 0.97)


def test_moisture_cure_stands_still_in_dry_air() -> None:
    assert at("moisture", 25, 0) == 0


@pytest.mark.source("ethanol")
def test_solvent_follows_the_vapour_pressure_of_ethanol() -> None:
    """Ethanol: 5.95 kPa at 20 °C and 10.5 kPa at 30 °C (CRC Handbook; from memory): 1.76 times, here within 3 %."""
    assert at("solvent", 30, 0.5) / at("solvent", 20, 0.5) == pytest.approx(10.5 / 5.95, rel=0.03)


def test_film_halves_for_ten_degrees() -> None:
    """UFGS 09 97: for every 10 °C drop approximately doubled (there of pot life); 10 against 20 °C here."""
    assert at("film", 20, 0.5) / at("film", 10, 0.5) == pytest.approx(2.0, rel=0.01)


def test_a_dry_room_slows_moisture_cure_as_its_water_does() -> None:
    """At one temperature the rate goes with the water in the air: 25 % against 50 % is half."""
    assert at("moisture", 25, 0.25) == pytest.approx(0.5)


def test_thickness_goes_with_its_exponent() -> None:
    """Twice as thick: twice as long if evaporation limits, four times if diffusion does (t ~ L²/D, Crank 1975)."""
    assert thickness_factor(2, 1) == 2
    assert thickness_factor(2, 2) == 4
    assert thickness_factor(1, 1.7) == 1


@pytest.mark.source("sealants")
def test_a_sealant_cures_inward_with_the_root_of_time() -> None:
    """Comyn, Int. J. Adhesion and Adhesives 18, 1998 (abstract found): a sharp front, as fast as what is cured lets
    water through. So its depth goes with √t (from memory), and the exponent is 2.

    A polyurethane sheet says 3 mm in 1 day, a silicone one (quoted in a paper) 7.5 mm in 7 days: (7.5/3)² = 6.25, not
    7, for the two are different products.
    """
    assert thickness_factor(7.5 / 3, 2) == pytest.approx(7, rel=0.12)


@pytest.mark.parametrize(
    "call",
    [
        lambda: rate("magic", 20, 0.5, 25, 0.5),
        lambda: rate("set", 20, 1.5, 25, 0.5),
        lambda: rate("set", 300, 0.5, 25, 0.5),
        lambda: rate("water", 20, 0.5, 25, 0.5, activation=40_000),
        lambda: rate("set", 20, 0.5, 25, 0.5, activation=0),
        lambda: rate("moisture", 20, 0.5, 25, 0.0),
        lambda: thickness_factor(0, 1),
        lambda: thickness_factor(-1, 2),
        lambda: thickness_factor(float("inf"), 1),
    ],
)
def test_nonsense_is_refused(call: Callable[[], float]) -> None:
    with pytest.raises(ValueError):
        call()
