"""Tables that come in: CSV, TSV, XLSX, ODS and XLS as grids of texts, within limits, and their columns."""
