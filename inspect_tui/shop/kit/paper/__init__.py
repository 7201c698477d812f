"""What the papers of a kit say: setting sheet, kit list and labels, come-back sheet."""
