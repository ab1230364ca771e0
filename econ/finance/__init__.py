"""Money functions that know no bones: present worth, rates of return, payback, loans, depreciation.

Array-first: flows have years on axis 0 and cases on axis 1; a plain list of years gives a plain number. Money
received is positive, money paid is negative. Rates are fractions per year (0.08, not 8). Year 0 is today and is
not discounted; year t falls at the end of year t. Flows and rate are both nominal or both real. A case inside an
array is, bit for bit, the same case alone.
"""

from __future__ import annotations

from econ.finance.present_value import adjusted_irr as adjusted_irr
from econ.finance.present_value import annual_equivalent as annual_equivalent
from econ.finance.present_value import benefit_cost_ratio as benefit_cost_ratio
from econ.finance.present_value import capital_recovery_factor as capital_recovery_factor
from econ.finance.present_value import levelised_cost as levelised_cost
from econ.finance.present_value import npv as npv
from econ.finance.present_value import real_rate as real_rate
from econ.finance.present_value import savings_investment_ratio as savings_investment_ratio
from econ.finance.returns import Irr as Irr
from econ.finance.returns import depreciation as depreciation
from econ.finance.returns import discounted_payback_years as discounted_payback_years
from econ.finance.returns import irr as irr
from econ.finance.returns import irr_roots as irr_roots
from econ.finance.returns import level_payments as level_payments
from econ.finance.returns import mirr as mirr
from econ.finance.returns import payback_crossings as payback_crossings
from econ.finance.returns import payback_years as payback_years
