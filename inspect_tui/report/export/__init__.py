"""All readings as files that other programs open: one flat SQLite file, CSV and Parquet, with their columns explained."""
