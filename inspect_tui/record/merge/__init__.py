"""Many benches, one shop: what one bench wrote, in bundles that any other one takes in, in any order."""
