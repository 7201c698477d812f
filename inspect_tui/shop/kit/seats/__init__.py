"""Prints and seats of a kit on its tools: where they stand as read, and how far cores may turn in them."""
