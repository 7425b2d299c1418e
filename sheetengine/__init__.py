"""Plans one-sided formwork on mass-concrete lifts from a workbook."""
