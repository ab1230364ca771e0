"""A plant in which every row about a firing is filled in: months, shifts, tasks, modelled fuel."""

from __future__ import annotations

from econ.inputs.rows import MONTHS

SEASON = (2, 2, 4, 6, 8, 8, 0, 6, 14, 20, 20, 10)
FULL = {f"supply__{month}_share": f"{share} %" for month, share in zip(MONTHS, SEASON, strict=True)} | {
    "weather__jan_factor": "1.3", "weather__dec_factor": "1.2", "kiln__number": "2", "kiln__downtime_share": "5 %",
    "kiln__volume": "40 ft3", "kiln__core_share": "90 %", "kiln__wear_per_firing": "4 USD",
    "kiln__larger_load": "2000 lb", "fuel__1__per_batch": "", "fuel__basis": "modelled",
    "kiln__fat_drip_share": "30 %", "fuel__2__kind": "electricity",
    "fuel__2__per_batch": "0 kWh", "fuel__2__price": "0.15 USD per kWh", "power__fan_per_firing": "6 kWh",
    "power__grinder_per_char": "8 kWh per tonne", "cycle__load_hours": "1 hour", "cycle__fire_hours": "7 hour",
    "cycle__cool_hours": "14 hour", "cycle__empty_hours": "1 hour", "shift__days_per_week": "5",
    "shift__hours_per_day": "10 hour", "labour__hours_per_batch": "", "labour__watching_share": "50 %",
    "task__1__name": "load and light", "task__1__hours": "1.5 hour", "task__1__people": "2",
    "task__2__name": "watch", "task__2__hours": "4 hour", "task__2__watching": "yes",
    "task__14__hours": "1 hour",
}  # fmt: skip
