"""Results turned into pictures and papers: terminal, HTML, PDF, tables. It takes what shop returns, never a record."""
