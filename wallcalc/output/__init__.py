"""The files of a design: tables, printed sheets, and the way back from them."""
