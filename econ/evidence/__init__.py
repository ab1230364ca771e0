"""What is known: every figure with its range, unit, source, the place in the source, and how surely.

Facts stand in the csv files of this folder, one row a fact, and load at first use. A row with parts is computed
from them and stands on the lowest of their rungs (`facts.RUNGS`); a curve is one fact. Tables over temperature,
soil and H/C_org need numpy and stand in `econ.evidence.curves`.
"""
