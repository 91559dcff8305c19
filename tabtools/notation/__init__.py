"""Between text and model: grammars, the reader, the explanations of syntax errors, the canonical writer."""
