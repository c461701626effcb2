"""Figures for the owner: how chairs and hands were used, what was lost, what hair must be here."""

from solver.figures.hair_demand import hair_demand
from solver.figures.idle import idle_causes
from solver.figures.people import pairing, staff_utilisation
from solver.figures.table import (
    hair_demand_csv,
    hair_use_csv,
    idle_csv,
    pairing_csv,
    staff_csv,
    trend_csv,
    turned_away_csv,
    utilisation_csv,
)
from solver.figures.trend import week_trend
from solver.figures.turned_away import turned_away
from solver.figures.utilisation import chair_utilisation

__all__ = [
    "chair_utilisation",
    "hair_demand",
    "hair_demand_csv",
    "hair_use_csv",
    "idle_causes",
    "idle_csv",
    "pairing",
    "pairing_csv",
    "staff_csv",
    "staff_utilisation",
    "trend_csv",
    "turned_away",
    "turned_away_csv",
    "utilisation_csv",
    "week_trend",
]
