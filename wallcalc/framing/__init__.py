"""The frame before boards: plates, studs, lines for joints, rows of noggins."""
