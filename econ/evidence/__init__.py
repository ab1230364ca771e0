"""What is known: every figure with its range, unit, source, the place in the source, and how surely.

Facts stand in the csv files of this folder, one row a fact, and load at first use. A rung is one of primary
(read in the source or in its authors' or agency's own data), copy (read in a copy made by others), memory
(recalled) or assumed (chosen here). A row with parts is computed from them and stands on the lowest of their
rungs. A curve is one fact.

The tables over temperature, soil and H/C_org need numpy and stand in `econ.evidence.curves`.
"""

from econ.evidence.agronomy import allowance as allowance
from econ.evidence.agronomy import crop_removal as crop_removal
from econ.evidence.agronomy import crop_removals as crop_removals
from econ.evidence.agronomy import limits as limits
from econ.evidence.agronomy import sieve_for as sieve_for
from econ.evidence.agronomy import sieves as sieves
from econ.evidence.agronomy import soil_reading as soil_reading
from econ.evidence.agronomy import soil_readings as soil_readings
from econ.evidence.factors import factor as factor
from econ.evidence.factors import factors as factors
from econ.evidence.factors import nearest as nearest
from econ.evidence.substances import composition as composition
from econ.evidence.substances import fuel as fuel
from econ.evidence.substances import gwp as gwp
