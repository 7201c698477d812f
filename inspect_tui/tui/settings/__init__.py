"""As a person wants the screen: keys, colours, units in forms, the mouse."""
