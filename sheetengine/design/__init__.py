"""Chains of clauses in the order an engineer works."""
