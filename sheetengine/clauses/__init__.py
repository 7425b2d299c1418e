"""Published formulas, one module a document, on columns of numbers."""
