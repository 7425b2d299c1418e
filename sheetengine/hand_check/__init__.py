"""A second opinion: the chain of one lift and stage in live formulas, declared apart from the engine's arithmetic."""
