"""How a person wants the program: unit style, decimal mark, colours, bell, paper, keys."""
