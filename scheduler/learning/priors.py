"""Every number of the model, each with what it stands on. Log standard deviations unless it says otherwise.

None of them was measured on households that finish rooms. They stand in one place, to be changed once diaries are
there. That durations are log-normal around a common factor: Trietsch, Mazmanyan, Gevorgyan and Baker, Modeling
activity times by the Parkinson distribution with a lognormal core (European Journal of Operational Research, 2012,
abstract); Colin and Vanhoucke (Journal of Construction Engineering and Management 142, 2016, abstract).
"""

from __future__ import annotations

PERSON = 0.25
"""Of a household's pace. The output of people in one job spreads by 20 % of the mean (Schmidt and Hunter, Journal of
Applied Psychology 68, 1983, abstract); those were trained and selected, so it is wider here (a guess)."""

KIND = 0.20
"""Of its pace in one kind of work around that: some do carpentry for a living and have never tiled (a guess)."""

STEP = 0.20
"""Of a step beyond its own range (a guess)."""

ROUNDING = 5.0
"""Minutes: times are said in quarters of an hour, 15 / √12 = 4.3 (computed)."""

ODD, ODD_SHIFT, ODD_SCALE = 0.10, 0.30, 0.50
"""Share of recorded times that say something else (an interruption counted in, a slip of the key); middle and scale
of the Cauchy distribution that their logarithms follow, so that a slip pulls at nothing (a guess; contaminated normal
distribution: Tukey 1960, from memory)."""

ROOM = 0.20
"""Of a room: the thermometer is not at the wall, air moves or does not, what is under the film drinks (a guess)."""

FILM = 0.15
"""Of one coat (a guess)."""

READING = 0.18
"""Of a reading: a finger 0.10, and stages of one film that do not keep their proportion 0.15 (a guess)."""

SLIP = 0.05
"""Share of readings that are odd, a `not yet` that was forgotten say (a guess); they follow the same Cauchy
distribution, without a shift."""

SPAN_OF_RANGE = 3.29
"""Standard deviations between low and high of a profile, taken as 5 % and 95 % of all products of the family."""

MATERIAL_LEAST, MATERIAL_MOST = 0.15, 0.60
"""Of a material in a room: ln(high / low) / 3.29, the median of its stages, within these bounds (a guess)."""

ROUNDED = 0.05
"""A pace is used to the nearest of these, so that plans do not tremble."""

PACE_LEAST, PACE_MOST = 0.5, 2.5
"""Outside of these the job file is wrong (an area, a count), not the pace: what is used is held at the bound."""
