"""All readings as files that other programs open: flat SQLite, CSV and Parquet, with their columns explained."""
