"""The only place that knows a spreadsheet library."""
