"""What is known: every figure with its range, unit, source, the place in the source, and how surely.

Facts stand in the csv files of this folder, one row a fact, and load at first use. A row with parts is computed
from them and stands on the lowest of their rungs (`facts.RUNGS`); a curve is one fact. Tables over temperature,
soil and H/C_org need numpy and stand in `econ.evidence.curves`.
"""

from econ.evidence.factors import factor as factor
from econ.evidence.factors import factors as factors
from econ.evidence.factors import nearest as nearest
from econ.evidence.substances import allowance as allowance
from econ.evidence.substances import composition as composition
from econ.evidence.substances import crop_removal as crop_removal
from econ.evidence.substances import fuel as fuel
from econ.evidence.substances import gwp as gwp
from econ.evidence.substances import limits as limits
from econ.evidence.substances import soil_reading as soil_reading
from econ.evidence.substances import soil_readings as soil_readings
