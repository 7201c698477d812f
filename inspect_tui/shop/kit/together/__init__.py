"""How the kit goes together beyond single fits: all prints at once, wrong ways in, what stands in the way, sizes."""
