"""Files that come in on the screen: asked for, read beside the work, looked over, written whole or not at all."""
