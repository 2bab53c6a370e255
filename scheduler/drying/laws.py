"""The five rate laws: how fast a film dries or cures in this air, against the air of its profile.

Each law gives a strength that only means something as a ratio; `rate` divides it by the strength at the
reference air, so that it is 1 there. Temperatures in °C, humidities as fractions.

| law        | what it stands for                      | warmer | damper                          |
| ---------- | --------------------------------------- | ------ | ------------------------------- |
| `water`    | water leaves a thin film on a wall      | faster | slower                          |
| `film`     | the polymer-rich late stage of a latex  | faster | slower only above 80 %          |
| `solvent`  | solvent leaves                          | faster | no difference                   |
| `set`      | setting, curing, oxidation              | faster | no difference                   |
| `moisture` | a bead that cures by the water it takes | faster | faster                          |
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import exp, isfinite
from types import MappingProxyType

from scheduler.drying.psychro import KELVIN, saturation_pressure

GAS = 8.314462618
"""Molar gas constant, J/(mol K): CODATA 2018."""

HUMIDITY_CAP = 0.98
"""Where evaporation stops being counted as slower still: the last row of the gypsum trade's drying-time guide
(98 %). The law goes to nothing at saturation, and no number there has a source."""

FILM_BLIND = 0.80
"""Humidity (fraction) up to which a polymer-rich film dries alike: about 80 %, Huisman and others, Physical Review
Letters 131, 248102 (2023), abstract read, for polyvinyl alcohol solutions. (The first preprint, arXiv:2211.16954v1,
said 85 %.)"""

# Exponent of (1 - humidity), no unit, 0..0.98: fitted to the drying-time guide of the gypsum trade (0.9008 over its
# 133 cells; every other row alone gives the same to the second decimal; the table itself is from memory).
_DRYNESS_EXPONENT = 0.90

# Exponent of T in kelvin, no unit, 270..310 K: the diffusivity of vapour in air goes as T^1.81 (Massman, Atmospheric
# Environment 32, 1998: from memory), the flow of an ideal gas through still air as diffusivity / T.
_DIFFUSION_EXPONENT = 0.81


@dataclass(frozen=True, slots=True)
class Covered:
    """The range in which a law was held against something published: °C, fractions, and what that was."""

    temps: tuple[float, float]
    humidities: tuple[float, float]
    source: str


@dataclass(frozen=True, slots=True)
class RateLaw:
    """One law: `value` of (°C, humidity as a fraction, activation in J/mol), in a unit of its own.

    `activation` holds where a profile gives none; None: it takes none. Beyond `covered` the answer carries a warning
    (`drying.ranges`). `capped`: damper air than HUMIDITY_CAP counts as that. `by_water`: water cures it, so that
    damper air is quicker.
    """

    value: Callable[[float, float, float], float]
    activation: float | None
    covered: Covered
    capped: bool = False
    by_water: bool = False


def rate(
    law: str,
    temp_c: float,
    humidity: float,
    reference_temp: float,
    reference_humidity: float,
    *,
    activation: float | None = None,
) -> float:
    """Reference minutes that pass per minute in this air: 1 at the reference air, 0 where nothing happens.

    `activation` in J/mol (None: the law's own). Raises ValueError for an unknown law, for a humidity outside
    0..1, a temperature outside -100..200 °C, an activation that `water` cannot use or outside 0..1,000,000,
    and for a reference air in which the law stands still.
    """
    reference = strength(law, reference_temp, reference_humidity, activation)
    if reference <= 0:
        raise ValueError(f"in the reference air, {reference_humidity:.0%} humidity, the law {law} stands still")
    return strength(law, temp_c, humidity, activation) / reference


def strength(law: str, temp_c: float, humidity: float, activation: float | None = None) -> float:
    """The law's value in this air, in a unit of its own; only ratios of it mean something. Errors as `rate`."""
    if not 0 <= humidity <= 1:
        raise ValueError(f"humidity {humidity:g} is outside 0 to 1")
    known = RATE_LAWS.get(law)
    if known is None:
        raise ValueError(f"there is no law {law!r}; known are {', '.join(RATE_LAWS)}")
    if known.activation is None:
        if activation is not None:
            raise ValueError(f"the law {law} takes no activation: saturation pressure carries its temperature")
        return known.value(temp_c, humidity, 0.0)
    energy = known.activation if activation is None else activation
    if not 0 < energy <= 1e6:
        raise ValueError(f"an activation of {energy:g} J/mol is outside 0 to 1,000,000")
    return known.value(temp_c, humidity, energy)


def thickness_factor(ratio: float, exponent: float) -> float:
    """How many times longer a film takes that is `ratio` times as thick: ratio^exponent.

    1 where evaporation from the surface limits (time goes with the amount), 2 where diffusion through the film
    does (Crank, The Mathematics of Diffusion, 1975: time goes with the square of the thickness).
    """
    if not (isfinite(ratio) and ratio > 0):
        raise ValueError(f"a thickness ratio of {ratio:g} is not positive")
    return float(ratio**exponent)


def _water(temp_c: float, humidity: float, _: float) -> float:
    """T^0.81 · p_ws · (1 − RH)^0.90: the film stays at the temperature of the air, no wet bulb comes in."""
    dryness = 1 - min(humidity, HUMIDITY_CAP)
    return float((temp_c + KELVIN) ** _DIFFUSION_EXPONENT * saturation_pressure(temp_c) * dryness**_DRYNESS_EXPONENT)


def _film(temp_c: float, humidity: float, energy: float) -> float:
    """Arrhenius, times 1 up to 80 %; beyond, times what evaporation still does of what it does at 80 %, so that there
    is no step."""
    damp = min(max(humidity, FILM_BLIND), HUMIDITY_CAP)
    return _arrhenius(temp_c, energy) * float(((1 - damp) / (1 - FILM_BLIND)) ** _DRYNESS_EXPONENT)


def _by_temperature(temp_c: float, _: float, energy: float) -> float:
    """Arrhenius alone."""
    return _arrhenius(temp_c, energy)


def _moisture(temp_c: float, humidity: float, energy: float) -> float:
    """Arrhenius, times the pressure of the vapour in the air."""
    return _arrhenius(temp_c, energy) * humidity * saturation_pressure(temp_c)


def _arrhenius(temp_c: float, energy: float) -> float:
    """exp(E/R · (1/298.15 K − 1/T)); the fixed 25 °C only keeps the numbers near 1."""
    if not -100 <= temp_c <= 200:
        raise ValueError(f"temperature {temp_c:g} is outside -100 to 200 °C")
    return exp(energy / GAS * (1 / (25 + KELVIN) - 1 / (temp_c + KELVIN)))


RATE_LAWS: Mapping[str, RateLaw] = MappingProxyType(
    {
        # No activation: saturation pressure carries its temperature. 32..100 °F.
        "water": RateLaw(
            _water,
            None,
            Covered((0.0, 100 / 1.8 - 32 / 1.8), (0.0, HUMIDITY_CAP), "drying-time guide of the gypsum trade"),
            capped=True,
        ),
        # 47.8 kJ/mol makes 20 °C twice as fast as 10 °C, the rule of the paint trade (UFGS 09 97, "approximately
        # doubled for every 10 °C drop"); within the 45-50 kJ/mol usual for slow coalescence. 45..90 °F is where paint
        # may be laid at all (MIL-HDBK-1110, 7.4); above 80 % the hold by evaporation is a choice of this model, not
        # published.
        "film": RateLaw(
            _film,
            47_800.0,
            Covered((5.0, 40.0), (0.0, FILM_BLIND), "Huisman and others 2023 and the trade's 10 °C rule"),
            capped=True,
        ),
        # Heat of vaporisation of ethanol near 25 °C, 42.3 kJ/mol rounded (from memory); mineral spirits about the
        # same.
        "solvent": RateLaw(_by_temperature, 42_000.0, Covered((0.0, 40.0), (0.0, 1.0), "vapour pressure of ethanol")),
        # Q = 5000 K, ASTM C1074 annex (cement without admixtures; from memory): 41.6 kJ/mol.
        "set": RateLaw(
            _by_temperature, 5_000.0 * GAS, Covered((0.0, 40.0), (0.0, 1.0), "equivalent age, ASTM C1074")
        ),
        # Permeability of a cured sealant to water; that the pressure of the vapour grows with temperature is counted
        # apart. 10-20 kJ/mol for polyurethane: from memory, no source. Sheets ask for 40..90 %, above 5 °C, and for a
        # mist of water below 30 %.
        "moisture": RateLaw(
            _moisture,
            15_000.0,
            Covered((5.0, 40.0), (0.30, 0.90), "makers' sheets of polyurethane adhesives"),
            by_water=True,
        ),
    }
)
"""All there is to know of each law; its name and its words are `model.material.LAWS`."""
