"""Equilibrium moisture content of wood against the USDA's equation and table."""

from __future__ import annotations

import pytest

from scheduler.drying.psychro import equilibrium_moisture


def celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32) / 1.8


# USDA Wood Handbook, table 4-2, row 70 °F: from memory. Printed to 0.1 %.
HANDBOOK_70F = {
    20: 4.5,
    25: 5.4,
    30: 6.2,
    35: 6.9,
    40: 7.7,
    45: 8.5,
    50: 9.2,
    55: 10.1,
    60: 11.0,
    65: 12.0,
    70: 13.1,
    80: 16.0,
    90: 20.5,
}


@pytest.mark.source("wood-handbook")
@pytest.mark.parametrize("percent", HANDBOOK_70F)
def test_equation_gives_the_row_of_the_wood_handbook(percent: int) -> None:
    """Within the printed digit (0.05, and 50 % computes to 9.25 where 9.2 is printed)."""
    assert equilibrium_moisture(celsius(70), percent / 100) == pytest.approx(HANDBOOK_70F[percent], abs=0.0501)


@pytest.mark.source("wood-handbook")
def test_equation_gives_its_published_example() -> None:
    """140 °F and 55 % give 8.4 % by the equation and 8.0 % in the table (quoted with the equation)."""
    assert round(equilibrium_moisture(60.0, 0.55), 1) == 8.4


@pytest.mark.source("wood-page")
@pytest.mark.parametrize(("percent", "printed"), [(25, 5.3), (60, 11.1), (84, 17.6), (87, 19.0)])
def test_equation_stays_within_its_published_error_of_a_second_table(percent: int, printed: float) -> None:
    """70 °F values of a wood-science page; the fit strays by 0.9 % moisture at most (Simpson 1971, abstract)."""
    assert equilibrium_moisture(celsius(70), percent / 100) == pytest.approx(printed, abs=0.9)


@pytest.mark.parametrize(("fahrenheit", "moisture"), [(30, 9.52), (50, 9.47), (90, 8.89), (110, 8.45)])
def test_equation_at_other_temperatures(fahrenheit: float, moisture: float) -> None:
    """50 % humidity; computed apart from this code from the equation's printed coefficients."""
    assert equilibrium_moisture(celsius(fahrenheit), 0.5) == pytest.approx(moisture, abs=0.006)


def test_bone_dry_air_leaves_no_water_in_wood() -> None:
    assert equilibrium_moisture(21, 0) == 0


@pytest.mark.parametrize(("temp", "humidity"), [(-2, 0.5), (90, 0.5), (20, 0.99), (20, -0.1)])
def test_out_of_range_is_refused(temp: float, humidity: float) -> None:
    with pytest.raises(ValueError):
        equilibrium_moisture(temp, humidity)
