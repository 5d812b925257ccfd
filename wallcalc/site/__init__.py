"""The rules in force on the wall that is given: its lines, its openings, and what framing needs of the rule book."""
