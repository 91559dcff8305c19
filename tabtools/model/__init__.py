"""What a solo is: frozen records, no parsing, no input or output."""
