"""Money functions that know no bones: present worth, rates of return, payback, loans, depreciation.

Array-first: flows have years on axis 0 and cases on axis 1; a plain list of years gives a plain number. Money
received is positive, money paid is negative. Rates are fractions per year (0.08, not 8). Year 0 is today and is
not discounted; year t falls at the end of year t. Flows and rate are both nominal or both real. A case inside an
array is, bit for bit, the same case alone.
"""
