"""Reports that others rely on: one content, set as PDF, as a workbook or as a data file."""
