"""Rows in their chain: canonical bytes, hashes, commits, ids, proof."""
