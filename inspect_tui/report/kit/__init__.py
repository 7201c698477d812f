"""Papers for the foundry: setting sheet, kit list, labels, come-back sheet."""
