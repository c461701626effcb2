"""Figures for the owner: how full the chairs were, what hair must be here when."""

from solver.figures.hair_demand import hair_demand
from solver.figures.table import hair_demand_csv, utilisation_csv
from solver.figures.utilisation import chair_utilisation

__all__ = ["chair_utilisation", "hair_demand", "hair_demand_csv", "utilisation_csv"]
