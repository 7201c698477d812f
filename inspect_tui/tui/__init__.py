"""The full-screen text interface: shows what the shop returns and decides nothing about numbers."""
